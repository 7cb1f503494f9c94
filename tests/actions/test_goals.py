"""Published goals, and goals that nobody published, without a terminal."""

from pathlib import Path

import pytest

from jetwright.actions.goals import published_goals
from jetwright.actions.plan import basis_for, plan
from jetwright.errors import FileError
from jetwright.files.goals import goals
from jetwright.rig.example import JOB

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def job(tmp_path):
    """A copy of the demo shift that a test may spoil."""
    for name in ("job.toml", "yard.toml"):
        (tmp_path / name).write_bytes((EXAMPLES / "shift" / name).read_bytes())
    return tmp_path / "job.toml"


def test_without_a_pressure_nothing_is_called():
    answer = published_goals()
    assert (answer.goals, answer.pressure, answer.terms) == (goals(), None, ())
    silent = {"HSE SIM 3/2002/22"}  # it names ultrahigh pressure alone, from 1700 bar
    assert {term[0] for term in published_goals(950e5).terms} == {one.edition for one in goals().classes} - silent


def test_a_plan_is_judged_with_the_published_goals():
    assert basis_for(JOB).goals == goals()


@pytest.mark.parametrize(
    ("wrong", "key", "nearest"),
    [
        ('grade = "WJ-33", edition = "SSPC-SP WJ (2012)"', "grade", "WJ-3"),
        ('grade = "WJ-3", edition = "SSPC-SP WJ (2021)"', "edition", "SSPC-SP WJ (2012)"),
        ('grade = "Wa 3"', "grade", "Wa 2"),
    ],
)
def test_a_goal_that_nobody_published_has_its_line(job, wrong, key, nearest):
    text = job.read_text(encoding="utf-8")
    right = 'grade = "WJ-3", edition = "SSPC-SP WJ (2012)"'
    assert right in text
    job.write_text(text.replace(right, wrong), encoding="utf-8")
    with pytest.raises(FileError) as caught:
        plan(job)
    [problem] = caught.value.problems
    assert (problem.code, problem.key) == ("unknown_name", ("task", 2, "goal", key))
    assert problem.facts["nearest"] == nearest
    assert problem.line == next(n for n, line in enumerate(text.splitlines(), 1) if right in line)
