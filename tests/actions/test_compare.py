"""Which tasks are meant, and what is refused."""

import dataclasses
from pathlib import Path

import pytest

from jetwright.actions.compare import compare, place_of
from jetwright.errors import FileError, RigError
from jetwright.rig.example import JOB

SHIFT = Path(__file__).parents[2] / "examples" / "shift" / "job.toml"


def named(*names):
    return dataclasses.replace(JOB, task=tuple(dataclasses.replace(JOB.task[0], name=name) for name in names))


@pytest.mark.parametrize(("typed", "place"), [("Floor", 0), ("2", 2), ("3", 2), ("1", 0), ("Wall", 1)])
def test_a_name_wins_over_a_number(typed, place):
    assert place_of(named("Floor", "Wall", "2"), typed) == place


@pytest.mark.parametrize(
    ("typed", "nearest"),
    [
        ("hall", "Morning: hall floor"),
        ("NOON", "Noon: footings"),
        ("Noon: footing", "Noon: footings"),
        ("Mornin: hal floor", "Morning: hall floor"),
        ("evening", ""),
        ("0", ""),
        ("3", ""),
        ("-1", ""),
        ("²", ""),
        ("9" * 5000, ""),
        ("", ""),
    ],
)
def test_no_task_of_that_name(typed, nearest):
    with pytest.raises(RigError) as caught:
        place_of(named("Morning: hall floor", "Noon: footings"), typed)
    [problem] = caught.value.problems
    assert (problem.code, problem.facts["nearest"]) == ("no_such_task", nearest)
    assert problem.facts["known"] == ["1 Morning: hall floor", "2 Noon: footings"]


def test_two_tasks_in_the_order_they_were_typed():
    told, read = compare(SHIFT, "3", "Noon: pump footings by gun")
    assert (told.one.place, told.other.place) == (3, 2)
    assert [task.name for task in told.plan.tasks] == [read.job.task[2].name, read.job.task[1].name]


@pytest.mark.parametrize(("one", "other"), [("2", "2"), ("2", "Noon: pump footings by gun")])
def test_a_task_is_not_compared_with_itself(one, other):
    with pytest.raises(FileError) as caught:
        compare(SHIFT, one, other)
    [problem] = caught.value.problems
    assert problem.code == "compared_with_itself"
    assert problem.file.endswith("job.toml")


def test_what_the_core_refuses_has_its_line(tmp_path):
    """A supply hose so thin that the pump starves is found only when the rig is solved."""
    text = SHIFT.read_text(encoding="utf-8")
    text = text.replace("\n[[task]]", '\n[supply.hose]\nbore = "8 mm"\nlength = "80 m"\n\n[[task]]', 1)
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    (tmp_path / "yard.toml").write_bytes((SHIFT.parent / "yard.toml").read_bytes())
    with pytest.raises(FileError) as caught:
        compare(tmp_path / "job.toml", "1", "2")
    [problem, *_] = caught.value.problems
    assert (problem.code, problem.line) == ("pump_starved", text.splitlines().index("[supply.hose]") + 1)
