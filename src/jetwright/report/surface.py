"""How a tool covers a surface: pass, turns, travel, stripes and what is cleaned in an hour."""

import math
from collections.abc import Iterable, Sequence

from rich.console import RenderableType

from jetwright import units
from jetwright.plan.answer import Coverage, JetAtTarget, TaskPlan
from jetwright.plan.coverage import at_work_of
from jetwright.report.figures import POUND_FOOT, percent
from jetwright.report.terminal import figure
from jetwright.report.wording import _, ngettext
from jetwright.report.work import described_task, labelled, length_words, spread_words, tool_name, tool_of
from jetwright.rig.description import Job

SQUARE_FOOT = 0.3048**2
"""NIST SP 811. [m²]"""
HORSEPOWER_HOUR = units.of(1.0, "hp") * 3600.0
"""NIST SP 811. [J]"""


def coverage_section(task: TaskPlan, job: Job, system: str = "si") -> RenderableType | None:
    """How each tool covers the surface; None where nothing is known of it, or the task is refused. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> from jetwright.report.terminal import page
    >>> from jetwright.rig.example import JOB
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> cover = (Coverage(1, 2, width=0.3, travel=0.1, turns=25.0, advance=0.004, least_turns=23.81),)
    >>> proving = ProvingPoint(2.0, 0.0, 1e7)
    >>> task = TaskPlan("Bund", "look", setting, proving, (), (), None, None, (), (), coverage=cover)
    >>> print(page([coverage_section(task, JOB)], 100, False).splitlines()[3])
      Turns    1500 rpm: 4.00 mm on in a turn

    References
    ----------
    Our own layout.
    """
    return labelled(_("Over the surface"), coverage_rows(task, job, system))


def coverage_rows(task: TaskPlan, job: Job, system: str = "si") -> list[tuple[str, str]]:
    """How each tool covers the surface, a label and its words a line; several tools stand under their names. [-]

    Parameters
    ----------
    task : TaskPlan
        The task; a refused one has none. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> from jetwright.rig.example import JOB
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> cover = (Coverage(1, 2, width=0.3, travel=0.1, turns=25.0, advance=0.004),)
    >>> proving = ProvingPoint(2.0, 0.0, 1e7)
    >>> task = TaskPlan("Bund", "look", setting, proving, (), (), None, None, (), (), coverage=cover)
    >>> [label for label, words in coverage_rows(task, JOB)]
    ['Pass', 'Turns', 'Travel']

    References
    ----------
    Our own layout.
    """
    told = _told(task.coverage) if task.verdict != "not_allowed" else []
    rows: list[tuple[str, str]] = []
    for cover in told:
        if len(told) > 1:
            rows.append((f"{cover.branch}  {tool_name(task, cover.branch)}", ""))
        rows += _coverage_rows(cover, task, job, system)
    return rows


def by_estimate(task: TaskPlan) -> bool:
    """Whether how much a task cleans rests on a track that was estimated. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> by_estimate(TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), ()))
    False

    References
    ----------
    Our own convention.
    """
    return any(_estimated(cover, task) for cover in task.coverage)


def _told(coverage: Iterable[Coverage]) -> list[Coverage]:
    """Those of which more is known than how wide their track is."""
    return [one for one in coverage if one.travel is not None or one.turns is not None or one.torque is not None]


def _estimated(cover: Coverage, task: TaskPlan) -> bool:
    """Whether a tool's rate rests on a track that was estimated."""
    return not cover.along and _track_spread([jet for jet in task.jets if jet.branch == cover.branch]) is not None


def _coverage_rows(cover: Coverage, task: TaskPlan, job: Job, system: str) -> Iterable[tuple[str, str]]:
    """Label and words of each line about one tool."""
    tracks = [jet for jet in task.jets if jet.branch == cover.branch]
    spread = _track_spread(tracks)
    if cover.width is not None:
        words = _("{width} wide").format(width=length_words(cover.width, system))
        if cover.turns is not None or cover.torque is not None:
            words += ", " + ngettext("{n} track in a turn", "{n} tracks in a turn", cover.tracks).format(n=cover.tracks)
        if _unaimed(cover, task, job):
            words += ", " + _("the jets' angle left out: no stand-off is given")
        yield _("Pass"), words
    turns = [*_turns(cover, system), *_drive(cover, system)]
    if turns:
        yield _("Turns"), "; ".join(turns)
    travel = [*_travel(cover, system)]
    if travel:
        yield _("Travel"), "; ".join(travel)
    stripes = [*_stripes(cover, spread, system)]
    if stripes:
        yield _("Stripes"), _("{bounds}: else it leaves stripes").format(bounds="; ".join(stripes))
    if cover.rate is not None:
        words = _rate(cover, task, job, system)
        if spread is not None and cover.turns is not None and cover.turns < (cover.least_turns or 0.0):
            words += "; " + _("by the estimated track stripes stay")
        yield _("Cleans"), words
    elif cover.striped:
        yield _("Cleans"), _("not told: by the measured track stripes stay at these turns and this travel")
    elif cover.travel is not None and tracks and all(jet.width is None for jet in tracks):
        yield _("Cleans"), _("not told: by the estimate no jet cleans at this stand-off")


def _unaimed(cover: Coverage, task: TaskPlan, job: Job) -> bool:
    """Whether jets stand at an angle, and nobody said how far from the surface."""
    described, tool = described_task(task, job), tool_of(task, job, cover.branch)
    if described is None or described.jet is not None or tool is None:
        return False
    return any(0.0 < port.angle < 0.5 * math.pi for port in tool.ports)


def _turns(cover: Coverage, system: str) -> Iterable[str]:
    """How fast the head turns."""
    if cover.turns is not None:
        words = figure(cover.turns, "rpm")
        if cover.advance is not None:
            words += ": " + _("{length} on in a turn").format(length=figure(cover.advance, "mm", system))
        if cover.surface_speed is not None:
            words += ", " + _("{speed} over the surface").format(speed=figure(cover.surface_speed, "m/s", system))
        yield words


def _stripes(cover: Coverage, spread: tuple[float, float] | None, system: str) -> Iterable[str]:
    """How fast the head must turn at its travel, and may be moved on at its turns."""
    if cover.least_turns is not None:
        words = _("turn it at {speed} or more")
        said = figure(cover.least_turns, "rpm")
        if spread is not None:
            words = _("turn it at an estimated {speed} or more")
            low, high = (cover.least_turns / share for share in reversed(spread))
            said = spread_words((low, cover.least_turns, high), "rpm", system)
        yield words.format(speed=said)
    if cover.fastest is not None:
        words, fastest = _("move on {length} in a minute or less"), 60.0 * cover.fastest
        said = length_words(fastest, system)
        if spread is not None:
            words = _("move on an estimated {length} in a minute or less")
            said = spread_words((fastest * spread[0], fastest, fastest * spread[1]), "m", system)
        yield words.format(length=said)


def _drive(cover: Coverage, system: str) -> Iterable[str]:
    """What turns the head, and that only a brake holds it."""
    if cover.free_turns is not None and cover.turns is not None and cover.turns > cover.free_turns:
        yield _("faster than its jets can turn it: {speed} at most, with no brake at all").format(
            speed=figure(cover.free_turns, "rpm")
        )
    elif cover.torque is not None and cover.free_turns is not None:
        yield _("the jets turn it with {torque} at a standstill, and only its brake keeps it below {speed}").format(
            torque=_torque(cover.torque, system), speed=figure(cover.free_turns, "rpm")
        )


def _travel(cover: Coverage, system: str) -> Iterable[str]:
    """How fast the tool is moved on, and what the surface then gets."""
    if cover.travel is not None:
        yield _("{length} in a minute").format(length=length_words(60.0 * cover.travel, system))
    if cover.energy is not None:
        yield _("{energy} from the jets").format(energy=_energy(cover.energy, system))


def _rate(cover: Coverage, task: TaskPlan, job: Job, system: str) -> str:
    """How much is cleaned in an hour, and how that goes with the share of the time at work."""
    rate, estimated = cover.rate or 0.0, _estimated(cover, task)
    words = _("an estimated {amount} in an hour") if estimated else _("{amount} in an hour")
    words = words.format(amount=_amount(3600.0 * rate, cover.along, system))
    described, tool = described_task(task, job), tool_of(task, job, cover.branch)
    if described is None or described.travel is None:
        return words
    if described.travel.at_work is not None:
        return words + _(", moving {share} of the time").format(share=percent(described.travel.at_work))
    if tool is None:
        return words
    low, middle, high = at_work_of(tool)
    return words + _(" ({low} to {high}), moving {share} of the time ({least} to {most}, common practice)").format(
        low=_amount(3600.0 * rate * low / middle, cover.along, system),
        high=_amount(3600.0 * rate * high / middle, cover.along, system),
        share=percent(middle),
        least=percent(low),
        most=percent(high),
    )


def _track_spread(jets: Sequence[JetAtTarget]) -> tuple[float, float] | None:
    """Ends of the track's estimate over its middle; None where it was measured, or there is none."""
    widths = [jet.width for jet in jets if jet.estimated and jet.width is not None]
    ends = [(low / middle, high / middle) for low, middle, high in widths]
    return (min(low for low, _high in ends), max(high for _low, high in ends)) if ends else None


def _amount(amount: float, along: bool, system: str) -> str:
    """An area, or a length where something is worked along."""
    if along:
        return length_words(amount, system)
    return _plain(amount / SQUARE_FOOT) + " ft²" if system == "us" else _plain(amount) + " m²"


def _torque(torque: float, system: str) -> str:
    return _plain(torque / POUND_FOOT) + " lbf ft" if system == "us" else _plain(torque) + " N m"


def _energy(energy: float, system: str) -> str:
    if system == "us":
        return _plain(energy * SQUARE_FOOT / HORSEPOWER_HOUR) + " hp h/ft²"
    return _plain(energy / 1e6) + " MJ/m²"


def _plain(value: float) -> str:
    """Three digits, never a power of ten."""
    return units.show(value, "", 3)
