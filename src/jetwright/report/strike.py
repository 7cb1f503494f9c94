"""What one jet of each row does where it strikes: an estimate, with its spread, and never a distance to a person."""

from collections.abc import Iterable, Sequence

from rich.console import JustifyMethod, RenderableType
from rich.text import Text

from jetwright.plan.answer import JetAtTarget, TaskPlan
from jetwright.plan.jet import GOOD
from jetwright.report.terminal import figure, glued, listing, section
from jetwright.report.wording import _
from jetwright.report.work import described_task, length_words, spread_words
from jetwright.rig.description import Job


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
    notes = [*([aside] if aside else []), *jet_notes(task.jets, typed=True)]
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
        standoff=length_words(task.jets[0].standoff, system)
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
                _("no longer cleans; still wounds")
                if jet.pressure is None
                else spread_words(jet.pressure, "bar", system),
                _track(jet, system),
            ]
        )
    return rows


def jet_notes(jets: Sequence[JetAtTarget], *, typed: bool = False) -> list[str]:
    """What must be said beside every estimate of a jet. [-]

    Parameters
    ----------
    jets : Sequence of JetAtTarget
        The jets; none need no note. [-]
    typed : bool
        Whoever reads it types job files: the key to write is named. [-]

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
        better = _("A track measured there is better.")
        told[0] += " " + (_("A track measured there is better: task.jet.footprint.") if typed else better)
    spent = _tips(jet for jet in jets if jet.pressure is None)
    if spent:
        told.append(_("{tips}: by this estimate it no longer cleans; it still wounds.").format(tips=spent))
    ordinary = _tips(jet for jet in jets if jet.ordinary)
    if ordinary:
        words = _(
            "{tips}: taken as ordinary. “straight” counts for rounded and cone inlets, or a measured coefficient "
            "from {cd} on."
        )
        told.append(words.format(tips=ordinary, cd=f"{GOOD:.2f}"))
    return [
        *told,
        _("Nothing here is a distance to a person: a jet wounds far beyond where it still cleans."),
    ]


def _aside(task: TaskPlan, job: Job) -> str:
    """That jets strike nothing of what is cleaned, where a stand-off is given; "" where all do."""
    described = described_task(task, job)
    if described is None or described.jet is None or task.verdict == "not_allowed":
        return ""
    tools = [job.tools.get(each.tool) for each in task.tools]
    if len(task.jets) == sum(len(tool.ports) for tool in tools if tool is not None):
        return ""
    return _("Left out: jets that point aside or back, and so strike nothing of what is cleaned.")


def _track(jet: JetAtTarget, system: str) -> str:
    if jet.width is None:
        return "–"
    return spread_words(jet.width, "mm", system) if jet.estimated else figure(jet.width[1], "mm", system)


def _tips(jets: Iterable[JetAtTarget]) -> str:
    return ", ".join(dict.fromkeys(f"{jet.count} × {jet.tip}" for jet in jets))
