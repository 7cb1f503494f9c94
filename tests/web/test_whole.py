"""Checks of jetwright.web.whole."""

import html
import re

import pytest

from jetwright.web.whole import whole


def kept(words):
    """The pieces that no line ends within."""
    return [html.unescape(one) for one in re.findall('<span class="whole">(.*?)</span>', str(whole(words)))]


@pytest.mark.parametrize(
    ("words", "pieces"),
    [
        ("tested 2026-02-24, 9 months ago", ["2026-02-24"]),
        ("Ada 2026-02-24 12:30 UTC", ["2026-02-24", "12:30 UTC"]),
        ("out of test (S8-20, W13-20)", ["S8-20", "W13-20"]),
        ("alrededor de 110 rpm y 800 bar, 25 %", ["110 rpm", "800 bar", "25 %"]),
        ("12\u202f500\u00a0psi ± 400 psi", ["12\u202f500\u00a0psi", "± 400 psi"]),
        ("12 500 psi and 3.5 m²", ["12 500 psi", "3.5 m²"]),
        ("2 × F15 + 2 × F13 (1.50 mm)", ["2 × F15", "2 × F13", "1.50 mm"]),
        ("a hold-to-run handle for 5 minutes", []),
        ("3 per turn", []),
        ("0.28 → 0.3, EN 1829-1:2010 5.2.2", ["1829-1", "5.2.2"]),
    ],
)
def test_dates_tags_and_figures_stay_whole(words, pieces):
    assert kept(words) == pieces


def test_a_text_can_be_copied_as_it_is_and_runs_no_markup():
    words = "S8-20 <b>& 2.5 L/min</b>"
    assert html.unescape(re.sub("</?span[^>]*>", "", str(whole(words)))) == words
    assert "<b>" not in str(whole(words))


def test_a_name_too_long_for_a_column_may_be_broken():
    assert kept("the-hose-that-came-with-the-second-unit-2") == []
