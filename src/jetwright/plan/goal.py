"""The published goal of a task in its edition's words, and what each edition calls the planned pressure."""

from jetwright.errors import Problem
from jetwright.plan.answer import GoalAnswer
from jetwright.plan.setting import target_of
from jetwright.rig.check import CheckedRig
from jetwright.rig.description import Job
from jetwright.rig.goal import Goals, Grade, PressureClass
from jetwright.solve.steady import State

Term = tuple[str, str, bool]
"""Edition, what it calls a pressure ("" where nobody read its borders), whether those borders were read."""

NEAR = 1e-6
"""A solved pressure this close to a border, as a share, counts as on it."""


def goal_of(rig: CheckedRig, state: State, goals: Goals) -> GoalAnswer:
    """The task's grade, and what each edition calls the pressure right behind the tips. [-]

    Without a goal, or one that no edition has, grade and edition are None; `goal_problems` says which.

    Parameters
    ----------
    rig : CheckedRig
        The rig of the task. [-]
    state : State
        As planned, every tool jetting. [-]
    goals : Goals
        Every grade and class. [-]

    Examples
    --------
    >>> from jetwright.files.goals import goals
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.solve.steady import reach
    >>> rig = check(JOB)
    >>> answer = goal_of(rig, reach(rig, "nozzle_pressure", 850e5), goals())
    >>> answer.grade, answer.classes[0]
    (None, ('SSPC-SP 12/NACE No. 5 (1995)', 'HP WJ', True))

    References
    ----------
    docs/goals.md.
    """
    classes = terms_at(goals, state.lines[target_of(rig)[2] - 1].nozzle)
    asked = rig.task.goal
    grade = None if asked is None else grade_of(goals, asked.grade, asked.edition)
    if grade is None:
        return GoalAnswer(None, None, "", "", "", verified=False, classes=classes)
    return GoalAnswer(grade.name, grade.edition, grade.says, grade.nearest, grade.source, grade.verified, classes)


def grade_of(goals: Goals, name: str, edition: str | None = None) -> Grade | None:
    """A grade by its name and edition, however spaced; the latest edition where none is named. [-]

    Parameters
    ----------
    goals : Goals
        Every grade. [-]
    name : str
        As a specification writes it. [-]
    edition : str or None
        Likewise. [-]

    Examples
    --------
    >>> from jetwright.files.goals import goals
    >>> grade_of(goals(), "wj2").edition, grade_of(goals(), "Wa 2½").name, grade_of(goals(), "Wa 2", "SSPC-SP WJ 2012")
    ('SSPC-SP WJ (2012)', 'Wa 2 1/2', None)

    References
    ----------
    Our own convention.
    """
    found = [one for one in goals.grades if _plain(one.name) == _plain(name)]
    if edition is not None:
        found = [one for one in found if _plain(one.edition) == _plain(edition)]
    return found[-1] if found else None


def terms_at(goals: Goals, pressure: float) -> tuple[Term, ...]:
    """What each edition calls a pressure: twice where its MPa and its psi say two things. [-]

    An edition that has no class as low has no row; one whose borders nobody read has one without a term.

    Parameters
    ----------
    goals : Goals
        Every class. [-]
    pressure : float
        Right behind the tips. [Pa]

    Examples
    --------
    >>> from jetwright.files.goals import goals
    >>> [term for term in terms_at(goals(), 1900e5) if "SP 12" in term[0]]
    [('SSPC-SP 12/NACE No. 5 (1995)', 'UHP WJ', True), ('SSPC-SP 12/NACE No. 5 (2002)', 'HP WJ', False)]

    References
    ----------
    docs/goals.md.
    """
    told: list[Term] = []
    for edition in dict.fromkeys(one.edition for one in goals.classes):
        classes = [one for one in goals.classes if one.edition == edition]
        if any(one.border is None for one in classes):
            told.append((edition, "", False))
            continue
        met = [_met(classes, pressure, side) for side in (0, 1)]
        told += dict.fromkeys((edition, *one) for one in met if one is not None)
    return tuple(told)


def goal_problems(job: Job, goals: Goals) -> list[Problem]:
    """Every grade and edition that a job's tasks name and nobody published, by key. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    goals : Goals
        Every grade. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.files.goals import goals
    >>> from jetwright.rig.description import Goal
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, task=(replace(JOB.task[0], goal=Goal("WJ-5")),))
    >>> [(problem.key, problem.code) for problem in goal_problems(job, goals())]
    [(('task', 0, 'goal', 'grade'), 'unknown_name')]

    References
    ----------
    Our own convention.
    """
    found = []
    for index, task in enumerate(job.task):
        asked = task.goal
        if asked is None or grade_of(goals, asked.grade, asked.edition) is not None:
            continue
        editions = [one.edition for one in goals.grades if _plain(one.name) == _plain(asked.grade)]
        if editions:
            facts: dict[str, object] = {"noun": "edition", "known": editions}
            found.append(Problem(("task", index, "goal", "edition"), "unknown_name", asked.edition or "", facts))
        else:
            facts = {"noun": "grade", "known": list(dict.fromkeys(one.name for one in goals.grades))}
            found.append(Problem(("task", index, "goal", "grade"), "unknown_name", asked.grade, facts))
    return found


def _met(classes: list[PressureClass], pressure: float, side: int) -> tuple[str, bool] | None:
    """The highest class whose border a pressure has passed, and whether both its ends were read."""
    passed = [
        place
        for place, one in enumerate(classes)
        if one.border is not None and pressure >= one.border[side] * (1.0 + (NEAR if one.above else -NEAR))
    ]
    if not passed:
        return None
    return classes[passed[-1]].term, all(one.verified for one in classes[passed[-1] : passed[-1] + 2])


def _plain(name: str) -> str:
    """A name without what people write in several ways."""
    folded = name.casefold().replace("½", " 1/2").replace("2.5", "2 1/2")
    return "".join(sign for sign in folded if sign.isalnum())
