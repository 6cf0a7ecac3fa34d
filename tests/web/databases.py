"""Databases for tests: SQLite in a folder, PostgreSQL where its programs can be started here."""

import os
import shutil
import subprocess
import tempfile
from contextlib import contextmanager
from pathlib import Path

PROGRAMS = sorted(Path("/usr/lib/postgresql").glob("*/bin")) if Path("/usr/lib/postgresql").is_dir() else []


def why_no_postgresql():
    """Why no PostgreSQL can be started here; "" if one can."""
    try:
        import psycopg  # noqa: F401
    except ImportError:
        return "the package psycopg is not installed"
    if not PROGRAMS and shutil.which("initdb") is None:
        return "PostgreSQL's programs are not installed (Debian: apt-get install postgresql)"
    if os.geteuid() == 0 and shutil.which("runuser") is None:
        return "PostgreSQL does not run as root, and there is no runuser to start it as somebody else"
    return ""


@contextmanager
def postgresql():
    """A PostgreSQL server of its own, reached through a socket in its folder; gives its URL."""
    folder = Path(tempfile.mkdtemp(prefix="grader-pg-"))
    programs = PROGRAMS[-1] if PROGRAMS else Path(shutil.which("initdb")).parent
    # PostgreSQL refuses to run as root; "nobody" exists everywhere and may own the folder.
    user = ["runuser", "-u", "nobody", "--"] if os.geteuid() == 0 else []
    if user:
        shutil.chown(folder, "nobody")
    folder.chmod(0o700)

    def run(*command):
        subprocess.run([*user, *map(str, command)], check=True, capture_output=True, cwd="/", timeout=60)

    run(programs / "initdb", "-D", folder / "db", "-U", "tester", "-A", "trust", "-E", "UTF8", "--locale=C")
    options = f"-c listen_addresses='' -c unix_socket_directories={folder} -c max_connections=60"
    run(programs / "pg_ctl", "-D", folder / "db", "-w", "-l", folder / "log", "-o", options, "start")
    try:
        yield f"postgresql://tester@/postgres?host={folder}"
    finally:
        run(programs / "pg_ctl", "-D", folder / "db", "-m", "immediate", "stop")
        shutil.rmtree(folder, ignore_errors=True)
