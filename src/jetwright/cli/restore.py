"""`jetwright restore`: a backup into an empty place, all of it or nothing."""

from pathlib import Path

import click

from jetwright.cli.counter import counter, data_option, say_rows
from jetwright.cli.output import write, write_error
from jetwright.report.wording import _


@click.command(
    name="restore",
    help=_("Put the backup FILE into an empty place: all of it, or nothing."),
    epilog=_(
        "Example: jetwright restore jetwright-2026-05-12.zip --data ./counter\n\n"
        "Exit code 0: restored, or with --dry-run it would be; 2: refused, and nothing was restored."
    ),
)
@click.argument("file", metavar="FILE", type=click.Path())
@click.option("--dry-run", is_flag=True, help=_("Verify all of FILE; change nothing."))
@data_option
def command(file: str, dry_run: bool, data: str | None) -> None:
    """Restore, and say what came back. [-]"""
    with counter(data):
        from jetwright.web.serve import set_up

        set_up()
        from jetwright.web.place import folder
        from jetwright.web.records.seal import KNOWN
        from jetwright.web.restore import restore

        told = restore(Path(file).absolute(), dry_run, say_rows)
        known = folder() / KNOWN
    for finding in told.findings:
        write_error(finding)
    for key in told.keys:
        words = _(
            "Records are sealed with the key {key}, which this counter does not know. If it is the one that was noted "
            "where they come from, add it as a line to {file}."
        )
        write_error(words.format(key=key, file=known))
    if dry_run:
        words = _("{file} of {made_at} is whole and can be restored; nothing was changed. SHA-256 {digest}")
    else:
        words = _("{file} of {made_at} is restored; everyone enters with their password again. SHA-256 {digest}")
    write(words.format(file=file, made_at=told.made_at, digest=told.digest) + "\n")
