"""A group that knows its commands' names and one line each, and imports a command only when it runs."""

import importlib
from collections.abc import Mapping
from typing import Any

import click

from jetwright.report.wording import _

COMMANDS: dict[str, str] = {
    "plan": _("Work out what to set for each task, and what it asks of the rig."),
    "check": _("Hold each task to every limit, the worst first, with what to do."),
    "tips": _("Choose tips out of the box: the most jet power that every limit allows."),
    "compare": _("Set two tasks side by side: what each asks, uses and costs."),
    "change": _("Say what must not be left on, and what changes, from one task to the next."),
    "draws": _("Draw what nobody measured many times over, and say what to measure first."),
    "sheet": _("Write the job sheet of each task: one page to print, sign and take along."),
    "fit": _("Say what a gauge reading tells about a rig, and keep it."),
    "goals": _("List published grades and pressure classes, by edition."),
    "fmt": _("Rewrite job files in order, keeping comments and units."),
    "schema": _("Print the JSON schema of a job file."),
    "serve": _("Serve the pages: yard, jobs, plans and records, to the browsers of this machine."),
    "backup": _("Write all that the counter keeps into one file, also while it serves."),
    "restore": _("Put a backup into an empty place: all of it, or nothing."),
}


class LazyGroup(click.Group):
    """Commands that live in `jetwright.cli.<name>` as `command`. [-]"""

    def __init__(self, *args: Any, commands_of: Mapping[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.commands_of = commands_of

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of a day's work. [-]"""
        return list(self.commands_of)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command, imported now. [-]"""
        if cmd_name not in self.commands_of:
            return None
        command: click.Command = importlib.import_module(f"jetwright.cli.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing them. [-]"""
        with formatter.section(_("Commands")):
            formatter.write_dl(list(self.commands_of.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that was typed, or a refusal that names the nearest. [-]"""
        name = args[0]
        if name not in self.commands_of and not name.startswith("-"):
            import difflib

            nearest = difflib.get_close_matches(name, self.commands_of, 1)
            known = ", ".join(self.commands_of)
            text = _("There is no command “{name}”.").format(name=name)
            if nearest:
                text += " " + _("Did you mean “{nearest}”?").format(nearest=nearest[0])
            ctx.fail(text + " " + _("Commands: {known}.").format(known=known))
        return super().resolve_command(ctx, args)
