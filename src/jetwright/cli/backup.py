"""`jetwright backup`: all that a counter keeps into one file, while it runs."""

import sys
from pathlib import Path

import click

from jetwright.cli.counter import counter, data_option, say_rows
from jetwright.cli.output import write, write_error
from jetwright.report.wording import _, ngettext


@click.command(
    name="backup",
    help=_("Write all that the counter keeps into FILE, also while it serves: people, yard, jobs, records, photos."),
    epilog=_(
        "Example: jetwright backup jetwright-2026-05-12.zip\n\n"
        "FILE restores into SQLite and into PostgreSQL. It holds what people typed and their hashed passwords: keep it "
        "where nobody else reads it.\n\n"
        "Exit code 0: written; 1: written, but photos have no file; 2: nothing was written."
    ),
)
@click.argument("file", metavar="FILE", type=click.Path())
@click.option("--overwrite", is_flag=True, help=_("Replace FILE."))
@data_option
def command(file: str, overwrite: bool, data: str | None) -> None:
    """Write the backup and say what is in it. [-]"""
    with counter(data):
        from jetwright.web.serve import set_up

        set_up()
        from jetwright.web.backup import write_backup
        from jetwright.web.place import folder
        from jetwright.web.records.seal import KEY, public_key

        made = write_backup(Path(file).absolute(), overwrite, say_rows)
        key = public_key() if (folder() / KEY).is_file() else ""
    write(_("{file}: written, SHA-256 {digest}").format(file=file, digest=made.digest) + "\n")
    if key:
        write(_("Key of this counter's seals, to keep apart from it: {key}").format(key=key) + "\n")
    if made.lost:
        words = ngettext(
            "{n} photo has no file: {first}", "{n} photos have no file, the first: {first}", len(made.lost)
        )
        write_error(words.format(n=len(made.lost), first=made.lost[0]))
    sys.exit(1 if made.lost else 0)
