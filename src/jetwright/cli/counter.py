"""What the commands of the counter take alike: where its data is, what must be installed, how a refusal is told."""

import contextlib
import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import click

from jetwright.cli.output import write, write_error
from jetwright.report.wording import N_, _

_NEEDED = ("django", "auditlog", "axes", "csp", "django_htmx", "ninja", "PIL", "platformdirs", "servestatic", "uvicorn")

_CALLED = {
    "auth.group": N_("groups"),
    "people.person": N_("people"),
    "people.crew": N_("crews"),
    "people.membership": N_("roles in crews"),
    "yard.piece": N_("pieces of the yard"),
    "yard.photo": N_("photos"),
    "photos": N_("files of photos"),
    "jobs.job": N_("jobs"),
    "jobs.task": N_("tasks"),
    "records.record": N_("records"),
    "auditlog.logentry": N_("entries of the trail"),
}


def say_rows(model: str, count: int) -> None:
    """Say how many rows there were of a model. [-]

    Parameters
    ----------
    model : str
        Its app and name, "photos" for the photos' files. [-]
    count : int
        How many. [-]

    Examples
    --------
    >>> say_rows("people.person", 9)
           9  people

    References
    ----------
    Our own convention.
    """
    write(f"{count:>8}  {_(_CALLED.get(model, model))}\n")


def data_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the folder in which the counter keeps what is its own. [-]

    Parameters
    ----------
    command : Callable
        The command's function. [-]

    Examples
    --------
    >>> len(data_option(lambda **_: None).__click_params__)
    1

    References
    ----------
    Our own convention.
    """
    text = _("Where the counter keeps its data. [default: JETWRIGHT_DATA, else a folder of your own]")
    return click.option("--data", metavar="FOLDER", type=click.Path(file_okay=False), help=text)(command)


@contextlib.contextmanager
def counter(data: str | None) -> Iterator[None]:
    """What the counter needs is there, its data is in this folder, and a refusal leaves with exit code 2. [-]

    Parameters
    ----------
    data : str or None
        The folder that was asked for; None: what the environment says. [-]

    Raises
    ------
    SystemExit
        With code 2, when something is not installed or the block was refused.

    Examples
    --------
    >>> with counter(None):
    ...     pass

    References
    ----------
    Our own convention.
    """
    from importlib.util import find_spec

    if any(find_spec(name) is None for name in _NEEDED):
        write_error(_('The counter needs packages that are not installed. Type: pip install "jetwright[web]"'))
        sys.exit(2)
    if data is not None:
        os.environ["JETWRIGHT_DATA"] = str(Path(data).absolute())
    from jetwright.web.place import RefusedError

    try:
        yield
    except RefusedError as error:
        write_error(str(error))
        sys.exit(2)
