"""Start the counter: its folder, its database, the link to the first account, one server for this machine alone."""

import asyncio
import errno
import json
import os
import re
import signal
import socket
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import django
import uvicorn
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.db import DatabaseError, connection, connections
from django.db.migrations.executor import MigrationExecutor
from django.urls import reverse
from uvicorn.protocols.http.auto import AutoHTTPProtocol

from jetwright.report.wording import _, ngettext
from jetwright.web import place
from jetwright.web.held import API, IN_SHORT, fault
from jetwright.web.place import RefusedError
from jetwright.web.worker import stop_for_good, warm

LOOPBACK = "127.0.0.1"
GRACE = 2
"""How long requests may take to end once the server was told to stop. [s]"""

MOST_AT_ONCE = 200
"""Most connections; whoever comes then is told to come again."""

LONGEST_LINE = 100
"""As much of a request as is kept to see whether a program asks. [bytes]"""

HEAD_WAIT = 15.0
"""How long the head of a request may take to come. [s]"""

KEPT_CONNECTIONS = {"min_size": 2, "max_size": 30, "timeout": 10.0, "max_idle": 30.0}
"""How many connections to PostgreSQL are kept, how long a request waits for one, and an idle one stays [s]; a server
allows 100 to all. When it was started anew, each idle one costs a request a second or more."""

ABANDONED = 3600.0
"""How old a half-written file is that nobody writes any more. [s]"""

HALF_WRITTEN = re.compile(r"\.[a-z]+\.key\.[0-9a-f]{16}")
"""What a secret is called while it is written."""

HALF_WRITTEN_PHOTO = re.compile(r"\.[0-9a-f]{16}")
"""What a photo is called while it is written. Nothing else in a folder is ours to clear away."""

OURS = frozenset({"people", "yard", "jobs", "records"})


def listen(port: int) -> socket.socket:
    """The port on this machine, taken before anything else is done. [-]"""
    # named TCP, else asyncio leaves the delay of small packets on, and every answer waits 40 ms for an acknowledgement
    taken = socket.socket(proto=socket.IPPROTO_TCP)
    if os.name == "posix":
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        taken.bind((LOOPBACK, port))
    except OSError as error:
        taken.close()
        if error.errno == errno.EADDRINUSE:
            words = _("Port {port} is in use, perhaps by this counter already. Choose another: --port {other}")
        else:
            words = _("Port {port} may not be used here. Choose another: --port {other}")
        raise RefusedError(words.format(port=port, other=port + 1 if 1024 <= port < 65535 else 8001)) from error
    return taken


def set_up() -> None:
    """Read the settings; RefusedError where the environment says what cannot be. [-]"""
    os.environ["DJANGO_SETTINGS_MODULE"] = "jetwright.web.settings"
    place.private()
    try:
        django.setup()
        str(connection.vendor)  # loads the database's driver
    except ImproperlyConfigured as error:
        if isinstance(error.__cause__ or error.__context__, ImportError):
            raise RefusedError(_driver_words()) from error
        raise RefusedError(str(error)) from error


def _driver_words() -> str:
    return _('DATABASE_URL needs a driver that is not installed. Type: pip install "jetwright[postgres]"')


def make_place(say: Callable[[str], None], alone: bool = False) -> None:
    """Make the folder and the tables where they are not there yet, or bring the tables up to date; says so. [-]

    Until the process ends the folder is its own. alone: on PostgreSQL too, where several may serve the same rows.
    """
    place.private()
    try:
        place.make()
    except OSError as error:
        raise RefusedError(
            _("The folder {folder} cannot be made: {why}").format(folder=place.folder(), why=error.strerror)
        ) from error
    set_up()
    place.hold(alone or connection.vendor == "sqlite")
    _clear_away()
    with reading_database():
        say(_("Data: {folder}").format(folder=place.folder()))
        if place.open_to_others():
            words = _("Others on this machine may look into that folder. Close it: chmod 700 {folder}")
            say(words.format(folder=place.folder()))
        say(_("Database: {database}").format(database=database_name()))
        new, steps = to_migrate()
        if steps:
            if new:
                say(_("It is new: its tables are made."))
            else:
                told = ngettext(
                    "It is from an older version: it is brought up to date, {n} step.",
                    "It is from an older version: it is brought up to date, {n} steps.",
                    steps,
                )
                say(told.format(n=steps))
            call_command("migrate", verbosity=0, interactive=False)


def _clear_away() -> None:
    """Files that a process which was killed left half written; what is younger may be in another's hands."""
    for folder, ours in ((place.folder(), HALF_WRITTEN), (place.photos(), HALF_WRITTEN_PHOTO)):
        for one in folder.glob(".*"):
            if ours.fullmatch(one.name) and one.is_file() and time.time() - one.stat().st_mtime > ABANDONED:
                one.unlink(missing_ok=True)


def to_migrate() -> tuple[bool, int]:
    """Whether the database is new, and how many steps it lacks; RefusedError where a newer version made it. [-]"""
    executor = MigrationExecutor(connection)
    applied, known = executor.loader.applied_migrations, executor.loader.disk_migrations or {}
    if any(app in OURS and (app, name) not in known for app, name in applied):
        raise RefusedError(
            _("{database} was made by a newer version of Jetwright. Install that version.").format(
                database=database_name()
            )
        )
    return not applied, len(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def database_name() -> str:
    """Where the rows are kept, without a password. [-]"""
    told = connection.settings_dict
    if connection.vendor == "sqlite":
        return str(told["NAME"])
    return _("PostgreSQL, {name} at {host}").format(name=told["NAME"], host=told["HOST"] or "localhost")


@contextmanager
def reading_database() -> Iterator[None]:
    """A database that cannot be had is refused in words. [-]"""
    try:
        yield
    except (DatabaseError, sqlite3.Error) as error:
        why = (str(error).strip() or type(error).__name__).splitlines()[0]
        words = _("The database cannot be used ({database}): {why}")
        raise RefusedError(words.format(database=database_name(), why=why)) from error


def first_address(port: int) -> str:
    """The one-time address at which the first account is made; "" where there is one already. [-]"""
    from jetwright.web.people.first import first_link

    with reading_database():
        token = first_link()
    return f"http://{LOOPBACK}:{port}{reverse('people:first', args=[token])}" if token else ""


class _Impatient(AutoHTTPProtocol):  # type: ignore[misc,valid-type]
    """Closes a connection on which nobody finishes asking: else a few hundred of them keep everybody out."""

    _closing: asyncio.TimerHandle | None = None
    _begun = b""
    app_state: dict[str, Any]

    def connection_made(self, transport: Any) -> None:
        """Wait for the first request; on one connection too many it is told to come again. [-]"""
        super().connection_made(transport)
        self.app_state = {**self.app_state, "crowded": len(self.connections) > MOST_AT_ONCE}
        self._watch()

    def send_400_response(self, msg: str) -> None:
        """Answer what is no HTTP; a program in the shape that it reads. [-]"""
        if not self._begun.partition(b" ")[2].startswith(API.encode()):
            super().send_400_response(msg)
            return
        code, words = IN_SHORT[400]
        body = json.dumps(fault(code, _(words))).encode()
        head = f"HTTP/1.1 400 Bad Request\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n"
        self.transport.write(head.encode() + b"Connection: close\r\n\r\n" + body)
        self.transport.close()

    def data_received(self, data: bytes) -> None:
        """Stop waiting once its head is whole. [-]"""
        self._begun = self._begun or data[:LONGEST_LINE]
        super().data_received(data)
        self._watch()

    def on_response_complete(self) -> None:
        """Wait for the next. [-]"""
        self._begun = b""
        super().on_response_complete()
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more. [-]"""
        super().connection_lost(exc)
        if self._closing is not None:
            self._closing.cancel()

    def _watch(self) -> None:
        answering = self.cycle is not None and not self.cycle.response_complete
        if answering and self._closing is not None:
            self._closing.cancel()
            self._closing = None
        elif not answering and self._closing is None:
            self._closing = self.loop.call_later(HEAD_WAIT, self.transport.close)


class _Server(uvicorn.Server):
    """Stops when it is told to, also where a request does not end."""

    def handle_exit(self, sig: int, frame: Any) -> None:
        """Stop; by force once the time for it is over. [-]"""
        if not self.should_exit:
            last = threading.Timer(GRACE + 0.5, os._exit, [128 + sig])
            last.daemon = True
            last.start()
        super().handle_exit(sig, frame)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Answer who is waiting, then end the workers: the signal that follows lets nothing be tidied up. [-]"""
        await super().shutdown(sockets)
        stop_for_good()


def _keep_connections() -> None:
    """Hand connections to PostgreSQL on: each request has a thread of its own, and a new one costs it a tenth."""
    if connection.vendor == "postgresql":
        connection.close()
        told = connections.settings["default"]
        told["CONN_HEALTH_CHECKS"] = True  # one that the server ended meanwhile is not handed on
        told["OPTIONS"] = {**told.get("OPTIONS", {}), "pool": KEPT_CONNECTIONS}


def run(listener: socket.socket) -> None:
    """Serve until SIGTERM or Ctrl-C; the process then ends by that signal. [-]"""
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    _keep_connections()
    config = uvicorn.Config(
        "jetwright.web.asgi:application",
        http=_Impatient,
        lifespan="off",
        log_config=None,
        access_log=False,
        server_header=False,
        # X-Forwarded-For and -Proto are believed only where somebody said that a proxy stands in front
        proxy_headers=os.environ.get("JETWRIGHT_HTTPS") == "yes",
        timeout_graceful_shutdown=GRACE,
    )
    threading.Thread(target=warm, daemon=True).start()
    _Server(config).run(sockets=[listener])
