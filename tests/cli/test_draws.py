"""`jetwright draws` as a crew runs it."""

import json
import re

import pytest

from tests.cli.test_commands import CODES, EXAMPLES, JOBS, jetwright

SHIFT = EXAMPLES / "shift" / "job.toml"
NOON = "Noon: pump footings by gun"


@pytest.mark.parametrize("units", ["si", "us"])
@pytest.mark.parametrize("name", JOBS)
def test_every_example_prints_a_page_that_fits(name, units):
    done = jetwright("draws", EXAMPLES / name, "--count", 1000, "--units", units)
    text = done.stdout.decode()
    assert (done.returncode, done.stderr) == (CODES.get(name, 0), b"")
    assert max(map(len, text.splitlines())) <= 100
    assert "\x1b" not in text
    assert " ".join(text.split()).count("supports and never replaces") == 1
    assert "Drawn 1000 times" in text
    assert "To narrow it" in text
    foreign = r"\d (bar|L/min|kW|mm|N)\b" if units == "us" else r"\d (psi|gpm|hp|lbf)\b"
    assert re.search(foreign, text) is None


def test_json_is_the_same_in_any_units_and_beside_the_plan():
    plain, us = (jetwright("draws", SHIFT, "--task", NOON, "--json", *more) for more in ((), ("--units", "us")))
    assert (plain.returncode, plain.stdout) == (0, us.stdout)
    [task] = json.loads(plain.stdout)["tasks"]
    [planned] = json.loads(jetwright("plan", SHIFT, "--task", NOON, "--json").stdout)["tasks"]
    draws, known = task["draws"], planned["setting"]["tolerance"]
    assert (task["name"], task["verdict"], draws["count"]) == (NOON, planned["verdict"], 10_000)
    assert [draws["gauge"]["plan_low_bar"], draws["gauge"]["plan_high_bar"]] == known["pump_pressure_bar"]
    assert [tool["recoil"]["plan_high_n"] for tool in draws["tools"]] == known["recoil_n"]
    for name in ("gauge", "proving"):
        assert draws[name]["p5_bar"] < draws[name]["p50_bar"] < draws[name]["p95_bar"]
        assert not draws[name]["apart"]
    for name in ("gauge", "speed", "proving"):
        told = sum(one["shares"][name] for one in draws["inputs"]) + draws["together"][name]
        assert told == pytest.approx(1.0, abs=5e-4)  # each is printed to 1e-4


def test_the_same_seed_draws_the_same_another_another():
    one, same, other = (
        jetwright("draws", SHIFT, "--task", NOON, "--count", 1000, "--seed", seed, "--json").stdout
        for seed in (4, 4, 5)
    )
    assert one == same
    assert one != other


def test_a_refused_task_leaves_with_3():
    done = jetwright("draws", EXAMPLES / "shift" / "refused.toml", "--count", 1000)
    assert done.returncode == 3
    assert "not to be set" in done.stdout.decode()


@pytest.mark.parametrize("count", [0, 999, 10**9, "many"])
def test_a_count_that_tells_nothing_is_refused(count):
    done = jetwright("draws", SHIFT, "--count", count)
    assert (done.returncode, done.stdout) == (2, b"")
    assert b"--count" in done.stderr


def test_a_file_that_is_not_there_leaves_with_2(tmp_path):
    done = jetwright("draws", tmp_path / "none.toml")
    assert (done.returncode, done.stdout) == (2, b"")
