"""The door for forms refuses what a file refuses, in the same place, for the same reason."""

import tomllib
from pathlib import Path

import pytest

from jetwright.errors import FileError
from jetwright.files.door import default_words, hint, part_problems, table_problems, yard_tables_in
from jetwright.files.shapes import Shape, keys_of
from jetwright.files.tables import as_json, from_json, job_in
from jetwright.rig.description import Hose, Job, Relief, Task

SHIFT = Path(__file__).resolve().parents[2] / "examples" / "shift"
YARD = (SHIFT / "yard.toml").read_text(encoding="utf-8")
JOB = (SHIFT / "job.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("at", "part"),
    [
        (("hoses", "S8-20"), {"bore": "8", "length": "2,5 m"}),
        (("hoses", "S8-20"), {"bore": "8 mm", "length": "20 m", "tails": {"bore": "9 mm", "length": "1 m"}}),
        (("hoses", "S8-20"), {"bore": "8 mm", "length": "20 m", "tested": "2026-02-30"}),
        (("tips", "L11"), {"bore": "1 mm"}),
        (("tips", "L11"), {"rated": "18 L/min", "count": 0}),
        (("fittings", "reducer"), {"boar": 1}),
        (("unit", "gauge"), {"full_scale": "1600 mm"}),
        (("unit", "relief", 0), {"kind": "value", "set": "1 bar"}),
    ],
)
def test_a_part_is_refused_as_in_a_file(at, part):
    rest = as_json(tomllib.loads(YARD) | {k: v for k, v in tomllib.loads(JOB).items() if k != "yard"})
    told = {(at + p.key, p.code) for p in part_problems(part, at, rest)}
    tables = rest
    for key in at[:-1]:
        tables = tables[key]
    tables[at[-1]] = part
    with pytest.raises(FileError) as refused:
        job_in(from_json(rest))
    in_file = {(p.key, p.code) for p in refused.value.problems if p.key[: len(at)] == at}
    assert told == in_file
    assert told


def test_a_sound_part_has_no_problem_and_the_filling_round_it_is_never_spoken_of():
    assert part_problems({"bore": "1 mm", "inlet": "cone"}, ("tips", "R10")) == []
    assert part_problems({"full_scale": "1600 bar"}, ("unit", "gauge")) == []
    assert part_problems({"plunger_diameter": "32 mm", "rating": "900 bar"}, ("unit", "kits", "P32")) == []


def test_a_table_alone_says_what_lacks_and_what_is_accepted():
    found = {p.key: p for p in table_problems({"bore": "8 mm"}, Shape("table", table=Hose))}
    assert found["length",].code == "missing_key"
    assert found["length",].facts["example"] == "20 m"


def test_a_yard_file_that_came_as_a_text_is_read_with_its_lines():
    assert yard_tables_in(YARD, "yard.toml") == tomllib.loads(YARD)
    assert yard_tables_in("\n".join(YARD.splitlines()).replace("\n", "\r\n"), "yard.toml") == tomllib.loads(YARD)
    with pytest.raises(FileError) as refused:
        yard_tables_in(YARD.replace('bore = "13 mm"', 'bore = "13"'), "yard.toml")
    (problem,) = refused.value.problems
    assert (problem.key, problem.code) == (("hoses", "W13-20", "bore"), "missing_unit")
    assert YARD.splitlines()[problem.line - 1] == 'bore = "13 mm"'


@pytest.mark.parametrize("text", ["[[task]]\nname = 'x'", "a = ", "unit = 3", "hoses = [1]", "x = '\0'", "[unit]"])
def test_what_is_no_yard_file_is_refused(text):
    with pytest.raises(FileError):
        yard_tables_in(text, "yard.toml")


def test_hints_and_defaults_are_written_as_a_person_would():
    assert hint(keys_of(Hose)["rating"].shape.quantity) == ("950 bar", "0 bar", "6000 bar")
    assert hint(keys_of(Hose)["count"].shape.quantity) == ("", "1", "10000")
    assert default_words(keys_of(Relief)["kind"]) == "valve"
    assert default_words(keys_of(Task)["rise"]) == "0 m"
    assert default_words(keys_of(Job)["air_temperature"]) == "20 degC"
