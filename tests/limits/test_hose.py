"""Checks of jetwright.limits.hose: each limit on, below and above its bound."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.files.rules import rule_set
from jetwright.limits.hose import (
    age_of_test,
    filter_of,
    hose_count,
    mixed,
    ratings_told_apart,
    tip_count,
    traceable,
    water_speed_in,
)

RULES, DAY = rule_set("eu-generic"), 86400.0


@pytest.mark.rule("hose.test_age")
@pytest.mark.parametrize(("days", "verdict"), [(0, "within"), (365, "within"), (366, "within"), (367, "not_allowed")])
def test_a_hose_is_tested_every_twelve_months(days, verdict):
    """Norway, regulation on the performance of work, 20-9: at least every 12 months; a leap year has 366 days."""
    limit = age_of_test("R8-20", days * DAY, RULES.bound("hose.test_age"))
    assert (limit.verdict, limit.about) == (verdict, "hoses.R8-20")


@pytest.mark.rule("hose.test_age")
def test_guidance_alone_makes_it_a_look():
    """UK Water Jetting Association, guidance note GN 103 (2016): every 12 months, for its members."""
    limit = age_of_test("R8-20", 400 * DAY, rule_set("uk").bound("hose.test_age"))
    assert (limit.verdict, limit.verified) == ("look", True)


@pytest.mark.rule("hose.test_age")
def test_a_hose_never_tested_is_not_judged():
    limit = age_of_test("R8-20", None, RULES.bound("hose.test_age"))
    assert (limit.verdict, limit.missing) == ("not_judged", "hoses.R8-20.tested")


@pytest.mark.rule("hose.test_age")
def test_a_test_that_lies_ahead_is_looked_at():
    limit = age_of_test("R8-20", -DAY, RULES.bound("hose.test_age"))
    assert (limit.verdict, limit.remedy) == ("look", "hose.test_age/future")


@pytest.mark.rule("hose.traceable")
@pytest.mark.parametrize(("pieces", "verdict"), [(0, "within"), (1, "not_allowed"), (3, "not_allowed")])
def test_a_hose_without_its_tag(pieces, verdict):
    """Common practice: no tag, no rating, no test."""
    assert traceable(pieces, "hoses").verdict == verdict


@pytest.mark.rule("hose.traceable")
@pytest.mark.parametrize(("pieces", "verdict"), [(0, "not_judged"), (1, "not_allowed")])
def test_a_hose_of_whose_tag_nobody_said_anything(pieces, verdict):
    limit = traceable(pieces, "hoses", unsaid="R8-20")
    assert (limit.verdict, limit.missing) == (verdict, "" if pieces else "hoses.R8-20.traceable")


@pytest.mark.rule("hose.mixed")
@pytest.mark.parametrize(("ratings", "missing", "verdict"), [
    (1, "", "within"), (2, "", "look"), (1, "hoses.B.rating", "not_judged"), (2, "hoses.B.rating", "look"),
])  # fmt: skip
def test_pieces_that_may_be_swapped_unseen(ratings, missing, verdict):
    assert mixed(ratings, "hoses", missing).verdict == verdict


def test_the_same_tag_in_two_units_is_one_rating():
    """14500 psi = 999.7 bar, NIST SP 811 (2008), appendix B."""
    assert ratings_told_apart([1000e5, 14500 * 6894.757]) == 1
    assert ratings_told_apart([1000e5, 1100e5, 1400e5]) == 3
    assert ratings_told_apart([]) == 0


@given(st.lists(st.floats(1e6, 4e8), min_size=1, max_size=5))
def test_ratings_are_counted_in_any_order(ratings):
    assert ratings_told_apart(ratings) == ratings_told_apart(ratings[::-1])
    assert 1 <= ratings_told_apart(ratings) <= len(set(ratings))


@pytest.mark.rule("hose.speed")
@pytest.mark.parametrize(("speed", "verdict"), [(19.9, "within"), (20.0, "within"), (20.1, "look")])
def test_fast_water_in_a_hose(speed, verdict):
    limit = water_speed_in("R8-20", speed, RULES.bound("hose.speed"))
    assert (limit.verdict, limit.quantity) == (verdict, "velocity")


@pytest.mark.rule("supply.filter")
@pytest.mark.parametrize(("mesh", "verdict"), [(25e-6, "within"), (50e-6, "within"), (60e-6, "look")])
def test_a_filter_against_the_smallest_tip(mesh, verdict):
    limit = filter_of(mesh, 1.0e-3, "R10", RULES.bound("supply.filter"))
    assert (limit.verdict, limit.about) == (verdict, "tips.R10")


@pytest.mark.rule("supply.filter")
def test_a_filter_nobody_described_is_not_judged():
    limit = filter_of(None, 1.0e-3, "R10", RULES.bound("supply.filter"))
    assert (limit.verdict, limit.missing) == ("not_judged", "supply.filter")


@pytest.mark.rule("hose.count")
@pytest.mark.rule("tip.count")
@pytest.mark.parametrize("judged", [hose_count, tip_count])
@pytest.mark.parametrize(("used", "verdict"), [(1, "within"), (2, "within"), (3, "look")])
def test_what_is_not_in_the_yard_is_not_used(judged, used, verdict):
    """The yard: two are owned."""
    limit = judged(used, 2, "hoses.R8-20")
    assert (limit.verdict, limit.source, limit.value, limit.bound) == (verdict, "the yard", used, 2)
    assert limit.remedy == (limit.id if verdict == "look" else "")
