"""Every refusal is worded: what was written, what is wrong, what is accepted."""

import ast
import pathlib
import re

import pytest

import jetwright
from jetwright.errors import FileError, NotServedError, Problem, RigError, UnitError
from jetwright.files import problems as codes
from jetwright.files.job import read_job
from jetwright.report.figures import printed, signed
from jetwright.report.problems import PROBLEMS, TYPED, key_words, problem_line, problem_words, refusal_lines
from jetwright.units import EXAMPLES, KINDS, read

PACKAGE = pathlib.Path(jetwright.__file__).parent
LISTED = {
    code
    for line in re.findall(r"^    ([a-z_0-9]+(?:, [a-z_0-9]+)*)", re.sub(r" \(.*?\)", "", codes.__doc__), re.MULTILINE)
    for code in line.split(", ")
}


def raised_in_the_source():
    """Codes of every Problem and NotServedError that the core and the actions make."""
    found = set()
    for room in ("rig", "plan", "solve", "parts", "water", "limits", "actions"):
        for path in (PACKAGE / room).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                    continue
                place = {"Problem": 1, "NotServedError": 0}.get(node.func.id)
                if place is not None and len(node.args) > place and isinstance(node.args[place], ast.Constant):
                    found.add(node.args[place].value)
    return found


def test_there_are_codes_to_word():
    assert {"missing_unit", "yard_link", "not_writable"} <= LISTED
    assert {"two_targets", "tip_larger_than_tool", "pump_starved"} <= raised_in_the_source()


@pytest.mark.parametrize("code", sorted(LISTED | raised_in_the_source()))
def test_every_code_has_words(code):
    assert code in PROBLEMS
    words = problem_words(Problem(("tips", "R10", "bore"), code))
    assert len(words.split()) >= 2
    assert "{" not in words


def test_no_words_for_a_code_that_nobody_raises():
    assert set(PROBLEMS) - LISTED - raised_in_the_source() == set()


def test_a_line_names_place_key_what_was_written_and_what_is_accepted():
    facts = {"kind": "length", "units": ["mm", "in"], "example": "20 m"}
    line = problem_line(Problem(("tips", "R10", "bore"), "missing_unit", "1.0", facts, "job.toml", 97))
    assert line == "job.toml:97: tips.R10.bore: “1.0”: a unit is missing; accepted: mm, in, as in “20 m”"


def test_both_readings_of_a_comma_are_named():
    with pytest.raises(UnitError) as caught:
        read("2,5 L/min", "flow")
    (line,) = refusal_lines(caught.value)
    assert "“2.5 L/min” or “25 L/min”" in line


@pytest.mark.parametrize("kind", [k for k in EXAMPLES if k != "flow_at"])
def test_a_missing_unit_names_every_accepted_one(kind):
    with pytest.raises(UnitError) as caught:
        read("3", kind)
    (line,) = refusal_lines(caught.value)
    assert all(printed(unit) in line for unit in KINDS[kind])
    assert signed(EXAMPLES[kind]) in line
    told = line.rpartition("“")[2].split("”")[0]
    assert read(told, kind) == read(EXAMPLES[kind], kind)  # as it is printed it may be typed


def test_what_was_typed_and_names_of_keys_stay_as_they_are():
    refused = Problem((), "unknown_unit", "20 quux", {"nearest": "prices.water_m3", "unit": "quux"})
    assert "prices.water_m3" in problem_words(refused)


def test_the_nearest_name_is_suggested():
    facts = {"noun": "tool", "known": ["gun", "lance"], "nearest": "gun"}
    assert "did you mean “gun”?" in problem_words(Problem((), "unknown_name", "gnu", facts))


def test_a_key_that_slid_is_sent_home():
    facts = {"name": "flow", "table": "unit", "known": ["name"], "nearest": "", "belongs": "supply"}
    assert "it belongs to [supply]" in problem_words(Problem(("unit", "flow"), "unknown_key", "", facts))
    facts["belongs"] = ""
    assert "top of the file" in problem_words(Problem(("unit", "title"), "unknown_key", "", facts))


def test_bounds_are_named():
    facts = {"above": "0 mm", "at_least": "", "at_most": "500 mm"}
    words = problem_words(Problem((), "out_of_range", "-1 mm", facts))
    assert "above 0 mm" in words
    assert "at most 500 mm" in words
    assert "at least" not in words


def test_a_stand_off_out_of_range_is_no_distance_to_a_person():
    facts = {"above": "0 mm", "at_least": "", "at_most": "1000 mm"}
    words = problem_words(Problem(("task", 0, "jet", "standoff"), "out_of_range", "20 m", facts))
    assert "at most 1000 mm; it is tip to surface, where the jet cleans, and no distance to a person" in words
    assert "person" not in problem_words(Problem(("task", 0, "jet", "footprint"), "out_of_range", "20 m", facts))


def test_rows_of_lists_count_from_one_as_a_person_counts():
    assert key_words(("task", 0, "branches", 1, "hose_run", 2)) == "task 1, branches 2, hose_run 3"
    assert key_words(("unit", "engine", "power", 0, 1)) == "unit.engine.power 1.2"
    assert key_words(()) == ""


def test_lines_stand_in_the_order_of_file_and_line():
    problems = [
        Problem((), "more_problems", facts={"count": 7}, file="a.toml"),
        Problem(("b",), "missing_key", file="b.toml", line=2),
        Problem(("c",), "missing_key", file="a.toml", line=10),
        Problem(("d",), "missing_key", file="a.toml", line=9),
    ]
    starts = [line.split(": ")[0] for line in refusal_lines(RigError(problems))]
    assert starts == ["a.toml:9", "a.toml:10", "b.toml:2", "a.toml"]


def test_what_cannot_be_served_is_worded_too():
    (line,) = refusal_lines(NotServedError("above_served", highest=4.009e8))
    assert "4009 bar" in line


def test_a_line_break_in_a_name_cannot_make_two_lines():
    line = problem_line(Problem(("tips", "a\nb"), "missing_key", "x\ny", file="job.toml", line=1))
    assert "\n" not in line


BROKEN = """title = "Rack"
[supply]
pressure = 3
flow = "2,5 L/min"
temperature = "18"
[unit]
name = "Unit 7"
drive = { kind = "hydraulic" }
pump = { plungers = 3, stroke = "-110 mm", plunger_diameter = "32 psi", top_speed = "500 rpm", rating = "1100 bar" }
bypass = { kind = "hand-set", full_open_area = "20 mm2", returns_to = "tank", tuns = 6 }
[[task]]
name = "Gun"
tool = "gnu"
target = { nozzle_pressure = "900 bar", flow = "20 L/min" }
[tools.gun]
kind = "hand lance"
bore = "6 mm"
release = "none"
ports = [{ tip = "R10" }]
[tips.R10]
bore = "8 mm"
inlet = "rounded"
"""


def test_every_problem_of_a_broken_file_is_said_at_once(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text(BROKEN, encoding="utf-8")
    with pytest.raises(FileError) as caught:
        read_job(path)
    lines = [line.removeprefix(f"{path}:") for line in refusal_lines(caught.value)]
    wanted = {
        3: "bare number",
        4: "comma",
        5: "unit is missing",
        8: "not one of",
        13: "gun",
        14: "more than one target",
    }
    for number, words in wanted.items():
        assert any(line.startswith(f"{number}: ") and words in line for line in lines), (number, lines)
    assert any("wider" in line for line in lines)
    assert any("did you mean “turns”" in line for line in lines)
    assert [int(line.split(":")[0]) for line in lines] == sorted(int(line.split(":")[0]) for line in lines)


def test_pages_say_what_is_wrong_without_keys_and_the_command_line_adds_them():
    for code, keys in TYPED.items():
        problem = Problem(("unit",), code)
        plain = problem_words(problem)
        assert not re.search(r"\w_\w|\[", plain), plain
        assert problem_words(problem, typed=True) == f"{plain} ({keys})"
        assert problem_line(problem).endswith(f"({keys})")


@pytest.mark.parametrize(("code", "fact"), [("rated_beside_bore", "beside"), ("two_targets", "given")])
def test_keys_that_stand_in_each_others_way_are_named_to_whoever_types_them(code, fact):
    problem = Problem(("tips", "R10", "rated"), code, facts={fact: ["bore", "nozzle_pressure"]})
    plain = problem_words(problem)
    assert not re.search(r"\w_\w", plain)
    assert problem_words(problem, typed=True) == f"{plain} (bore, nozzle_pressure)"
