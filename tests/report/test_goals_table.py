"""Published goals on a page: it fits, says what was read, and stays in one system of units."""

import re
from pathlib import Path

import pytest
from rich.cells import cell_len

from jetwright.files.goals import goals
from jetwright.plan.goal import terms_at
from jetwright.report import goal_words
from jetwright.report.goal_words import NAMES, goal_name
from jetwright.report.goals_table import between_words, goals_table, read_words


def table(pressure=None, **options):
    terms = () if pressure is None else terms_at(goals(), pressure)
    return goals_table(goals(), pressure, terms, **options)


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("width", [60, 80, 100])
@pytest.mark.parametrize("pressure", [None, 950e5])
def test_it_fits_in_one_system(pressure, width, system):
    text = table(pressure, width=width, system=system)
    assert max(cell_len(line) for line in text.splitlines()) <= width
    foreign = r"\d (bar)\b" if system == "us" else r"\d (psi)\b"
    assert re.search(foreign, text) is None


def test_names_in_words_of_our_own_can_be_said_in_another_language_and_designations_stay():
    ours = {one.name for one in goals().grades if one.edition == "common practice" or one.sort == "flash rust"}
    assert ours | {"common practice"} == set(NAMES)
    assert [goal_name(name) for name in ("WJ-2", "Wa 2 1/2", "ISO 8501-4")] == ["WJ-2", "Wa 2 1/2", "ISO 8501-4"]
    marked = Path(goal_words.__file__).read_text(encoding="utf-8")
    assert all(f'"{name}": N_("{name}")' in marked for name in ours)


def test_what_was_not_read_says_so():
    assert "its published contents, not read" in " ".join(table().split())
    for one in [*goals().grades, *goals().classes]:
        said = read_words(one.source, one.verified)
        assert one.verified or "memory" in said or "not read" in said or said == "common practice"


def test_it_names_no_grade_by_a_pressure():
    """A class is a name: the page says that nothing follows from it for the grade."""
    assert "says nothing about the grade" in " ".join(table(950e5).split())


def test_an_edition_that_stands_twice_is_explained_only_there():
    assert between_words(terms_at(goals(), 950e5)) == []
    assert len(between_words(terms_at(goals(), 692e5))) == 1
