"""A task's goal in the words of its edition, and what each edition calls the planned pressure."""

from rich.console import RenderableType

from jetwright.plan.answer import TaskPlan
from jetwright.report.goal_words import goal_name, grade_words
from jetwright.report.goals_table import between_words, notes, read_words
from jetwright.report.wording import _
from jetwright.report.work import described_task, labelled
from jetwright.rig.description import Job

PRACTICE = "common practice"
"""The edition of grades that nobody published."""


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
    return labelled(_("Goal, and what the pressure is called"), lines, goal_notes(task))


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
    lines = [(goal_name(goal.grade), told.format(edition=goal.edition, words=grade_words(goal.says), source=source))]
    if goal.nearest:
        lines.append(("", _("closest in the other system: {grade}, and only near it").format(grade=goal.nearest)))
    described = described_task(task, job)
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
