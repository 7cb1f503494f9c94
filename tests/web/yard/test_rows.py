"""Rows of a CSV file: whatever stands in them comes back as it was, and no cell is a formula."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.web.yard.rows import OWN, RefusedCellError, csv_rows, csv_text, guarded, unguarded
from tests.web.yard.pieces import GUN, HOSE, UNIT

TEXT = st.text(st.characters(blacklist_categories=["Cs"], blacklist_characters="\0"), max_size=30)
TRICKY = st.one_of(
    TEXT, st.builds(lambda first, rest: first + rest, st.sampled_from("=+-@＝＠\u3000\ufeff\t\r\n'\""), TEXT)
)
NUMBER = st.one_of(st.integers(-999, 10**14), st.floats(allow_nan=False, allow_infinity=False))
SOME = TRICKY.filter(bool)
TOOL = st.fixed_dictionaries(
    {"kind": SOME, "bore": SOME},
    optional={
        "loss_k": NUMBER,
        "holder": SOME,
        "dump": st.fixed_dictionaries({"bore": SOME}, optional={"cd": NUMBER}),
        "ports": st.lists(
            st.fixed_dictionaries({"tip": SOME}, optional={"count": st.integers(1, 99), "angle": SOME}), min_size=1
        ),
    },
)
OWN_CELLS = st.fixed_dictionaries(dict.fromkeys(OWN, TRICKY))


@given(st.lists(st.tuples(OWN_CELLS, TOOL), min_size=1, max_size=4))
def test_out_and_in_is_the_same(rows):
    text = csv_text("tool", rows)
    back = csv_rows("tool", "\ufeff" + text)
    assert [(own, spec) for _, own, spec in back] == rows
    assert [number for number, _, _ in back] == list(range(2, len(rows) + 2))


@given(TRICKY)
def test_no_cell_begins_as_a_formula_does(text):
    assert guarded(text)[:1] not in tuple("=+-@\t\r\n")
    assert unguarded(guarded(text)) == text


@given(st.lists(st.tuples(OWN_CELLS, TOOL), min_size=1, max_size=3))
def test_no_cell_of_a_file_does(rows):
    for line in csv.reader(io.StringIO(csv_text("tool", rows), newline="")):
        assert not any(cell[:1] in tuple("=+-@\t\r\n") for cell in line if cell)


@pytest.mark.parametrize(("kind", "spec"), [("unit", UNIT), ("hose", HOSE), ("tool", GUN)])
def test_lists_pairs_and_tables_come_back(kind, spec):
    spec = {**spec, **({"pump": {**spec["pump"], "measured": [{"speed": "1 rpm"}] * 12}} if kind == "unit" else {})}
    own = dict.fromkeys(OWN, "x")
    assert csv_rows(kind, csv_text(kind, [(own, spec)])) == [(2, own, spec)]


def test_semicolons_part_cells_where_the_heads_say_so():
    assert csv_rows("hose", "name;bore\nR8;8 mm\n") == [(2, {"name": "R8"}, {"bore": "8 mm"})]


@pytest.mark.parametrize(
    ("text", "code", "row", "column"),
    [
        ("", "no_heads", 1, ""),
        ("bore\n8 mm\n", "no_heads", 1, ""),
        ("name,boar\nR8,8 mm\n", "unknown_column", 1, "boar"),
        ("name,bore,bore\nR8,8 mm,9 mm\n", "column_twice", 1, "bore"),
        ("name,tails\nR8,x\n", "unknown_column", 1, "tails"),
        ("name,tails.bore.x\nR8,x\n", "unknown_column", 1, "tails.bore.x"),
        ("name,bore\nR8,8 mm,more\n", "too_many_cells", 2, ""),
        ('name,bore\n"R8,8 mm\n', "no_csv", 2, ""),
    ],
)
def test_a_file_that_cannot_be_read_says_where(text, code, row, column):
    with pytest.raises(RefusedCellError) as refused:
        csv_rows("hose", text)
    assert (refused.value.code, refused.value.row, refused.value.column) == (code, row, column)


def test_a_place_in_a_list_has_a_bound():
    for place in ("0", "61", "99999999999", "01", "-1", "٣"):
        with pytest.raises(RefusedCellError):
            csv_rows("tool", f"name,ports.{place}.tip\ngun,R8\n")


def test_the_unit_names_no_piece_that_sits_on_it():
    for column in ("gauge.full_scale", "kits.P32.rating", "relief.1.set"):
        with pytest.raises(RefusedCellError):
            csv_rows("unit", f"name,{column}\nHeron,1\n")
