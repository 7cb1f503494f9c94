"""What pages on a task's jets share: who works with what, rows under a title, estimates and lengths in words."""

from collections.abc import Sequence

from rich.console import RenderableType
from rich.text import Text

from jetwright.plan.answer import Span, TaskPlan
from jetwright.report.figures import rough, unit_for
from jetwright.report.terminal import figure, glued, grid, section
from jetwright.report.wording import _
from jetwright.rig.description import Job, Task, Tool


def described_task(task: TaskPlan, job: Job) -> Task | None:
    """The description of a planned task; None where the job has none of that name. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    job : Job
        What was asked. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> described_task(plan_job(JOB, basis_for(JOB)).tasks[0], JOB) is JOB.task[0]
    True

    References
    ----------
    Our own convention.
    """
    return next((described for described in job.task if described.name == task.name), None)


def tool_of(task: TaskPlan, job: Job, branch: int) -> Tool | None:
    """The tool of a branch as it is described; None where it is not. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    job : Job
        What was asked. [-]
    branch : int
        From 1. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> tool_of(plan_job(JOB, basis_for(JOB)).tasks[0], JOB, 1) is JOB.tools["gun"]
    True

    References
    ----------
    Our own convention.
    """
    return job.tools.get(tool_name(task, branch))


def tool_name(task: TaskPlan, branch: int) -> str:
    """The name of the tool of a branch; "" where there is none. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    branch : int
        From 1. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> tool_name(plan_job(JOB, basis_for(JOB)).tasks[0], 1)
    'gun'

    References
    ----------
    Our own convention.
    """
    return next((tool.tool for tool in task.tools if tool.branch == branch), "")


def labelled(title: str, rows: Sequence[tuple[str, str]], told: Sequence[str] = ()) -> RenderableType | None:
    """Rows under a title, and notes under them; None without a row. [-]

    Parameters
    ----------
    title : str
        Of the section. [-]
    rows : Sequence of tuple
        A label and its words each. [-]
    told : Sequence of str
        Notes. [-]

    Examples
    --------
    >>> from jetwright.report.terminal import page
    >>> page([labelled("In the pipe", [("Pull", "none")])], 100, False).split()
    ['In', 'the', 'pipe', 'Pull', 'none']
    >>> labelled("In the pipe", []) is None
    True

    References
    ----------
    Our own layout.
    """
    if not rows:
        return None
    table = grid("left", "left", whole=(0,))
    for label, words in rows:
        table.add_row(label, Text(glued(words)))
    return section(title, table, *(Text(glued(note)) for note in told))


def spread_words(span: Span, unit: str, system: str) -> str:
    """The middle of an estimate with its ends. [the unit]

    Parameters
    ----------
    span : Span
        Low, middle, high. [SI]
    unit : str
        The unit it is shown in under "si". [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.report.terminal import GLUE
    >>> spread_words((184e5, 450e5, 600e5), "bar", "si").replace(GLUE, " ")
    '450 bar (180 to 600)'

    References
    ----------
    Our own layout.
    """
    low, middle, high = (rough(end, unit, system) for end in span)
    return glued(_("{middle} ({low} to {high})").format(middle=middle, low=low.split()[0], high=high.split()[0]))


def length_words(length: float, system: str) -> str:
    """A length, long ones in metres or feet, short ones in millimetres or inches. [-]

    Parameters
    ----------
    length : float
        The length. [m]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.report.terminal import GLUE
    >>> [length_words(length, "si").replace(GLUE, " ") for length in (0.04, 20.0)]
    ['40.0 mm', '20.0 m']

    References
    ----------
    Our own layout.
    """
    return figure(length, "m" if unit_for("length", length) == "m" else "mm", system)
