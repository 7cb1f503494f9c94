"""The change command as a crew runs it: every two tasks of every example, by name and by number."""

import json
import tomllib
from itertools import permutations

import pytest
from click.testing import CliRunner

from jetwright.cli import command
from tests.cli.test_commands import EXAMPLES, jetwright

SHIFT = EXAMPLES / "shift" / "job.toml"
MORNING, NOON, AFTERNOON = (
    "Morning: hall floor",
    "Noon: pump footings by gun",
    "Afternoon: heat exchanger shell",
)


def tasks(path):
    return tomllib.loads(path.read_text(encoding="utf-8")).get("task", [])


PAIRS = [
    pytest.param(path, *pair, id=f"{path.relative_to(EXAMPLES)} {pair[0]} {pair[1]}")
    for path in sorted(EXAMPLES.rglob("*.toml"))
    for pair in permutations(range(1, len(tasks(path)) + 1), 2)
]


def run(*args):
    return CliRunner().invoke(command, ["change", *map(str, args)])


def test_there_are_pairs():
    assert len(PAIRS) >= 24


@pytest.mark.parametrize(("path", "before", "after"), PAIRS)
def test_every_two_tasks_of_every_example(path, before, after):
    done = run(path, before, after)
    facts = json.loads(run(path, before, after, "--json").stdout)
    refused = facts["task"]["verdict"] == "not_allowed"
    assert done.exit_code == (3 if refused else 0)
    assert done.stdout.startswith("SPEED TO START, ")
    assert max(map(len, done.stdout.splitlines())) <= 100
    assert done.stdout.count("supports and never replaces") == 1
    names = [task["name"] for task in tasks(path)]
    assert (facts["before"]["name"], facts["after"]["name"]) == (names[before - 1], names[after - 1])
    assert (facts["steps"][-1]["id"] == "stop.lock") == refused


def test_in_a_process_of_its_own():
    done = jetwright("change", SHIFT, MORNING, NOON, "--units", "us", "--date", "2026-05-12")
    assert (done.returncode, done.stderr) == (0, b"")
    text = done.stdout.decode()
    assert "psi" in text
    assert "2026-05-12" in text
    assert text == jetwright("change", SHIFT, 1, 2, "--units", "us").stdout.decode()


def test_the_day_decides_what_is_in_test():
    assert run(SHIFT, 2, 3).exit_code == 0
    assert "last test" in run(SHIFT, 2, 3, "--date", "2028-05-12").stdout


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ("2", "2", "a change is from one task to another"),
        (NOON, "2", "a change is from one task to another"),
        ("Noon: pump footing by gun", "1", f"did you mean “{NOON}”"),
        ("noon", "1", f"did you mean “{NOON}”"),
        ("1", "4", "there is no task of this name or number"),
        ("0000000002", "1", "there is no task of this name or number"),
        ("0", "1", f"Known: 1 {MORNING}, 2 {NOON}, 3 {AFTERNOON}"),
    ],
)
def test_what_cannot_be_read_is_told(before, after, told):
    done = run(SHIFT, before, after)
    assert done.exit_code == 2
    assert told in done.stderr
    assert str(SHIFT) in done.stderr
    assert done.stdout == ""


def test_a_file_that_is_not_there():
    done = run("no such job.toml", 1, 2)
    assert done.exit_code == 2
    assert "there is no such file" in done.stderr


def test_help_shows_an_example():
    text = run("--help").stdout
    assert "Example: jetwright change job.toml 1 2" in text
    assert "Exit code 0:" in text
