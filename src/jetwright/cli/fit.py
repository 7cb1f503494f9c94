"""`jetwright fit`: what the gauge showed in, what would explain it out, and the reading kept in the job file."""

import contextlib
import datetime
import sys
from collections.abc import Iterator

import click

from jetwright.cli.options import job_options, json_option, shape_of_page
from jetwright.cli.output import UNSEEN, refusals, write, write_error
from jetwright.report.wording import _

OPTIONS = {
    "task": "--task",
    "pump_speed": "--speed",
    "gauge": "--gauge",
    "tips": "--tips",
    "flow": "--flow",
    "pin": "--pin",
    "flush": "--flush",
}
"""Key of a reading → the option that it is typed with."""


@click.command(
    name="fit",
    help=_(
        "Say what one reading at the proving point tells about the rig of JOB: what alone would explain it, the speed "
        "that follows, the recoil that is judged. Without a reading: those JOB holds, and whether each still holds."
    ),
    epilog=_(
        'Example: jetwright fit job.toml --task "Pipe end by gun" --speed "120 rpm" --gauge "696 bar"\n\n'
        "Exit code 0: adopted, or every reading holds; 3: not adopted, no longer of this rig and day, or its task is "
        "not allowed; "
        "2: a file or an option cannot be read or tells nothing."
    ),
)
@job_options
@json_option
@click.option(
    "--speed", "pump_speed", metavar="SPEED", help=_("Pump speed at which the gauge was read, as in “120 rpm”.")
)
@click.option("--gauge", metavar="PRESSURE", help=_("What the gauge showed there, as in “696 bar”."))
@click.option("--tips", type=click.Choice(["new", "pinned"]), help=_("The tips are new, or were gauged with pins."))
@click.option(
    "--flow",
    metavar="FLOW",
    help=_(
        "Through all jets at that speed: by a flow meter at the inlet, or the fall of the supply tank in a timed "
        "minute, bypass shut. No drum at a jet under pressure."
    ),
)
@click.option("--pin", metavar="BORE", help=_("Bore of the tips by pin gauges."))
@click.option("--flush", metavar="PRESSURE", help=_("What the gauge shows at that speed with the tips off."))
@click.option("--adopt", is_flag=True, help=_("Keep the reading in JOB, as it was typed; its plans then hold to it."))
@click.option("--diff", "show_diff", is_flag=True, help=_("Write nothing; show what --adopt would change."))
def command(
    job: str,
    as_json: bool,
    units: str,
    task: str | None,
    day: datetime.date | None,
    adopt: bool,
    show_diff: bool,
    **typed: str | None,
) -> None:
    """Fit a reading. [-]"""
    measured = {key: text for key, text in typed.items() if text is not None}
    _belong_together(measured, adopt, show_diff, as_json)
    from jetwright.actions.fit import fit_reading, held_readings, keep_reading

    with refusals(), _by_option():
        if not measured:
            fits = held_readings(job, task=task, day=day)
        else:
            fits = fit_reading(job, measured, task=task, day=day)
        refused = any(one.refused_without for one in fits.found)
        kept = None
        if (adopt or show_diff) and not refused and all(one.fit.adopted for one in fits.found):
            kept = keep_reading(fits, write=not show_diff)
    in_file = kept is not None or not measured
    if show_diff:
        if kept is not None:
            text = kept.diff()
            write(text.translate(UNSEEN) if sys.stdout.isatty() else text)
    elif as_json:
        from jetwright.report.fit_json import fits_json

        write(fits_json(fits.plan, fits.found, kept=in_file) + "\n")
    else:
        from jetwright.report.fit_table import fit_table

        width, colour = shape_of_page()
        write(fit_table(fits.plan, fits.job, fits.found, system=units, width=width, colour=colour, kept=in_file))
    if adopt or show_diff:
        replaced = kept is not None and kept.replaced
        write_error(_said(job, kept is not None, replaced, dry=show_diff, refused=refused))
    sys.exit(0 if fits.hold else 3)


def _belong_together(measured: dict[str, str], adopt: bool, show_diff: bool, as_json: bool) -> None:
    if measured and not {"pump_speed", "gauge"} <= measured.keys():
        raise click.UsageError(_("A reading is a speed and what the gauge showed there: type --speed and --gauge."))
    if (adopt or show_diff) and not measured:
        raise click.UsageError(_("--adopt and --diff need a reading: type --speed and --gauge."))
    if show_diff and (as_json or adopt):
        raise click.UsageError(
            _("--diff shows what would be written and nothing else: type it without --json and --adopt.")
        )


@contextlib.contextmanager
def _by_option() -> Iterator[None]:
    """What is wrong with what was typed stands by its option."""
    from dataclasses import replace

    from jetwright.errors import RigError

    try:
        yield
    except RigError as error:
        raise RigError(
            [
                replace(one, key=(OPTIONS[str(one.key[0])],))
                if not one.file and len(one.key) == 1 and one.key[0] in OPTIONS
                else one
                for one in error.problems
            ]
        ) from error


def _said(job: str, kept: bool, replaced: bool, *, dry: bool, refused: bool) -> str:
    if refused:
        return _("{file}: nothing was written; the task is not allowed, whatever the gauge shows").format(file=job)
    if not kept:
        return _("{file}: nothing was written; the reading is explained first").format(file=job)
    if dry:
        words = _("{file}: the reading would be kept; nothing was written")
        if replaced:
            words = _("{file}: the reading would take the place of one of that task and day; nothing was written")
    else:
        words = _("{file}: the reading is kept")
        if replaced:
            words = _("{file}: the reading is kept, in the place of one of that task and day")
    return words.format(file=job)
