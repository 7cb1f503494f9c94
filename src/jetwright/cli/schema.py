"""`jetwright schema`: the JSON schema of a job file, for editors and other programs."""

import click

from jetwright.cli.output import write
from jetwright.report.wording import _


@click.command(
    name="schema",
    help=_("Print the JSON schema of a job file, for editors that complete and check while you type."),
    epilog=_("Example: jetwright schema > job.schema.json"),
)
def command() -> None:
    """Print the JSON schema. [-]"""
    import json

    from jetwright.actions.schema import schema

    write(json.dumps(schema(), indent=2) + "\n")
