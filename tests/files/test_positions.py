"""Where keys stand, held against tomllib, which knows what stands there."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.files.positions import spots, statements, tokens, too_deep

HARD = '''
title = "brackets ] and # in a text"   # and [ in a comment
literal = 'no \\ escape "here" ]'
"quoted key" = 1
"es\\"caped" = 2
a.b . c = 3
empty = []
long = """
first [
second \\""" third
"""
ends_in_quotes = """x"""""
raw = \'\'\'
[not a table]
\'\'\'
nested = [
  [1, 2],  # one
  [
    3,
  ],
  "]", { x = 1, y = [
    { z = "}" },
  ] },
]
when = 2026-02-11 07:30:00
date = 2026-02-11

[table]   # a comment
key = -1.5e3
[table.'sub.table']
key = true

[[rows]]
n = 1
[rows.inside]
deep = 1
[[rows.parts]]
p = 1
[[rows.parts]]
p = 2
[[rows]]
n = 2
[[rows.parts]]
p = 3
'''


def paths(data, path=()):
    """Every path of parsed TOML."""
    if isinstance(data, dict):
        items = list(data.items())
    elif isinstance(data, list):
        items = list(enumerate(data))
    else:
        return
    for key, value in items:
        yield (*path, key), value
        yield from paths(value, (*path, key))


def test_every_key_has_its_place():
    found = spots(HARD, "hard.toml")
    data = tomllib.loads(HARD)
    assert set(found) == {path for path, _ in paths(data)}
    lines = HARD.split("\n")
    for path, value in paths(data):
        spot = found[path]
        if isinstance(value, int | float) and not isinstance(value, bool):
            assert tomllib.loads(f"v = {spot.written}")["v"] == value
            assert spot.written in lines[spot.line - 1]


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (("title",), "title ="),
        (("a", "b", "c"), "a.b . c = 3"),
        (("a",), "a.b . c = 3"),
        (("long",), 'long = """'),
        (("ends_in_quotes",), "ends_in_quotes ="),
        (("nested", 0, 1), "  [1, 2],  # one"),
        (("nested", 1), "  ["),
        (("nested", 1, 0), "    3,"),
        (("nested", 2), '  "]", { x = 1, y = ['),
        (("nested", 3, "y", 0, "z"), '    { z = "}" },'),
        (("table", "sub.table", "key"), "key = true"),
        (("rows", 0, "parts", 1, "p"), "p = 2"),
        (("rows", 1, "parts", 0, "p"), "p = 3"),
        (("rows", 0, "inside"), "[rows.inside]"),
    ],
)
def test_lines(path, text):
    assert HARD.split("\n")[spots(HARD, "f")[path].line - 1].startswith(text)


def test_statements_cover_the_text():
    lines = HARD.split("\n")
    covered = [n for s in statements(HARD) for n in range(s.first, s.last + 1)]
    assert covered == [n for n, line in enumerate(lines, start=1) if line]


VALUES = st.recursive(
    st.integers(-99, 99) | st.booleans() | st.sampled_from(['"a]b"', "'#'", '"\\\\"', '"""\n[\n"""', "'''x'''"]),
    lambda inner: st.lists(inner, max_size=3),
    max_leaves=6,
)


def toml(value):
    if isinstance(value, list):
        return "[\n" + "".join(f"{toml(each)}, # ]\n" for each in value) + "]"
    return str(value).lower() if isinstance(value, bool) else str(value)


@given(st.lists(st.tuples(st.sampled_from(["", "[t]", "[[r]]"]), VALUES), max_size=6))
def test_generated_texts(parts):
    text, seen = "", set()
    for index, (header, value) in enumerate(parts):
        if header != "[t]" or "[t]" not in seen:
            text += f"{header}\n"
        elif header == "[t]":
            text += "[[r]]\n"
        seen.add(header)
        text += f"k{index} = {toml(value)}\n"
    data = tomllib.loads(text)
    found = spots(text, "f")
    assert set(found) == {path for path, _ in paths(data)}
    for path in found:
        if str(path[-1]).startswith("k"):
            assert text.split("\n")[found[path].line - 1].startswith(f"{path[-1]} =")


@given(st.text(alphabet="[]{}=.,#\"'\\\n a1", max_size=200))
def test_anything_is_cut_into_tokens(text):
    kept = "".join(token.text for token in tokens(text))
    assert kept.replace(" ", "") == text.replace(" ", "")
    too_deep(text)


@pytest.mark.parametrize(
    "text", ["a = " + "[" * 16 + "]" * 16, "a = [1.5, 2.5, 3.5, 4.5] " * 1, ".".join("a" * 16) + "=1"]
)
def test_what_is_not_too_deep(text):
    assert too_deep(text) is None
    tomllib.loads(text)
