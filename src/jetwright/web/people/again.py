"""Asking again who it is, before something that carries a name."""

from axes.handlers.proxy import AxesProxyHandler
from django.contrib.auth import BACKEND_SESSION_KEY, update_session_auth_hash
from django.http import HttpRequest

from jetwright.web.people.models import LONGEST_PIN, Person
from jetwright.web.people.throttle import tried

PASSWORD_BACKEND = "django.contrib.auth.backends.ModelBackend"


class PasswordFirstError(Exception):
    """What was asked for asks for the password, and a PIN let this person in."""


def confirm(request: HttpRequest, pin: str) -> bool:
    """Whether this is the PIN, or the password, of the person who entered; wrong ones count towards the wait. [-]

    Ask before a transaction begins: one that is undone would undo the count. After the last wrong one the answer
    becomes the page that says how long to wait, whatever the view returns.
    """
    return _same(request, known_by(request, request.user.get_username(), pin))


def confirm_password(request: HttpRequest, password: str) -> bool:
    """Whether this is the password of the person who entered, counted alike; a PIN does not do. [-]"""
    return _same(request, tried(request, request.user.get_username(), password=password))


def known_by(request: HttpRequest, username: str, secret: str) -> Person | None:
    """The person of that name, by their PIN if it looks like one, else by their password. [-]"""
    return tried(request, username, **{sort_of(secret): secret})


def sort_of(secret: str) -> str:
    """As what it is taken: "pin", or "password". [-]"""
    return "pin" if secret.isdecimal() and len(secret) <= LONGEST_PIN else "password"


def by_password(request: HttpRequest) -> bool:
    """Whether this person entered with the password, and has not opened the lock with a PIN since. [-]"""
    return bool(request.session.get(BACKEND_SESSION_KEY) == PASSWORD_BACKEND)


def _same(request: HttpRequest, found: Person | None) -> bool:
    if found is None or found.pk != request.user.pk:
        return False
    if found.get_session_auth_hash() != request.user.get_session_auth_hash():  # hashed anew: the rounds were raised
        update_session_auth_hash(request, found)
    place: str = request.axes_ip_address  # type: ignore[attr-defined]
    AxesProxyHandler.reset_attempts(ip_address=place, username=found.get_username())
    return True
