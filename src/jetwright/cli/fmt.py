"""`jetwright fmt`: rewrite job files in order, keeping comments and written units."""

import sys

import click

from jetwright.cli.output import UNSEEN, refusals, write, write_error
from jetwright.report.wording import _


@click.command(
    name="fmt",
    help=_("Rewrite each JOB in the order of the job file's tables, keeping comments and units as written."),
    epilog=_(
        "Example: jetwright fmt --diff job.toml\n\n"
        "With --check or --diff nothing is written. Exit code 1: --check found a file that is not in order."
    ),
)
@click.argument("jobs", metavar="JOB...", nargs=-1, required=True, type=click.Path())
@click.option("--check", is_flag=True, help=_("Write nothing; say which files are not in order."))
@click.option("--diff", "show_diff", is_flag=True, help=_("Write nothing; show what would change."))
def command(jobs: tuple[str, ...], check: bool, show_diff: bool) -> None:
    """Format job files. [-]"""
    from jetwright.actions.format import format_job_file

    refused = differs = False
    for job in jobs:
        try:
            with refusals():
                done = format_job_file(job, write=not (check or show_diff))
        except SystemExit:
            refused = True
            continue
        differs = differs or done.changed
        if show_diff and done.changed:
            text = done.diff()
            write(text.translate(UNSEEN) if sys.stdout.isatty() else text)
        write_error(_said(job, done.changed, dry=check or show_diff))
    sys.exit(2 if refused else 1 if check and differs else 0)


def _said(job: str, changed: bool, dry: bool) -> str:
    if not changed:
        return _("{file}: in order, nothing to change").format(file=job)
    if dry:
        return _("{file}: would be rewritten; nothing was written").format(file=job)
    return _("{file}: rewritten").format(file=job)
