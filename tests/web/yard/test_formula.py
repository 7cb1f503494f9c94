"""A yard's CSV file in a spreadsheet that parts cells at a semicolon or a tab: none begins as a formula does."""

import csv
import io
import unicodedata

import pytest

from jetwright.web.yard.rows import OWN, csv_rows, csv_text, guarded, unguarded

HOSTILE = ('x;=HYPERLINK("http://evil")', ";=cmd|'/c calc'!A0", 'a; "=1+1', "a\t=1", "a\n@x", ";;-1;'+2", "a;\u00a0=1")


@pytest.mark.parametrize("text", HOSTILE)
def test_no_part_of_a_cell_begins_as_a_formula_does(text):
    row = dict.fromkeys(OWN, "") | {"name": "T", "note": text}
    for delimiter in (",", ";", "\t"):
        for line in csv.reader(io.StringIO(csv_text("tip", [(row, {})])), delimiter=delimiter):
            assert [cell for cell in line if cell.lstrip(' "\u00a0')[:1] in tuple("=+-@")] == []
    assert csv_rows("tip", csv_text("tip", [(row, {})]))[0][1]["note"] == text


WIDE = [gap + sign + "1" for gap in ("", "\u3000", "\u2003", "\ufeff", "x;\u3000") for sign in "=+-@＝＋－＠﹦﹢﹣﹫"]


@pytest.mark.parametrize("text", WIDE)
def test_nor_as_one_of_wide_signs_or_behind_a_wide_gap_does(text):
    """What Unicode takes for the same sign (NFKC) counts as it, what it takes for a gap (White_Space) as one."""
    out = csv_text("tip", [(dict.fromkeys(OWN, "") | {"name": "T", "note": text}, {})])
    for delimiter in (",", ";"):
        for line in csv.reader(io.StringIO(out), delimiter=delimiter):
            begun = [unicodedata.normalize("NFKC", cell.strip('\ufeff" ').lstrip()) for cell in line]
            assert [cell for cell in begun if cell[:1] in tuple("=+-@")] == []
    assert csv_rows("tip", out)[0][1]["note"] == text


@pytest.mark.parametrize(
    "text", [*HOSTILE, *WIDE, "\u3000'=", "'＝", "'", "''=", ";'=", ";';'", "a;'b", "\t\t'=", '"=', ';""\'"=', "x;''-"]
)
def test_what_was_guarded_comes_back(text):
    assert unguarded(guarded(text)) == text
