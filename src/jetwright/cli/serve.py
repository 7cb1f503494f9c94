"""`jetwright serve`: yard, jobs, plans and records as pages, for the browsers of this machine."""

import click

from jetwright.cli.counter import counter, data_option
from jetwright.cli.output import write
from jetwright.report.wording import _


@click.command(
    name="serve",
    help=_("Serve the pages: yard, jobs, plans and records, to the browsers of this machine."),
    epilog=_(
        "Example: jetwright serve --port 8000\n\n"
        "The rows lie in an SQLite file in the data folder, or in the PostgreSQL database that DATABASE_URL names. "
        "Tablets reach the pages through a server with a certificate in front of it, never directly.\n\n"
        "Exit code 2: the port, the folder or the database cannot be used."
    ),
)
@click.option("--port", type=click.IntRange(1, 65535), default=8000, show_default=True, help=_("Where to listen."))
@data_option
def command(port: int, data: str | None) -> None:
    """Make what is not there yet, and serve. [-]"""
    with counter(data):
        from jetwright.web.serve import LOOPBACK, first_address, listen, make_place, run

        listener = listen(port)
        make_place(_say)
        link = first_address(port)
        if link:
            _say(_("Nobody has an account yet. The first one is made here, once: {address}").format(address=link))
        _say(
            _("Open http://{host}:{port}/ in a browser on this machine. Ctrl-C stops.").format(host=LOOPBACK, port=port)
        )
        run(listener)


def _say(line: str) -> None:
    write(line + "\n")
