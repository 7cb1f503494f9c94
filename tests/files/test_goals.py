"""Checks of jetwright.files.goals: the grades and classes that come with Jetwright, and what is refused in them."""

from importlib.resources import files

import pytest

from jetwright.errors import JetwrightError
from jetwright.files.goals import goals, read_goals
from jetwright.report.goal_words import GRADES
from jetwright.report.goals_table import SORTS, TERMS

TEXT = (files("jetwright") / "data" / "goals.toml").read_text(encoding="utf-8")

SUMMARY = (  # MPa; the border itself belongs to the class above, but to the class below at the last
    ("LP WC", 0.0, False),
    ("HP WC", 34.0, False),
    ("HP WJ", 70.0, False),
    ("UHP WJ", 170.0, True),
)


@pytest.mark.published("SSPC-SP 12/NACE No. 5 as a public summary gives it under the title of its edition of 1995")
def test_the_edition_of_1995_is_as_a_summary_gives_it():
    found = [one for one in goals().classes if one.edition == "SSPC-SP 12/NACE No. 5 (1995)"]
    assert tuple((one.term, pytest.approx(one.border[0] / 1e6), one.above) for one in found) == SUMMARY
    assert all(one.verified for one in found)


def test_what_rests_on_memory_is_never_called_read():
    """A source that begins with memory was not at hand."""
    rows = [*goals().grades, *goals().classes]
    assert [row for row in rows if row.source.startswith("from memory") and row.verified] == []
    assert [row for row in rows if row.source == "common practice" and row.verified] == []


def test_every_row_has_its_words():
    assert {one.says for one in goals().grades} == set(GRADES)
    assert {one.sort for one in goals().grades} == set(SORTS)
    assert {one.term for one in goals().classes} == set(TERMS)


def test_of_one_grades_editions_the_latest_stands_last():
    years = [one.edition[-5:-1] for one in goals().grades if one.name == "WJ-2"]
    assert years == sorted(years) == ["1995", "2002", "2012"]


def test_what_comes_closest_does_so_both_ways():
    """Common practice: a grade of the other system is near, whichever end one begins at."""
    near = {(one.name, one.nearest) for one in goals().grades if one.nearest}
    assert {(other, name) for name, other in near} == near


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('version = "1"', 'version = "1"\nnote = "x"', "unknown: note"),
        ('version = "1"', 'version = "1', "goals: "),
        ('term = "LP WC", border = []', 'name = "LP WC", border = []', "unknown: name"),
        ('border = ["34 MPa", "5000 psi"]', 'border = ["34 mPa"]', "unknown_unit"),
        ('border = ["34 MPa", "5000 psi"]', 'border = ["34 MPa", "15000 psi"]', "its classes do not rise"),
        (', border = ["34 MPa", "5000 psi"]', "", "a border is missing"),
        ('name = "ISO 8501-4, from memory"', 'name = "ISO 8501-4, as told in 2005"', "stands there twice"),
        ('name = "WJ-2"', 'name = "WJ-1"', "stands there twice"),
        ('sort = "salts"', 'sort = "salt"', "sort is none of visual, salts"),
        ('nearest = "NV-1"', 'nearest = "NV-4"', "nearest names no grade: NV-4"),
        ('says = "wj_1", nearest = ""', 'says = "wj_1"', "missing: nearest"),
    ],
)
def test_what_is_wrong_in_them_is_told(old, new, told):
    assert old in TEXT
    with pytest.raises(JetwrightError, match=r".") as why:
        read_goals(TEXT.replace(old, new, 1))
    assert told in str(why.value)
