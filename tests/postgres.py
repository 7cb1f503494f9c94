"""A PostgreSQL server for the time of a test run: made in a temporary folder, on loopback, stopped and gone at its end.

`python -m tests.postgres COMMAND…` runs a command with DATABASE_URL set to it and leaves with the command's exit code.
"""

import contextlib
import os
import pathlib
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator

MISSING = (
    "No PostgreSQL server here, so nothing was run on it. Type: sudo apt-get install postgresql   "
    "(or say in PG_BIN where initdb and pg_ctl are)"
)
OTHERS = ("postgres", "nobody")
"""Whom the server runs as where this is root: PostgreSQL refuses root."""


def binaries() -> pathlib.Path | None:
    """The folder of initdb and pg_ctl: PG_BIN, else the newest that Debian has."""
    named = os.environ.get("PG_BIN")
    found = [pathlib.Path(named)] if named else sorted(pathlib.Path("/usr/lib/postgresql").glob("*/bin"), key=_version)
    on_path = shutil.which("initdb")
    if on_path and not named:
        found.insert(0, pathlib.Path(on_path).parent)
    return next((folder for folder in reversed(found) if (folder / "initdb").exists()), None)


def _version(folder: pathlib.Path) -> float:
    with contextlib.suppress(ValueError):
        return float(folder.parent.name)
    return 0.0


def _other() -> str | None:
    """Another user, where this one is root."""
    if os.geteuid() != 0:
        return None
    known = {entry.pw_name for entry in pwd.getpwall()}
    return next(name for name in OTHERS if name in known)


def _free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    return port


@contextlib.contextmanager
def server(bin_folder: pathlib.Path) -> Iterator[str]:
    """A running server; its address as DATABASE_URL has it."""
    user = _other()
    folder = pathlib.Path(tempfile.mkdtemp(prefix="jetwright-pg-"))
    try:
        if user is not None:
            shutil.chown(folder, user)
        data, port = folder / "data", _free_port()

        def run(name: str, *arguments: str) -> None:
            command = [str(bin_folder / name), *arguments]
            done = subprocess.run(
                command, user=user, cwd=folder, capture_output=True, text=True, check=False, timeout=60
            )
            if done.returncode:
                log = folder / "log"
                raise RuntimeError(f"{name}: {done.stdout}{done.stderr}{log.read_text() if log.exists() else ''}")

        run("initdb", "-D", str(data), "-U", "jetwright", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync")
        options = (
            f"-c listen_addresses=127.0.0.1 -c port={port} -c unix_socket_directories={folder} -c fsync=off "
            "-c synchronous_commit=off -c full_page_writes=off -c max_connections=100"
        )
        run("pg_ctl", "-D", str(data), "-l", str(folder / "log"), "-w", "-t", "30", "-o", options, "start")
        try:
            yield f"postgresql://jetwright@127.0.0.1:{port}/postgres"
        finally:
            run("pg_ctl", "-D", str(data), "-m", "immediate", "-w", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def main(command: list[str]) -> int:
    """Run a command with a server; 0 and loud words where there is none, 1 in CI."""
    bin_folder = binaries()
    if bin_folder is None:
        print(f"\n*** {MISSING}\n", file=sys.stderr)
        return 1 if os.environ.get("CI") == "true" else 0
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))  # the server is stopped then too
    started = time.monotonic()
    with server(bin_folder) as address:
        print(f"PostgreSQL from {bin_folder}, up in {time.monotonic() - started:.1f} s", file=sys.stderr)
        with contextlib.suppress(KeyboardInterrupt):
            return subprocess.run(command, env={**os.environ, "DATABASE_URL": address}, check=False).returncode
    return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
