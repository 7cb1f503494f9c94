"""Checks of jetwright.plan.goal: grades by any spelling, and what each edition calls a pressure."""

from dataclasses import replace

import pytest

from jetwright.files.goals import goals
from jetwright.plan.goal import goal_of, goal_problems, grade_of, terms_at
from jetwright.rig.check import check
from jetwright.rig.description import Goal
from jetwright.rig.example import JOB
from jetwright.rig.goal import NONE
from jetwright.solve.steady import reach

SP12 = "SSPC-SP 12/NACE No. 5 (1995)"
SUMMARY = pytest.mark.published("SSPC-SP 12/NACE No. 5 as a public summary gives it under its title of 1995")
HSE = pytest.mark.published("HSE SIM 3/2002/22: above 1700 bar")


def called(pressure, edition):
    return [(term, read) for name, term, read in terms_at(goals(), pressure) if name == edition]


def job_with(*goal):
    return replace(JOB, task=tuple(replace(JOB.task[0], goal=one) for one in goal))


@SUMMARY
@pytest.mark.parametrize(
    ("mpa", "term"),
    [(1.0, "LP WC"), (33.9, "LP WC"), (35.0, "HP WC"), (68.0, "HP WC"), (70.0, "HP WJ"), (169.0, "HP WJ"),
     (175.0, "UHP WJ")],
)  # fmt: skip
def test_pressures_as_the_summary_calls_them(mpa, term):
    assert called(mpa * 1e6, SP12) == [(term, True)]


@SUMMARY
def test_between_its_megapascals_and_its_psi_an_edition_says_both():
    """70 MPa is 10 153 psi, and the edition prints 10 000."""
    assert called(69.5e6, SP12) == [("HP WC", True), ("HP WJ", True)]


@HSE
@pytest.mark.parametrize(("bar", "terms"), [(1700.0, []), (1701.0, [("UHP", True)])])
def test_an_edition_without_a_class_as_low_says_nothing(bar, terms):
    assert called(bar * 1e5, "HSE SIM 3/2002/22") == terms


def test_a_class_counts_as_read_only_with_both_its_borders():
    """From memory: HP WJ of the edition of 2012 ends at a border that was read, and begins at one that was not."""
    assert called(1500e5, "SSPC-SP WJ (2012)") == [("HP WJ", False)]
    assert called(2200e5, "SSPC-SP WJ (2012)") == [("UHP WJ", True)]


def test_editions_that_disagree_are_both_told():
    """1900 bar: above 170 MPa of 1995, below 210 MPa of 2002 (from memory)."""
    terms = {edition: term for edition, term, _read in terms_at(goals(), 1900e5)}
    assert terms[SP12] == "UHP WJ"
    assert terms["SSPC-SP 12/NACE No. 5 (2002)"] == "HP WJ"
    assert terms["ISO 8504-5:2024"] == ""


@pytest.mark.parametrize("pressure", [340e5, 700e5])
def test_a_solved_pressure_is_on_the_border_it_was_planned_for(pressure):
    """A solver's last digit decides no class."""
    edition = "SSPC-SP WJ (2012)"
    assert called(pressure * (1.0 - 1e-9), edition)[0] == called(pressure, edition)[0]


@pytest.mark.parametrize(
    ("written", "name"),
    [("WJ-2", "WJ-2"), ("wj 2", "WJ-2"), ("Wa 2 1/2", "Wa 2 1/2"), ("Wa 2½", "Wa 2 1/2"), ("WA2.5", "Wa 2 1/2"),
     ("Wa 2", "Wa 2"), ("Bare tube", "bare tube")],
)  # fmt: skip
def test_a_grade_is_known_however_it_is_spaced(written, name):
    assert grade_of(goals(), written).name == name


def test_the_edition_that_is_named_is_taken():
    assert grade_of(goals(), "WJ-3", "sspc-sp 12 / nace no 5 2002").edition == "SSPC-SP 12/NACE No. 5 (2002)"
    assert grade_of(goals(), "WJ-3").edition == "SSPC-SP WJ (2012)"


def test_a_goal_is_answered_at_the_pressure_of_its_branch():
    rig = check(job_with(Goal("Wa 2", "ISO 8501-4")))
    answer = goal_of(rig, reach(rig, "nozzle_pressure", 500e5), goals())
    assert (answer.grade, answer.edition, answer.nearest, answer.verified) == ("Wa 2", "ISO 8501-4", "WJ-3", False)
    assert (SP12, "HP WC", True) in answer.classes


def test_without_data_nothing_is_claimed():
    rig = check(job_with(Goal("Wa 2")))
    answer = goal_of(rig, reach(rig, "nozzle_pressure", 500e5), NONE)
    assert (answer.grade, answer.classes) == (None, ())


def test_every_goal_that_nobody_published_is_told():
    job = job_with(Goal("WJ-5"), Goal("WJ-2"), Goal("Wa 2", "SSPC-SP WJ (2012)"), None)
    grade, edition = goal_problems(job, goals())
    assert (grade.key, grade.written) == (("task", 0, "goal", "grade"), "WJ-5")
    assert "WJ-4" in grade.facts["known"]
    assert (edition.key, edition.facts["known"]) == (("task", 2, "goal", "edition"), ["ISO 8501-4"])
