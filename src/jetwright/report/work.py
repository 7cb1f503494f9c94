"""What a task's jets do: where they strike, over a surface, in a pipe, and towards a published goal.

Estimates say so and show their spread. A stand-off is tip to surface; nothing here is a distance to a person.
"""

import math
from collections.abc import Iterable, Sequence

from rich.console import JustifyMethod, RenderableType
from rich.text import Text

from jetwright import units
from jetwright.plan.answer import Coverage, JetAtTarget, Pull, Span, TaskPlan
from jetwright.plan.coverage import at_work_of
from jetwright.plan.jet import GOOD
from jetwright.plan.pull import ONE_BAR
from jetwright.plan.restraints import travels
from jetwright.report.figures import percent, rough, unit_for
from jetwright.report.goal_words import grade_words
from jetwright.report.goals_table import between_words, notes, read_words
from jetwright.report.terminal import figure, glued, grid, listing, section
from jetwright.report.wording import _, force, ngettext
from jetwright.rig.description import Job, Task, Tool

PRACTICE = "common practice"
"""The edition of grades that nobody published."""
DIGITS = 8
"""Significant digits kept in JSON."""
SQUARE_FOOT = 0.3048**2
"""NIST SP 811. [m²]"""
POUND_FOOT = units.POUND_FORCE_N * 0.3048
"""NIST SP 811. [N m]"""
HORSEPOWER_HOUR = units.of(1.0, "hp") * 3600.0
"""NIST SP 811. [J]"""
HUNDRED_PSI = units.of(100.0, "psi")
"""What a plug's push is said for in US units, where nobody says what stands behind it. [Pa]"""


def jet_section(task: TaskPlan, job: Job, system: str = "si") -> RenderableType | None:
    """What one jet of each row does at the stand-off; None where none is given, or the task is refused. [-]

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
    >>> jet = JetAtTarget(1, "R12", 1, 0.1, 35e3, 170.0, (51e6, 85e6, 85e6), (6e-4, 1e-3, 1.4e-3))
    >>> task = TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), (), jets=(jet,))
    >>> print(page([jet_section(task, JOB)], 100, False).splitlines()[3])
      1 × R12      170 N  35.0 kW      850 bar (510 to 850)  1 mm (0.6 to 1.4)

    References
    ----------
    Our own layout.
    """
    heads, *rows = jet_rows(task, system)
    aside = _aside(task, job)
    if not rows:
        return section(_("What the jets do"), Text(glued(aside))) if aside else None
    columns: list[tuple[str, JustifyMethod]] = [
        (head, "right" if place else "left") for place, head in enumerate(heads)
    ]
    table = listing(columns, rows)
    notes = [*([aside] if aside else []), *jet_notes(task.jets)]
    return section(jet_title(task, system), table, *(Text(glued(line)) for line in notes))


def jet_title(task: TaskPlan, system: str = "si") -> str:
    """What stands above the rows of a task's jets. [-]

    Parameters
    ----------
    task : TaskPlan
        The task; it has a jet. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> from jetwright.report.terminal import GLUE
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> jet = JetAtTarget(1, "R12", 1, 0.1, 35e3, 170.0, (51e6, 85e6, 85e6), (6e-4, 1e-3, 1.4e-3))
    >>> task = TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), (), jets=(jet,))
    >>> jet_title(task).replace(GLUE, " ")
    'What the jets do at a stand-off of 100 mm, tip to surface'

    References
    ----------
    Our own layout.
    """
    return _("What the jets do at a stand-off of {standoff}, tip to surface").format(
        standoff=_length(task.jets[0].standoff, system)
    )


def jet_rows(task: TaskPlan, system: str = "si") -> list[list[str]]:
    """What one jet of each row does at the stand-off, a row of cells each, under the row of their heads. [-]

    Parameters
    ----------
    task : TaskPlan
        The task; a refused one, and one without a stand-off, has the heads alone. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> from jetwright.report.terminal import GLUE
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> jet = JetAtTarget(1, "R12", 1, 0.1, 35e3, 170.0, (51e6, 85e6, 85e6), (6e-4, 1e-3, 1.4e-3))
    >>> task = TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), (), jets=(jet,))
    >>> heads, row = jet_rows(task)
    >>> heads[3], row[3].replace(GLUE, " ")
    ('Pressure there, estimate', '850 bar (510 to 850)')

    References
    ----------
    Our own layout.
    """
    jets = task.jets if task.verdict != "not_allowed" else ()
    several = len({jet.branch for jet in jets}) > 1
    measured = bool(jets) and not jets[0].estimated
    heads = [_("Each jet of"), _("Force"), _("Power"), _("Pressure there, estimate")]
    rows = [[*heads, _("Track, measured") if measured else _("Track, estimate")]]
    for jet in jets:
        name = f"{jet.count} × {jet.tip}"
        rows.append(
            [
                f"{jet.branch}  {name}" if several else name,
                figure(jet.force, "N", system),
                figure(jet.power, "kW", system),
                _("no longer cleans; still wounds") if jet.pressure is None else _spread(jet.pressure, "bar", system),
                _track(jet, system),
            ]
        )
    return rows


def jet_notes(jets: Sequence[JetAtTarget]) -> list[str]:
    """What must be said beside every estimate of a jet. [-]

    Parameters
    ----------
    jets : Sequence of JetAtTarget
        The jets; none need no note. [-]

    Examples
    --------
    >>> jet_notes([])
    []

    References
    ----------
    Our own convention.
    """
    if not jets:
        return []
    told = [
        _("An estimate: published figures differ tenfold with the tip and the way of the water to it. Try a patch.")
    ]
    if jets[0].estimated:
        told[0] += " " + _("A track measured there is better: task.jet.footprint.")
    spent = _tips(jet for jet in jets if jet.pressure is None)
    if spent:
        told.append(_("{tips}: by this estimate it no longer cleans; it still wounds.").format(tips=spent))
    ordinary = _tips(jet for jet in jets if jet.ordinary)
    if ordinary:
        words = _(
            "{tips}: taken as ordinary. “straight” counts for rounded and cone inlets, or a measured cd from {cd} on."
        )
        told.append(words.format(tips=ordinary, cd=f"{GOOD:.2f}"))
    return [
        *told,
        _("Nothing here is a distance to a person: a jet wounds far beyond where it still cleans."),
    ]


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
    return _labelled(_("Over the surface"), coverage_rows(task, job, system))


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
            rows.append((f"{cover.branch}  {_tool_name(task, cover.branch)}", ""))
        rows += _coverage_rows(cover, task, job, system)
    return rows


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
    return _labelled(_("In the pipe"), pull_rows(task, job, system))


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
            rows.append((f"{one.branch}  {_tool_name(task, one.branch)}", ""))
        rows += _pull_rows(one, task, job, system)
    return rows


def goal_section(task: TaskPlan, job: Job, system: str = "si") -> RenderableType | None:
    """The goal in its edition's words, and what each edition calls the planned pressure; None without a goal. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    job : Job
        What was asked: whether it names an edition. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.plan.answer import GoalAnswer, ProvingPoint, Setting
    >>> from jetwright.report.terminal import page
    >>> from jetwright.rig.example import JOB
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> goal = GoalAnswer("Wa 2", "ISO 8501-4", "wa_2", "WJ-3", "from memory", False, (("ISO 8504-5:2024", "", False),))
    >>> task = TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), (), goal=goal)
    >>> print(page([goal_section(task, JOB)], 100, False).splitlines()[2])
      Wa 2    by ISO 8501-4: most of the rust and old paint is gone; what stays is firm (from memory)

    References
    ----------
    Our own layout.
    """
    lines = goal_lines(task, job)
    if not lines:
        return None
    return _labelled(_("Goal, and what the pressure is called"), lines, goal_notes(task))


def goal_notes(task: TaskPlan) -> list[str]:
    """What must be said beside a goal; none without one. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]

    Examples
    --------
    >>> from jetwright.plan.answer import GoalAnswer, ProvingPoint, Setting
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> goal = GoalAnswer("Wa 2", "ISO 8501-4", "wa_2", "", "from memory", False, ())
    >>> task = TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), (), goal=goal)
    >>> len(goal_notes(task))
    2

    References
    ----------
    docs/goals.md.
    """
    goal = task.goal
    if goal is None or goal.grade is None:
        return []
    editions, closest, profile = notes()
    kept = [editions]
    if goal.nearest:
        kept.append(closest)
    if goal.edition != PRACTICE:
        kept.append(profile)
    return kept


def goal_lines(task: TaskPlan, job: Job) -> list[tuple[str, str]]:
    """The goal and the pressure's names, a label and its words a line; none without a goal. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    job : Job
        What was asked: whether it names an edition. [-]

    Examples
    --------
    >>> from jetwright.plan.answer import GoalAnswer, ProvingPoint, Setting
    >>> from jetwright.rig.example import JOB
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> goal = GoalAnswer("Wa 2", "ISO 8501-4", "wa_2", "WJ-3", "from memory", False, ())
    >>> task = TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), (), goal=goal)
    >>> goal_lines(task, JOB)[1]
    ('', 'closest in the other system: WJ-3, and only near it')

    References
    ----------
    docs/goals.md.
    """
    goal = task.goal
    if goal is None or goal.grade is None or goal.edition is None or task.verdict == "not_allowed":
        return []
    told = _("by {edition}: {words} ({source})")
    if goal.edition == PRACTICE:
        told = _("by common practice: {words}")
    source = read_words(goal.source, goal.verified)
    lines = [(goal.grade, told.format(edition=goal.edition, words=grade_words(goal.says), source=source))]
    if goal.nearest:
        lines.append(("", _("closest in the other system: {grade}, and only near it").format(grade=goal.nearest)))
    described = _described(task, job)
    named = described is None or described.goal is None or described.goal.edition is not None
    if not named and goal.edition != PRACTICE:
        lines.append(("", _("no edition was named: the latest is taken, and an earlier one may ask for other things")))
    for term in dict.fromkeys(term for _edition, term, _read in goal.classes):
        editions = [
            edition if read or not term else _("{edition} (not read)").format(edition=edition)
            for edition, called, read in goal.classes
            if called == term
        ]
        words = _("by {editions}") if term else _("borders not read: {editions}")
        lines.append((term, words.format(editions=", ".join(editions))))
    return lines + [("", line) for line in between_words(goal.classes)]


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


# ---- what stands in a line -------------------------------------------------------------------------------------------


def _labelled(title: str, rows: Sequence[tuple[str, str]], told: Sequence[str] = ()) -> RenderableType | None:
    """Rows under a title, and notes under them; None without a row."""
    if not rows:
        return None
    table = grid("left", "left", whole=(0,))
    for label, words in rows:
        table.add_row(label, Text(glued(words)))
    return section(title, table, *(Text(glued(note)) for note in told))


def _told(coverage: Iterable[Coverage]) -> list[Coverage]:
    """Those of which more is known than how wide their track is."""
    return [one for one in coverage if one.travel is not None or one.turns is not None or one.torque is not None]


def _aside(task: TaskPlan, job: Job) -> str:
    """That jets strike nothing of what is cleaned, where a stand-off is given; "" where all do."""
    described = _described(task, job)
    if described is None or described.jet is None or task.verdict == "not_allowed":
        return ""
    tools = [job.tools.get(each.tool) for each in task.tools]
    if len(task.jets) == sum(len(tool.ports) for tool in tools if tool is not None):
        return ""
    return _("Left out: jets that point aside or back, and so strike nothing of what is cleaned.")


def _estimated(cover: Coverage, task: TaskPlan) -> bool:
    """Whether a tool's rate rests on a track that was estimated."""
    return not cover.along and _track_spread([jet for jet in task.jets if jet.branch == cover.branch]) is not None


def _track(jet: JetAtTarget, system: str) -> str:
    if jet.width is None:
        return "–"
    return _spread(jet.width, "mm", system) if jet.estimated else figure(jet.width[1], "mm", system)


def _tips(jets: Iterable[JetAtTarget]) -> str:
    return ", ".join(dict.fromkeys(f"{jet.count} × {jet.tip}" for jet in jets))


def _coverage_rows(cover: Coverage, task: TaskPlan, job: Job, system: str) -> Iterable[tuple[str, str]]:
    """Label and words of each line about one tool."""
    tracks = [jet for jet in task.jets if jet.branch == cover.branch]
    spread = _track_spread(tracks)
    if cover.width is not None:
        words = _("{width} wide").format(width=_length(cover.width, system))
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
    described, tool = _described(task, job), _tool(task, job, cover.branch)
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
            said = _spread((low, cover.least_turns, high), "rpm", system)
        yield words.format(speed=said)
    if cover.fastest is not None:
        words, fastest = _("move on {length} in a minute or less"), 60.0 * cover.fastest
        said = _length(fastest, system)
        if spread is not None:
            words = _("move on an estimated {length} in a minute or less")
            said = _spread((fastest * spread[0], fastest, fastest * spread[1]), "m", system)
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
        yield _("{length} in a minute").format(length=_length(60.0 * cover.travel, system))
    if cover.energy is not None:
        yield _("{energy} from the jets").format(energy=_energy(cover.energy, system))


def _rate(cover: Coverage, task: TaskPlan, job: Job, system: str) -> str:
    """How much is cleaned in an hour, and how that goes with the share of the time at work."""
    rate, estimated = cover.rate or 0.0, _estimated(cover, task)
    words = _("an estimated {amount} in an hour") if estimated else _("{amount} in an hour")
    words = words.format(amount=_amount(3600.0 * rate, cover.along, system))
    described, tool = _described(task, job), _tool(task, job, cover.branch)
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


def _pull_rows(one: Pull, task: TaskPlan, job: Job, system: str) -> Iterable[tuple[str, str]]:
    """Label and words of each line about one tool."""
    told = _pull(one, system)
    if round(one.wall, 3):
        told += "; " + _("the jets push on its wall with {force} in all").format(force=figure(one.wall, "N", system))
    yield _("Pull"), told
    tool = _tool(task, job, one.branch)
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
        told = [_("all the {length} of its hose by its own pull").format(length=_length(near, system))]
    least, mean, most = one.friction
    if least == most:
        told[0] += ", " + _("friction {friction}").format(friction=f"{mean:.2f}")
    else:
        told[0] += ", " + _("friction {middle} ({low} to {high}, common practice)").format(
            middle=f"{mean:.2f}", low=f"{least:.2f}", high=f"{most:.2f}"
        )
    if near != far == one.hose:
        told.append(_("its hose ends at {length}").format(length=_length(far, system)))
    return "; ".join([*told, *(_short(one, system) or _covered(one, system))])


def _short(one: Pull, system: str) -> list[str]:
    """That the hose ends before the pipe does, whatever pulls it."""
    if one.needed is None or one.hose is None or one.hose >= one.needed:
        return []
    words = _("the pipe's {length} are more than the {hose} of hose behind the tool: the hose is too short")
    return [words.format(length=_length(one.needed, system), hose=_length(one.hose, system))]


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
    return [words.format(length=_length(one.needed, system))]


def _span(span: Span, system: str) -> str:
    """An estimated length with its ends, where they differ."""
    return rough(span[1], "m", system) if span[0] == span[2] else _spread(span, "m", system)


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


# ---- figures ---------------------------------------------------------------------------------------------------------


def _described(task: TaskPlan, job: Job) -> Task | None:
    return next((described for described in job.task if described.name == task.name), None)


def _tool(task: TaskPlan, job: Job, branch: int) -> Tool | None:
    return job.tools.get(_tool_name(task, branch))


def _tool_name(task: TaskPlan, branch: int) -> str:
    return next((tool.tool for tool in task.tools if tool.branch == branch), "")


def _track_spread(jets: Sequence[JetAtTarget]) -> tuple[float, float] | None:
    """Ends of the track's estimate over its middle; None where it was measured, or there is none."""
    widths = [jet.width for jet in jets if jet.estimated and jet.width is not None]
    ends = [(low / middle, high / middle) for low, middle, high in widths]
    return (min(low for low, _high in ends), max(high for _low, high in ends)) if ends else None


def _spread(span: Span, unit: str, system: str) -> str:
    low, middle, high = (rough(end, unit, system) for end in span)
    return glued(_("{middle} ({low} to {high})").format(middle=middle, low=low.split()[0], high=high.split()[0]))


def _length(length: float, system: str) -> str:
    return figure(length, "m" if unit_for("length", length) == "m" else "mm", system)


def _amount(amount: float, along: bool, system: str) -> str:
    """An area, or a length where something is worked along."""
    if along:
        return _length(amount, system)
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


# ---- JSON ------------------------------------------------------------------------------------------------------------
