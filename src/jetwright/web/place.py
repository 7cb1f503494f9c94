"""Where a counter keeps what is its own: the database, the photos, and two secrets that no backup holds."""

import os
import secrets
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from urllib.parse import urlsplit

from platformdirs import user_data_path

from jetwright.report.wording import _

LOCK = "serving.lock"
"""The file by which one command that serves or restores keeps others out; it is empty, and stays."""


class RefusedError(Exception):
    """What a command of the counter will not do; its text is for who typed the command."""


def folder() -> Path:
    """The data folder: JETWRIGHT_DATA, or the user's own. [-]"""
    named = os.environ.get("JETWRIGHT_DATA", "")
    return Path(named) if named else user_data_path("jetwright", appauthor=False)


def photos() -> Path:
    """The folder of the photos. [-]"""
    return folder() / "photos"


def public_address(given: str) -> str:
    """An address as it is set, without a stroke at its end; ValueError where it is none that a code may lead to. [-]"""
    told = given.strip().removesuffix("/")
    parts = urlsplit(told)
    bare = f"{parts.scheme}://{parts.netloc}"
    named = parts.scheme in ("http", "https") and parts.hostname and "@" not in parts.netloc
    if not named or told != bare or any(sign.isspace() for sign in told) or parts.port == 0:
        raise ValueError(given)
    return told


def make() -> None:
    """Make the folder and its secret where they are not there yet; nobody else on the machine may read them. [-]"""
    folder().mkdir(mode=0o700, parents=True, exist_ok=True)
    photos().mkdir(mode=0o700, exist_ok=True)
    keep_secret("session.key", lambda: secrets.token_urlsafe(48).encode())


def private() -> None:
    """Whatever this process makes from here on, nobody else on the machine may read. [-]"""
    os.umask(0o077)


def hold(alone: bool) -> None:
    """Keep this folder until the process ends, however it ends; RefusedError where another has it. [-]

    alone: nobody else may hold it; else those may who do not ask for it alone either.
    """
    try:
        handle = os.open(folder() / LOCK, os.O_RDWR | os.O_CREAT, 0o600)
        had = _locked(handle, alone)
    except OSError as error:
        words = _("The folder {folder} cannot be used; it has to lie on a disk of this machine: {why}")
        raise RefusedError(words.format(folder=folder(), why=error.strerror)) from error
    if not had:
        words = _("A counter serves from {folder} already. Stop it first, or choose another folder: --data FOLDER")
        raise RefusedError(words.format(folder=folder()))


def _locked(handle: int, alone: bool) -> bool:
    """Whether the file could be locked; the system lets go of it when the process is gone."""
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    return True


def open_to_others() -> bool:
    """Whether somebody else on the machine may look into the folder; what the database keeps, none may read. [-]"""
    if os.name != "posix":
        return False
    for name in ("jetwright.sqlite3", "jetwright.sqlite3-wal", "jetwright.sqlite3-shm"):
        with suppress(FileNotFoundError, PermissionError):
            (folder() / name).chmod(0o600)
    return bool(folder().stat().st_mode & 0o077)


def session_secret() -> str:
    """What signs the sessions: JETWRIGHT_SECRET, or the folder's; a passing one where no folder was made. [-]"""
    given = os.environ.get("JETWRIGHT_SECRET", "")
    if given:
        return given
    path = folder() / "session.key"
    return path.read_text() if path.is_file() else secrets.token_urlsafe(48)


def keep_secret(name: str, fresh: Callable[[], bytes]) -> bytes:
    """The secret of that name; made anew, whole or not at all, where there is none. [-]

    Two processes that start at once end with the same one.
    """
    path = folder() / name
    if not path.is_file():
        beside = folder() / f".{name}.{secrets.token_hex(8)}"
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(fresh())
        try:
            os.link(beside, path)
        except FileExistsError:
            pass
        except OSError:  # a file system without links
            if not path.is_file():
                beside.replace(path)
        beside.unlink(missing_ok=True)
    return path.read_bytes()
