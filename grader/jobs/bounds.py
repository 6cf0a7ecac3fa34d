"""How long and how large the work on one upload may become, enforced from outside of it."""

import os
import signal
from contextlib import suppress

SECONDS = 20.0
"""An ordinary upload is read and marked in hundredths of a second; a whole exam in letters in one or two."""

GRACE_SECONDS = 5.0
"""After this much more a worker ends by itself, should the main process no longer be there to end it."""

START_SECONDS = 60.0
"""A worker may take this long to start, on a busy machine with a cold disk."""

FAILED_STARTS = 5
"""Workers that fail to start, one after the other, before the run gives up."""

MEMORY_BYTES = 1 << 30
"""What the work on one upload may add to a worker's memory."""

RECYCLE_BYTES = MEMORY_BYTES // 2
"""A worker that keeps more than this between uploads is replaced, so that it is never an innocent one that fails."""

BACKLOG = 2
"""Files held in memory and waiting, for every worker; each is `limits.FILE_BYTES` at most."""

LEAST_BYTES = 200 << 20
"""With less address space a library for numbers cannot even be loaded, and ends the process in its own words."""

_PAGE = 4096 if not hasattr(os, "sysconf") else os.sysconf("SC_PAGE_SIZE")


def memory_in_use() -> int:
    """Address space of this process in bytes; 0 where the system does not tell."""
    try:
        with open("/proc/self/statm", "rb", buffering=0) as told:  # noqa: PTH123 - asked after every job: the short way
            return int(told.read().split()[0]) * _PAGE
    except (OSError, ValueError, IndexError):
        return 0


def require_memory() -> None:
    """Raise MemoryError where this process may not have what the libraries need to be loaded."""
    with suppress(ImportError):
        import resource

        allowed, _ = resource.getrlimit(resource.RLIMIT_AS)
        if allowed != resource.RLIM_INFINITY and allowed < LEAST_BYTES:
            raise MemoryError


def limit_memory(more: int = MEMORY_BYTES) -> int:
    """Bound what this process adds to its memory where the system can; gives the size above which it should be replaced."""
    now = memory_in_use()
    try:
        import resource
    except ImportError:
        return now + RECYCLE_BYTES
    if now:
        _, hard = resource.getrlimit(resource.RLIMIT_AS)
        wanted = now + more
        resource.setrlimit(resource.RLIMIT_AS, (wanted if hard == resource.RLIM_INFINITY else min(wanted, hard), hard))
    return now + RECYCLE_BYTES


def end_after(seconds: float) -> None:
    """End this process by itself after that time, unless called again; 0 calls it off."""
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_REAL, seconds)


def end_after_work(seconds: float) -> None:
    """End this process by itself after that much more processor time, unless called again; 0 calls it off."""
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_PROF, seconds)
