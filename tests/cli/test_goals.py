"""`jetwright goals` as a person types it."""

import json
import subprocess
import sys

import pytest
from click.testing import CliRunner

from jetwright.cli import command
from jetwright.files.goals import goals


def asked(*words):
    return CliRunner().invoke(command, ["goals", *words], env={"LANGUAGE": "en"})


def test_every_grade_and_class_is_listed_with_its_edition():
    text = asked().output
    for one in goals().grades:
        assert one.name in text
        assert one.edition in text
    assert "from memory" in text
    assert max(map(len, text.splitlines())) <= 100


@pytest.mark.parametrize(("units", "shown"), [("si", "689 bar"), ("us", "10000 psi")])
def test_a_pressure_is_called_by_every_edition(units, shown):
    """10,000 psi: the editions print 70 MPa (10,000 psi), which is 10,153."""
    answer = asked("--pressure", "10000 psi", "--units", units)
    assert answer.exit_code == 0
    assert shown in answer.output
    assert "HP WC" in answer.output
    assert "HP WJ" in answer.output
    assert "stands twice" in answer.output
    assert "ISO 8504-5:2024" in answer.output


def test_json_carries_what_was_read():
    facts = json.loads(asked("--pressure", "1900 bar", "--json").output)
    assert facts["pressure_bar"] == 1900.0
    called = {one["edition"]: one for one in facts["called"]}
    assert called["SSPC-SP 12/NACE No. 5 (1995)"]["term"] == "UHP WJ"
    assert called["ISO 8504-5:2024"] == {"edition": "ISO 8504-5:2024", "term": None, "verified": False}
    assert len(facts["grades"]) == len(goals().grades)
    assert "called" not in json.loads(asked("--json").output)


@pytest.mark.parametrize(
    ("typed", "told"),
    [("950", "a unit is missing"), ("2,5 bar", "“2.5 bar” or “25 bar”"), ("9 mm", "is the unit of a length"),
     ("900000 bar", "at most 4000 bar"), ("0 bar", "above 0 bar")],
)  # fmt: skip
def test_a_pressure_that_cannot_be_read_says_what_would_do(typed, told):
    answer = asked("--pressure", typed)
    assert answer.exit_code == 2
    assert told in " ".join(answer.output.split())


def test_it_runs_as_it_is_installed():
    done = subprocess.run(
        [sys.executable, "-m", "jetwright", "goals", "--pressure", "950 bar"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "950 bar" in done.stdout
