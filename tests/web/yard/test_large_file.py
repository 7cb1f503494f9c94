"""A file of as many rows as there may be: put into the yard while others work, who wait a moment at most."""

import pytest

from jetwright.web.yard.rows import MOST_ROWS

MOST_HELD = 1.5
"""How long others may be kept from writing, on a machine that is at nothing else. [s]"""


@pytest.fixture(scope="module")
def told(make_place):
    return make_place().act("tests.web.large_file.put_in", rows=MOST_ROWS - 10)


def test_all_of_it_is_written_and_each_row_has_its_line_in_the_trail(told):
    rows = MOST_ROWS - 10
    assert told["statuses"] == [302, 302]
    assert told["pieces"] == {"1300 bar": rows}
    assert (told["versions"], told["tested"]) == ([2], ["2026-02-24"])
    assert told["lines"] == {"0": rows, "1": rows}
    assert told["who"] == [["ada", "127.0.0.1"]]
    assert [spec["rating"] for spec in told["first"]] == ["1400 bar", "1300 bar"]


def test_others_are_kept_from_writing_for_a_moment_only(told):
    assert max(told["held"]) < MOST_HELD, told["held"]


def test_what_others_save_meanwhile_is_saved(told):
    assert set(told["beside"]) == {302}
    assert told["jobs"] == len(told["beside"]) > 2


def test_a_piece_that_is_retired_meanwhile_is_told_so(empty):
    """The file is in; whoever retired looked at a piece that is no longer so."""
    assert empty.act("tests.web.between.retired_at_once") == [[302, 409], "9 mm", True, 2]
