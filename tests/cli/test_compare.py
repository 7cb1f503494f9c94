"""`jetwright compare` as a crew runs it."""

import json
import re

import pytest

from tests.cli.test_commands import EXAMPLES, jetwright

SHIFT = EXAMPLES / "shift" / "job.toml"


@pytest.mark.parametrize("units", ["si", "us"])
def test_two_tasks_of_the_shift_side_by_side(units):
    done = jetwright("compare", SHIFT, 1, "Noon: pump footings by gun", "--units", units)
    text = done.stdout.decode()
    assert (done.returncode, done.stderr) == (0, b"")
    assert max(map(len, text.splitlines())) <= 100
    assert "\x1b" not in text
    assert " ".join(text.split()).count("supports and never replaces") == 1
    assert re.search(r"^A  1  Morning: hall floor", text, re.MULTILINE)
    assert re.search(r"^B  2  Noon: pump footings by gun", text, re.MULTILINE)
    for label in ("Gauge", "Recoil", "Fuel", "Waste water", "Hours of the crew", "Cost"):
        assert re.search(rf"^  {label} ", text, re.MULTILINE), label
    assert re.search(r"^  F15 ", text, re.MULTILINE)


def test_a_way_that_is_refused_leaves_with_3():
    done = jetwright("compare", EXAMPLES / "shift" / "not-allowed.toml", 1, 2)
    assert done.returncode == 3
    assert "● A is not allowed" in done.stdout.decode()


@pytest.mark.parametrize(
    ("one", "other", "words"),
    [
        ("noon", "1", "did you mean “Noon: pump footings by gun”? Known: 1 Morning: hall floor, 2 Noon"),
        ("1", "4", "“4”: there is no task of this name or number"),
        ("1", "1", "the same task twice (“Morning: hall floor”); name another one"),
    ],
)
def test_what_cannot_be_compared_leaves_with_2(one, other, words):
    done = jetwright("compare", SHIFT, one, other)
    assert (done.returncode, done.stdout) == (2, b"")
    [line] = done.stderr.decode().splitlines()
    assert line.startswith(f"{SHIFT}:")
    assert words in line


def test_a_file_that_is_not_there_leaves_with_2(tmp_path):
    done = jetwright("compare", tmp_path / "none.toml", 1, 2)
    assert (done.returncode, done.stdout) == (2, b"")


def test_json_is_the_same_in_any_units():
    plain, us = (jetwright("compare", SHIFT, 2, 3, "--json", *more) for more in ((), ("--units", "us")))
    assert (plain.returncode, plain.stdout) == (0, us.stdout)
    facts = json.loads(plain.stdout)
    planned = json.loads(jetwright("plan", SHIFT, "--json").stdout)["tasks"]
    for letter, task in (("a", planned[1]), ("b", planned[2])):
        assert facts[letter]["name"] == task["name"]
        assert facts[letter]["pump_pressure_bar"] == task["setting"]["pump_pressure_bar"]
        assert facts[letter]["recoil_n"] == pytest.approx(task["tools"][0]["recoil_n"], rel=1e-6)
        assert facts[letter]["water_l_min"] == pytest.approx(task["use"]["water_l_min"], rel=1e-6)
        assert facts[letter]["cost_total"] == task["whole_task"]["cost"]["total"]
        assert facts[letter]["fuel_l_h"] == pytest.approx(task["use"]["fuel_l_h"], rel=1e-6)
        assert facts[letter]["jet_share"] == pytest.approx(
            task["tools"][0]["jet_power_kw"] / task["power"]["engine_kw"], rel=1e-6
        )
    assert facts["difference"]["recoil_n"] == pytest.approx(facts["b"]["recoil_n"] - facts["a"]["recoil_n"], abs=1e-4)


def test_the_day_of_the_job_decides_what_is_out_of_test():
    """More than a year after the hoses' last test both ways are looked at for it."""
    done = jetwright("compare", SHIFT, 2, 3, "--json", "--date", "2027-06-01")
    facts = json.loads(done.stdout)
    assert facts["day"] == "2027-06-01"
    assert facts["b"]["verdict"] != "within"


def test_a_printer_without_our_signs_gets_plain_ones():
    done = jetwright("compare", SHIFT, 2, 3, env={"PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0
    assert done.stdout.isascii()
