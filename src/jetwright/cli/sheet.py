"""`jetwright sheet`: a job file in, one printable page for each task out."""

import datetime
import sys

import click

from jetwright.cli.options import Day, Name, job_options
from jetwright.cli.output import Progress, refusals, write, write_error
from jetwright.report.wording import _

MOST_NAMED = 6
"""Most names of older sheets that are told."""
MOST_SIGNS = 20
"""Most signs that are told."""


@click.command(
    name="sheet",
    help=_("Write the job sheet of each task of JOB: one page to print, sign and take along."),
    epilog=_(
        "Example: jetwright sheet job.toml --paper letter --units us\n\n"
        "Exit code 0: no task is refused; 3: a task is not allowed (its sheet says so); 2: a file or an option cannot "
        "be read or written."
    ),
)
@job_options
@click.option(
    "--into",
    metavar="FOLDER",
    default="sheets",
    show_default=True,
    type=click.Path(),
    help=_("Where the sheets are kept."),
)
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help=_("Size of the page.")
)
@click.option(
    "--format",
    "kinds",
    type=click.Choice(["pdf", "png", "svg"]),
    multiple=True,
    default=["pdf"],
    show_default=True,
    help=_("PDF, or a picture of the page; svg: the pressure profile alone. May be given more than once."),
)
@click.option(
    "--earlier", metavar="OLD", type=click.Path(), help=_("The job file before it was changed after a refusal.")
)
@click.option("--who", metavar="NAME", type=Name(), help=_("Who changed it since."))
@click.option("--when", metavar="YYYY-MM-DD", type=Day(), help=_("When it was changed."))
@click.option(
    "--back", is_flag=True, help=_("A second page to print on the back: the change card, and what the work does.")
)
@click.option("--overwrite", is_flag=True, help=_("Replace sheets that say something else."))
@click.option("--dry-run", is_flag=True, help=_("Write nothing; say what would be written."))
def command(
    job: str,
    task: str | None,
    into: str,
    paper: str,
    units: str,
    kinds: tuple[str, ...],
    earlier: str | None,
    who: str | None,
    when: datetime.date | None,
    day: datetime.date | None,
    back: bool,
    overwrite: bool,
    dry_run: bool,
) -> None:
    """Write the sheets. [-]"""
    told = (earlier, who, when)
    if any(part is not None for part in told) and None in told:
        raise click.UsageError(
            _("--earlier, --who and --when belong together: which file, changed by whom, on which day.")
        )
    if set(kinds) - {"svg"} and not _typesetter():
        write_error(_('Sheets need typst, which is not installed. Type: pip install "jetwright[sheets]"'))
        sys.exit(2)
    from jetwright.actions.sheet import Earlier, keep, older, sheets

    before = None
    if earlier is not None and who is not None and when is not None:
        before = Earlier(earlier, who, when)
    with refusals(), Progress() as progress:
        answer, made = sheets(
            job,
            task=task,
            kinds=kinds,  # type: ignore[arg-type]
            paper=paper,
            system=units,
            day=day,
            earlier=before,
            back=back,
            lost=_lost,
            boxed=_boxed,
            progress=progress,
        )
        kept = keep(into, made, overwrite=overwrite, dry_run=dry_run)
    for each in kept:
        write(_line(each.done, dry_run).format(file=each.path) + "\n")
    left = older(into, made)
    if left:
        names = ", ".join(" ".join(name.split()) for name in left[:MOST_NAMED])
        if len(left) > MOST_NAMED:
            names += _(" and {n} more").format(n=len(left) - MOST_NAMED)
        write_error(_("{folder}: older sheets lie here too: {names}").format(folder=into, names=names))
    sys.exit(3 if any(planned.verdict == "not_allowed" for planned in answer.tasks) else 0)


def _lost(task: str) -> None:
    write_error(_("“{task}” was refused before, and no task here is that one: it was not compared").format(task=task))


def _boxed(task: str, signs: str) -> None:
    shown = " ".join(signs[:MOST_SIGNS]) + (" …" if len(signs) > MOST_SIGNS else "")
    words = _("“{task}”: the sheet's font has no {signs}: boxes stand in their place. Write it in Latin letters.")
    write_error(words.format(task=task, signs=shown))


def _typesetter() -> bool:
    from importlib.util import find_spec

    return find_spec("typst") is not None


def _line(done: str, dry_run: bool) -> str:
    if dry_run:
        return {
            "written": _("{file}: would be written"),
            "replaced": _("{file}: would be replaced"),
            "same": _("{file}: is there already"),
        }[done]
    return {"written": "{file}", "replaced": _("{file}: replaced"), "same": _("{file}: was there already")}[done]
