"""The inlet side of a plan: what the pump finds at its inlet, for a page and for other programs."""

from collections.abc import Iterator

from rich.console import RenderableType

from jetwright.plan.answer import InletSide, TaskPlan
from jetwright.plan.inlet import BOOSTED, FLOODED, LEAST_GAUGE, LONGEST
from jetwright.report.figures import unit_for
from jetwright.report.terminal import figure, glued, grid, section
from jetwright.report.wording import _
from jetwright.rig.description import Job, Suction


def inlet_section(task: TaskPlan, job: Job, system: str = "si") -> RenderableType | None:
    """What the pump finds at its inlet, under its title; None where neither line nor hydrant is described. [-]

    Parameters
    ----------
    task : TaskPlan
        The plan of a task. [-]
    job : Job
        What was asked: it says what feeds the line. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.report.terminal import page
    >>> from jetwright.rig.description import Hydrant
    >>> from jetwright.rig.example import JOB
    >>> task = replace(plan_job(JOB, basis_for(JOB)).tasks[0], inlet=InletSide(3e5, hydrant=4e-3))
    >>> inlet_section(task, JOB) is None
    True
    >>> tested = replace(JOB, supply=replace(JOB.supply, hydrant=Hydrant(5e5, 4e5, 2.5e-3)))
    >>> print(page([inlet_section(task, tested)], 80, False))
    <BLANKLINE>
    Water to the pump
      Hydrant  by its test 240 L/min at 3.0 bar; 120 L/min are counted on
    <BLANKLINE>

    References
    ----------
    Our own layout.
    """
    rows = inlet_rows(task, job, system)
    if not rows:
        return None
    table = grid("left", "left")
    for name, words in rows:
        table.add_row(name, glued(words))
    return section(_("Water to the pump"), table)


def inlet_rows(task: TaskPlan, job: Job, system: str = "si") -> list[tuple[str, str]]:
    """What the pump finds at its inlet, a label and its words a line; none where nothing is described. [-]

    Parameters
    ----------
    task : TaskPlan
        The plan of a task. [-]
    job : Job
        What was asked: it says what feeds the line. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> task = plan_job(JOB, basis_for(JOB)).tasks[0]
    >>> job = replace(JOB, unit=replace(JOB.unit, suction=Suction(0.05, 3.0, 0.4)))
    >>> inlet_rows(replace(task, inlet=InletSide(3e5)), job)
    [('Fed by', "the unit's inlet")]

    References
    ----------
    Our own layout.
    """
    inlet, suction = task.inlet, job.unit.suction
    if inlet is None:
        return []
    rows = [] if suction is None else _line(inlet, suction, job, system)
    if inlet.hydrant is not None and (suction is not None or job.supply.hydrant is not None):
        words = _("by its test {flow} at {pressure}; {supply} are counted on")
        if inlet.hydrant < job.supply.flow:
            words = _("by its test {flow} at {pressure}: that is counted on, and not the {supply} of the supply")
        words = words.format(
            flow=figure(inlet.hydrant, "L/min", system),
            pressure=figure(job.supply.pressure, "bar", system),
            supply=figure(job.supply.flow, "L/min", system),
        )
        rows.append((_("Hydrant"), words))
    return rows


def _line(inlet: InletSide, suction: Suction, job: Job, system: str) -> list[tuple[str, str]]:
    rows = [(_("Fed by"), _fed(suction, job, system))]
    if inlet.speed is not None:
        words = _("{length} of {bore}, the water at {speed}; gauge at the pump {pressure}").format(
            length=_metres(suction.length, system),
            bore=figure(suction.bore, "mm", system),
            speed=figure(inlet.speed, "m/s", system),
            pressure=figure(inlet.pressure, "bar", system),
        )
        rows.append((_("Line"), "; ".join([words, *_beyond_practice(inlet, inlet.speed, suction, job, system)])))
    if inlet.npsh is not None and inlet.acceleration_head is not None:
        words = _(
            "{head} above boiling, {pulses} taken off for the plungers' pulses (Hydraulic Institute, from memory)"
        )
        if inlet.npsh < 0.0:
            words = _(
                "the water would boil on its way in, {head} short of not doing so, {pulses} taken off for the "
                "plungers' pulses (Hydraulic Institute, from memory)"
            )
        words = words.format(head=_metres(abs(inlet.npsh), system), pulses=_metres(inlet.acceleration_head, system))
        if suction.length > LONGEST:
            words += "; " + _("that is reckoned for short and stiff lines, up to {length}").format(
                length=_metres(LONGEST, system)
            )
        if inlet.needed is None:
            words += "; " + _("what the plate asks for is not given")
        else:
            words += "; " + _("the plate asks for {needed}").format(needed=_metres(inlet.needed, system))
        rows.append((_("Suction head"), words))
    if inlet.cover_needed is not None:
        needed = figure(inlet.cover_needed, unit_for("length", inlet.cover_needed), system)
        words = _("keep {needed} of water or more above it against a vortex").format(needed=needed)
        if inlet.cover is not None:
            there = figure(inlet.cover, unit_for("length", inlet.cover), system)
            words += "; " + _("{cover} are there").format(cover=there)
        rows.append((_("Tank's outlet"), words))
    return rows


def _beyond_practice(inlet: InletSide, speed: float, suction: Suction, job: Job, system: str) -> Iterator[str]:
    """What is not done with a line to a pump, by common practice."""
    pressed = suction.boost is not None or job.unit.tank is None
    most = BOOSTED if pressed else FLOODED
    if speed > most:
        words = _("faster than the {speed} that are kept under pressure (common practice)")
        if not pressed:
            words = _("faster than the {speed} that are kept from an open tank (common practice)")
        yield words.format(speed=figure(most, "m/s", system))
    if pressed and inlet.pressure < LEAST_GAUGE:
        yield _("less than the {pressure} that are kept at a pump fed under pressure (common practice)").format(
            pressure=figure(LEAST_GAUGE, "bar", system)
        )


def _fed(suction: Suction, job: Job, system: str) -> str:
    if suction.boost is not None:
        return _("a booster, {pressure}").format(pressure=figure(suction.boost, "bar", system))
    if job.unit.tank is None:
        return _("the unit's inlet")
    level = _metres(abs(suction.level), system)
    if suction.level < 0.0:
        return _("the unit's tank, its water {level} below the pump").format(level=level)
    return _("the unit's tank, its water {level} above the pump").format(level=level)


def _metres(head: float, system: str) -> str:
    return figure(head, "m", system)
