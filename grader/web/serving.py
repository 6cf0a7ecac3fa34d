"""How the server listens: uvicorn with its own limits, and with those that it lacks."""

from __future__ import annotations

import uvicorn
from starlette.types import ASGIApp

WAITING = 1024
"""Connections that may wait to be taken: a class that comes in at once."""


def server_for(app: ASGIApp, proxy: str = "") -> uvicorn.Server:
    """A server for an application; `proxy` is the address of the reverse proxy whose headers are believed."""
    config = uvicorn.Config(
        app,
        http="h11",
        log_config=None,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=bool(proxy),
        forwarded_allow_ips=proxy,
        backlog=WAITING,
        timeout_keep_alive=15,
        limit_concurrency=500,
        timeout_graceful_shutdown=10,
    )
    return uvicorn.Server(config)
