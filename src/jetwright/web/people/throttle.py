"""Tries of a password or a PIN, one at a time: whether there may be one, the try and its count are one step.

Hashing is slow on purpose, so two are hashed at once at most: one of strangers, one of those who entered here before.
Those are known by the name that is tried: with any other, whoever entered here is a stranger.
"""

import hashlib
import ipaddress
import threading
import time
import zlib
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

from axes.handlers.proxy import AxesProxyHandler
from django.contrib.auth import authenticate
from django.db import DatabaseError, OperationalError, connection
from django.http import HttpRequest

from jetwright.web.held import BusyError
from jetwright.web.people.devices import known
from jetwright.web.people.models import Device, Entered, Person

QUEUE = 8
"""How many wait for their turn; whoever comes then is told to come again."""
OF_ONE_NAME = 2
"""How many of those who are known try, or wait, with the same name; so one keeps no other from a turn."""
PATIENCE = 10.0
"""How long they wait. [s]"""
OURS = 0x6A65
"""Names our locks among those of a PostgreSQL server."""


class _Gate:
    """Lets one through at a time, and some wait."""

    def __init__(self) -> None:
        self.turn = threading.Lock()
        self.places = threading.BoundedSemaphore(QUEUE + 1)

    @contextmanager
    def passed(self) -> Iterator[None]:
        """One's turn; BusyError where too many wait, or it takes too long."""
        if not self.places.acquire(blocking=False):
            raise BusyError
        try:
            with _held(self.turn):
                yield
        finally:
            self.places.release()


_STRANGERS, _KNOWN = _Gate(), _Gate()
_TRYING: Counter[str] = Counter()
_COUNTING = threading.Lock()
_NAMES = [threading.Lock() for _ in range(64)]
_OWED: dict[tuple[str, str], int] = {}
"""Wrong tries that could not be written down: name, place → how many; they are, before there is another."""


def tried(request: HttpRequest, username: str, **secret: str) -> Person | None:
    """Whose password or PIN this is, a wrong one counted; BusyError where nobody can say now. [-]"""
    device = known(request)
    here = _entered(device, username) or request.user.get_username() == username
    with _known(username) if here else _STRANGERS.passed(), _alone(username):
        AxesProxyHandler.update_request(request)  # type: ignore[no-untyped-call]
        place: Any = place_of(request, device, username)
        request.axes_ip_address = place  # type: ignore[attr-defined]
        _settle(request, username, place)
        try:
            found = authenticate(request, username=username, **secret)
        except OperationalError as error:
            _OWED[username, place] = _OWED.get((username, place), 0) + 1
            raise BusyError from error
    return found if isinstance(found, Person) else None


def place_of(request: HttpRequest, device: Device | None, username: str) -> Any:
    """Where tries of a name are counted: on a device where that person entered, else at the address they come from. [-]

    A device is written as an address of a network that is nobody's (RFC 4193), for tries are kept by address.
    """
    if device is not None and _entered(device, username):
        return str(ipaddress.IPv6Address(b"\xfd" + hashlib.sha256(device.token.encode()).digest()[:15]))
    return request.META.get("REMOTE_ADDR")


def _entered(device: Device | None, username: str) -> bool:
    return device is not None and bool(Entered.objects.filter(device=device, person__username=username).exists())


@contextmanager
def _known(username: str) -> Iterator[None]:
    """One's turn among those who are known, not many with one name; BusyError as at the gate."""
    with _COUNTING:
        if _TRYING[username] >= OF_ONE_NAME:
            raise BusyError
        _TRYING[username] += 1
    try:
        with _KNOWN.passed():
            yield
    finally:
        with _COUNTING:
            _TRYING[username] -= 1


def _settle(request: HttpRequest, username: str, place: str) -> None:
    """Write down what is owed before anything is tried again."""
    try:
        while _OWED.get((username, place)):
            AxesProxyHandler.user_login_failed(__name__, {"username": username}, request)
            _OWED[username, place] -= 1
    except OperationalError as error:
        raise BusyError from error
    _OWED.pop((username, place), None)


@contextmanager
def _alone(username: str) -> Iterator[None]:
    """Nobody else tries this name meanwhile: in this process, nor in another that serves the same database."""
    with _held(_NAMES[zlib.crc32(username.encode()) % len(_NAMES)]):
        if connection.vendor != "postgresql":  # SQLite is served by one process
            yield
            return
        name = [OURS, zlib.crc32(username.encode()) - 2**31]
        end = time.monotonic() + PATIENCE
        while not _asked("SELECT pg_try_advisory_lock(%s, %s)", name):
            if time.monotonic() > end:
                raise BusyError
            time.sleep(0.05)
        try:
            yield
        finally:
            with suppress(DatabaseError):  # gone with its connection, then
                _asked("SELECT pg_advisory_unlock(%s, %s)", name)


def _asked(statement: str, values: list[int]) -> bool:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
        return bool(cursor.fetchone()[0])


@contextmanager
def _held(lock: threading.Lock) -> Iterator[None]:
    if not lock.acquire(timeout=PATIENCE):
        raise BusyError
    try:
        yield
    finally:
        lock.release()
