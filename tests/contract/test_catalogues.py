"""Catalogues are current, complete and compiled."""

import pytest
from babel.messages.checkers import num_plurals

from tests.contract.catalogues import TEMPLATE, compiled, read, template_text

CATALOGUES = sorted(TEMPLATE.parent.glob("*/LC_MESSAGES/jetwright.po"))


def test_spanish_is_there():
    assert "es" in {path.parent.parent.name for path in CATALOGUES}


def test_the_template_is_current():
    assert template_text(read(TEMPLATE).creation_date).decode() == TEMPLATE.read_text(encoding="utf-8"), "make strings"


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda p: p.parent.parent.name)
def test_every_string_is_translated(path):
    catalogue = read(path)
    wanted = {(m.context, m.id) for m in read(TEMPLATE) if m.id}
    held = {
        (m.context, m.id)
        for m in catalogue
        if m.id and not m.fuzzy and (m.string if isinstance(m.string, str) else all(m.string))
    }
    assert wanted - held == set(), "make strings, then fill in"
    assert held - wanted == set(), "make strings"


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda p: p.parent.parent.name)
def test_placeholders_survive(path):
    """A translation that drops or renames {bound} would fail only in front of a crew."""
    import string

    def fields(text):
        return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}

    catalogue = read(path)
    for message in catalogue:
        if message.id:
            num_plurals(catalogue, message)  # and not Babel's check of %: "20 % of" is no placeholder here
            ids = [message.id] if isinstance(message.id, str) else message.id
            strings = [message.string] if isinstance(message.string, str) else message.string
            wanted = set().union(*map(fields, ids))
            for text in strings:
                assert fields(text) <= wanted, message.id
                assert fields(ids[-1]) <= fields(text) or len(strings) > 1, message.id


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda p: p.parent.parent.name)
def test_the_compiled_catalogue_matches(path):
    assert path.with_suffix(".mo").read_bytes() == compiled(path), "make strings"
