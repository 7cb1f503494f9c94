"""What a tool does in a pipe: its pull, how far that hauls its hose, and what plugs the pipe."""

from collections.abc import Iterable

from rich.console import RenderableType

from jetwright import units
from jetwright.plan.answer import Pull, Span, TaskPlan
from jetwright.plan.pull import ONE_BAR
from jetwright.plan.restraints import travels
from jetwright.report.figures import rough
from jetwright.report.terminal import figure
from jetwright.report.wording import _, force
from jetwright.report.work import labelled, length_words, spread_words, tool_name, tool_of
from jetwright.rig.description import Job

HUNDRED_PSI = units.of(100.0, "psi")
"""What a plug's push is said for in US units, where nobody says what stands behind it. [Pa]"""


def pull_section(task: TaskPlan, job: Job, system: str = "si") -> RenderableType | None:
    """What each tool does in the pipe; None where none is described, or the task is refused. [-]

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
    >>> pulls = (Pull(1, 211.0, 200.0, (0.3, 0.45, 0.6), (40.0, 55.0, 80.0), 60.0, False, 284.0, 10e5),)
    >>> task = TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), (), pulls=pulls)
    >>> print(page([pull_section(task, JOB)], 100, False).splitlines()[2])
      Pull     into the pipe with 211 N (21.5 kg); the jets push on its wall with 200 N in all

    References
    ----------
    Our own layout.
    """
    return labelled(_("In the pipe"), pull_rows(task, job, system))


def pull_rows(task: TaskPlan, job: Job, system: str = "si") -> list[tuple[str, str]]:
    """What each tool does in the pipe, a label and its words a line; several tools stand under their names. [-]

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
    >>> pulls = (Pull(1, 211.0, 200.0, (0.3, 0.45, 0.6), (40.0, 55.0, 80.0), 60.0, False, 284.0, 10e5),)
    >>> task = TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), (), pulls=pulls)
    >>> [label for label, words in pull_rows(task, JOB)]
    ['Pull', 'Reach', 'Plugged']

    References
    ----------
    Our own layout.
    """
    pulls = task.pulls if task.verdict != "not_allowed" else ()
    rows: list[tuple[str, str]] = []
    for one in pulls:
        if len(pulls) > 1:
            rows.append((f"{one.branch}  {tool_name(task, one.branch)}", ""))
        rows += _pull_rows(one, task, job, system)
    return rows


def _pull_rows(one: Pull, task: TaskPlan, job: Job, system: str) -> Iterable[tuple[str, str]]:
    """Label and words of each line about one tool."""
    told = _pull(one, system)
    if round(one.wall, 3):
        told += "; " + _("the jets push on its wall with {force} in all").format(force=figure(one.wall, "N", system))
    yield _("Pull"), told
    tool = tool_of(task, job, one.branch)
    if one.reach is not None:
        yield _("Reach"), _reach(one, system)
    elif tool is not None and (travels(tool) or tool.kind == "pipe nozzle"):
        unknown = _("not known: the mass of the hose that goes in is not given")
        yield _("Reach"), "; ".join([unknown, *_short(one, system)])
    yield _("Plugged"), _plugged(one, system)


def _pull(one: Pull, system: str) -> str:
    """As planned, and between which ends where nobody knows the inlets of its tips."""
    words = _("into the pipe with {force}") if one.pull >= 0.0 else _("back out with {force}")
    told = words.format(force=force(abs(one.pull), system))
    if one.ends is None:
        return told
    least, most = one.ends
    words = _("from {least} back out to {most} in, as nobody knows its inlets")
    if least >= 0.0:
        words = _("{least} to {most}, as nobody knows its inlets")
    elif most <= 0.0:
        least, most = most, least
        words = _("{least} to {most} back out, as nobody knows its inlets")
    ends = {"least": figure(abs(least), "N", system), "most": figure(abs(most), "N", system)}
    return f"{told}, {words.format(**ends)}"


def _reach(one: Pull, system: str) -> str:
    """How far its pull hauls its hose, and whether that is the pipe's length."""
    assert one.reach is not None
    near, _mean, far = one.reach
    if far == 0.0:
        return _("none: it does not pull itself in")
    told = [_("an estimated {length} by its own pull").format(length=_span(one.reach, system))]
    if near == one.hose:
        told = [_("all the {length} of its hose by its own pull").format(length=length_words(near, system))]
    least, mean, most = one.friction
    if least == most:
        told[0] += ", " + _("friction {friction}").format(friction=f"{mean:.2f}")
    else:
        told[0] += ", " + _("friction {middle} ({low} to {high}, common practice)").format(
            middle=f"{mean:.2f}", low=f"{least:.2f}", high=f"{most:.2f}"
        )
    if near != far == one.hose:
        told.append(_("its hose ends at {length}").format(length=length_words(far, system)))
    return "; ".join([*told, *(_short(one, system) or _covered(one, system))])


def _short(one: Pull, system: str) -> list[str]:
    """That the hose ends before the pipe does, whatever pulls it."""
    if one.needed is None or one.hose is None or one.hose >= one.needed:
        return []
    words = _("the pipe's {length} are more than the {hose} of hose behind the tool: the hose is too short")
    return [words.format(length=length_words(one.needed, system), hose=length_words(one.hose, system))]


def _covered(one: Pull, system: str) -> list[str]:
    """Whether the pull hauls the hose through the whole pipe: even the least, perhaps, or not even the most."""
    if one.needed is None or one.reach is None:
        return []
    near, _mean, far = one.reach
    if near >= one.needed:
        words = _("that covers the pipe's {length}") if near == far else _("even the least covers the pipe's {length}")
    elif far >= one.needed:
        words = _("the pipe's {length} lie between the least and the most: it may stop short")
    elif near == far:
        words = _("the pipe's {length} are more: it will not get there by its own pull")
    else:
        words = _("the pipe's {length} are more than the most: it will not get there by its own pull")
    return [words.format(length=length_words(one.needed, system))]


def _span(span: Span, system: str) -> str:
    """An estimated length with its ends, where they differ."""
    return rough(span[1], "m", system) if span[0] == span[2] else spread_words(span, "m", system)


def _plugged(one: Pull, system: str) -> str:
    """What plugs the pipe is pushed out with: at what stands behind it, or for each bar of it."""
    if one.blocked != ONE_BAR:
        return _("what plugs the pipe, the tool with it, is pushed out with {force} at {pressure} behind it").format(
            force=force(one.piston, system), pressure=figure(one.blocked, "bar", system)
        )
    if system == "us":
        words = _("what plugs the pipe, the tool with it, is pushed out with {force} for each 100 psi behind it")
        told = words.format(force=force(one.piston * HUNDRED_PSI / ONE_BAR, system))
    else:
        words = _("what plugs the pipe, the tool with it, is pushed out with {force} for each bar behind it")
        told = words.format(force=force(one.piston, system))
    if one.most is None:
        return told
    whole = _("up to {force} if the whole tip pressure stood behind the plug")
    return f"{told}, {whole.format(force=figure(one.most, 'kN', system))}"
