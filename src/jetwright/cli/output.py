"""What goes to the terminal: in any encoding, through a pipe that may break, progress only for a person who waits."""

import contextlib
import os
import sys
import threading
from collections.abc import Iterator

from jetwright.report.wording import _

# what an older terminal's encoding lacks, in characters that every encoding has; as wide as what they replace
PLAIN = str.maketrans(
    {
        "■": "#", "▲": "!", "●": "X", "□": "?", "█": "=", "░": ".", "│": "|", "┃": "|", "─": "-", "→": ">", "·": "-",
        "×": "x", "−": "-", "–": "-", "±": "~", "≤": "<", "≥": ">", "≈": "~", "²": "2", "³": "3", "°": "o", "⌀": "d",
        "“": '"', "”": '"', "‘": "'", "’": "'", "…": ".",
    }
)  # fmt: skip


def say_safely() -> None:
    """Let no character that a terminal lacks end a command: it is shown as a plain one, or as "?". [-]

    Examples
    --------
    >>> say_safely()

    References
    ----------
    Our own convention.
    """
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError, ValueError):
            stream.reconfigure(errors="replace")  # type: ignore[union-attr]


# what a file must not do to a terminal: control characters but tab and line end, and marks that turn text round
UNSEEN = dict.fromkeys((*range(9), *range(11, 32), *range(127, 160), *range(8234, 8239), *range(8294, 8298)), "�")


def _encodable(text: str, encoding: str | None) -> str:
    try:
        text.encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return text.translate(PLAIN)
    return text


def write(text: str) -> None:
    """Write to standard output; a reader who has gone away is no error. [-]

    Parameters
    ----------
    text : str
        What to write, with its line ends. [-]

    Examples
    --------
    >>> write("933 bar\\n")
    933 bar

    References
    ----------
    Our own convention: `jetwright plan … | head` is quiet, and the exit code stays the verdict.
    """
    try:
        sys.stdout.write(_encodable(text, getattr(sys.stdout, "encoding", None)))
        sys.stdout.flush()
    except BrokenPipeError:
        _discard(sys.stdout.fileno())


def write_error(line: str) -> None:
    """Write one line to standard error. [-]

    Parameters
    ----------
    line : str
        What to write, without a line end. [-]

    Examples
    --------
    >>> write_error("job.toml:3: supply.flow: a unit is missing")

    References
    ----------
    Our own convention.
    """
    try:
        sys.stderr.write(_encodable(line.translate(UNSEEN), getattr(sys.stderr, "encoding", None)) + "\n")
        sys.stderr.flush()
    except BrokenPipeError:
        _discard(sys.stderr.fileno())


def _discard(descriptor: int) -> None:
    """Point a broken stream at nothing, so that the interpreter's last flush finds no broken pipe either."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, descriptor)
    os.close(nothing)


class Progress:
    """Says on standard error which task is being planned, once a person has waited a second. [-]

    Parameters
    ----------
    after : float
        How long it stays quiet. [s]

    Examples
    --------
    >>> with Progress() as progress:
    ...     progress("Morning")

    References
    ----------
    Our own convention.
    """

    def __init__(self, after: float = 1.0) -> None:
        self._shown = sys.stderr.isatty()
        self._timer = threading.Timer(after, self._overdue) if self._shown else None
        self._late = False
        self._task = ""

    def __enter__(self) -> "Progress":
        if self._timer:
            self._timer.daemon = True
            self._timer.start()
        return self

    def __exit__(self, *_exc: object) -> None:
        if self._timer:
            self._timer.cancel()
        if self._late:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()

    def __call__(self, task: str) -> None:
        self._task = task
        if self._late:
            self._say()

    def _overdue(self) -> None:
        self._late = True
        self._say()

    def _say(self) -> None:
        line = _("Planning {task} …").format(task=self._task)
        sys.stderr.write("\r\x1b[K" + _encodable(line, sys.stderr.encoding))
        sys.stderr.flush()


@contextlib.contextmanager
def refusals() -> Iterator[None]:
    """Print every problem of a refused file, one a line, sorted by file and line, and leave with exit code 2. [-]

    Raises
    ------
    SystemExit
        With code 2, when the block raised an error of ours.

    Examples
    --------
    >>> with refusals():
    ...     pass

    References
    ----------
    Our own convention.
    """
    from jetwright.errors import JetwrightError
    from jetwright.report.problems import refusal_lines

    try:
        yield
    except JetwrightError as error:
        for line in refusal_lines(error):
            write_error(line)
        sys.exit(2)
