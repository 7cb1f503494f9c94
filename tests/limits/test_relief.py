"""Checks of jetwright.limits.relief and what a plan gathers for it."""

import datetime
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.limits.limit import WORST_LAST
from jetwright.limits.relief import relief_clear, relief_full_flow, relief_opens, relief_reseats
from jetwright.limits.rules import Bound
from jetwright.parts.relief import full_lift, latest_opening
from jetwright.plan.judging.relief import limits
from jetwright.rig.description import Relief
from tests.limits.unit_a import BAR, BOUNDS, LITRES_A_MINUTE, bound, found, solved, unit_a, worked

CLEAR, LEAST = BOUNDS["relief.clear"], BOUNDS["relief.clear_least"]
SHARES = st.floats(0.0, 0.5)


def rank(limit):
    return WORST_LAST.index(limit.verdict)


@pytest.mark.rule("relief.set")
@pytest.mark.parametrize(("share", "verdict"), [(0.999, "within"), (1.0, "not_allowed"), (1.01, "not_allowed")])
def test_a_plan_stays_below_the_relief(share, verdict):
    """Physics: at its set point a relief opens."""
    limit = relief_opens(share * 1150e5, 1150e5)
    assert limit.verdict == verdict
    assert limit.remedy == ("relief.set" if verdict == "not_allowed" else "")


@worked(43)
@pytest.mark.rule("relief.set")
def test_without_a_relief_nothing_about_it_is_judged_and_one_line_says_so():
    assert [(one.id, one.verdict, one.missing) for one in limits(solved(unit_a(relief=())))] == [
        ("relief.set", "not_judged", "unit.relief")
    ]


@pytest.mark.rule("relief.clear")
@pytest.mark.parametrize(
    ("pressure", "verdict", "remedy"),
    [(890, "within", ""), (900, "within", ""), (910, "look", "relief.clear"), (951, "look", "relief.clear/close")],
)
def test_room_below_the_relief(pressure, verdict, remedy):
    """Common practice: 10 % of the set point is comfortable, 5 to 10 % look first, less is too close."""
    limit = relief_clear(pressure * BAR, 1000 * BAR, CLEAR, LEAST)
    assert (limit.verdict, limit.remedy, limit.verified) == (verdict, remedy, False)


@pytest.mark.rule("relief.clear")
def test_too_close_is_not_allowed_where_a_site_has_adopted_it():
    adopted = replace(LEAST, adopted="Pier 4")
    assert relief_clear(951 * BAR, 1000 * BAR, CLEAR, adopted).verdict == "not_allowed"
    assert relief_clear(910 * BAR, 1000 * BAR, CLEAR, adopted).verdict == "look"


@worked(31)
@pytest.mark.rule("relief.reseat")
def test_a_relief_that_shuts_at_900_stays_open_at_933():
    judged = limits(solved(unit_a(relief=(Relief(1000 * BAR, reseat=0.90),))))
    limit = found(judged, "relief.reseat")
    assert limit.value == pytest.approx(933.1e5, rel=0.01)
    assert limit.bound == pytest.approx(900e5)
    assert (limit.verdict, limit.source) == ("not_allowed", "physics")
    assert found(judged, "relief.set").verdict == "within"


@pytest.mark.rule("relief.reseat")
def test_a_relief_shuts_below_its_reseat_and_not_at_it():
    """Physics: held at it, nothing pushes the valve shut."""
    assert [relief_reseats(share * 900e5, 900e5).verdict for share in (0.999, 1.0)] == ["within", "not_allowed"]


@pytest.mark.rule("relief.reseat")
def test_a_disc_that_has_burst_does_not_shut_and_is_not_asked_to():
    judged = limits(solved(unit_a(relief=(Relief(1200 * BAR, "disc"),))))
    assert [one.id for one in judged] == ["relief.set", "relief.clear", "relief.full_flow", "relief.test_age"]


@pytest.mark.rule("relief.full_flow")
@pytest.mark.parametrize(("share", "verdict"), [(0.999, "not_allowed"), (1.0, "within"), (1.001, "within")])
def test_a_relief_takes_the_whole_flow(share, verdict):
    """Physics: what it cannot pass raises the pressure further."""
    assert relief_full_flow(share * 120e-3 / 60.0, 120e-3 / 60.0).verdict == verdict


@pytest.mark.rule("relief.full_flow")
def test_the_flow_it_must_take_is_that_of_top_speed():
    """Geometry: 3 plungers of 32 mm × 110 mm sweep 132.7 L/min at 500 rpm; at 1265 bar some 7 % of it is lost."""
    large, small = ((Relief(1150 * BAR, full_flow=flow * LITRES_A_MINUTE),) for flow in (140, 100))
    limit = found(limits(solved(unit_a(relief=large))), "relief.full_flow")
    swept = 3 * 0.7853981634 * 0.032**2 * 0.110 * 500 / 60
    assert 0.90 * swept < limit.bound < 0.95 * swept
    assert limit.verdict == "within"
    assert found(limits(solved(unit_a(relief=small))), "relief.full_flow").verdict == "not_allowed"


@pytest.mark.rule("relief.test_age")
@pytest.mark.parametrize(
    ("tested", "verdict"),
    [
        (datetime.date(2025, 5, 3), "within"),  # 366 days before 4 May 2026
        (datetime.date(2025, 5, 2), "not_allowed"),
        (datetime.date(2026, 5, 5), "look"),  # tomorrow
    ],
)
def test_a_relief_is_in_test_as_a_hose_is(tested, verdict):
    """Norway, regulation on the performance of work, 20-9: at least every 12 months."""
    year = Bound(366 * 86400.0, "time", "most", "Norway", "regulation", True)
    other = Relief(1180 * BAR, tested=datetime.date(2026, 4, 1))
    case = solved(unit_a(relief=(Relief(1150 * BAR, tested=tested), other)), hose_test_age=year)
    limit = found(limits(case), "relief.test_age")
    assert (limit.verdict, limit.about, limit.facts["tested"]) == (verdict, "unit.relief", tested.isoformat())


@pytest.mark.rule("relief.test_age")
def test_of_two_devices_the_one_out_of_test_counts():
    year = Bound(366 * 86400.0, "time", "most", "Norway", "regulation", True)
    both = tuple(Relief(1150 * BAR, tested=datetime.date(when, 4, 1)) for when in (2024, 2026))
    limit = found(limits(solved(unit_a(relief=both), hose_test_age=year)), "relief.test_age")
    assert (limit.verdict, limit.facts["tested"]) == ("not_allowed", "2024-04-01")


@pytest.mark.rule("relief.test_age")
@pytest.mark.parametrize("also", [(), (datetime.date(2026, 4, 1),), (datetime.date(2024, 4, 1),)])
def test_a_relief_without_a_day_of_its_certificate_is_not_judged_unless_another_is_refused(also):
    year = Bound(366 * 86400.0, "time", "most", "Norway", "regulation", True)
    devices = (Relief(1150 * BAR), *(Relief(1180 * BAR, tested=day) for day in also))
    limit = found(limits(solved(unit_a(relief=devices), hose_test_age=year)), "relief.test_age")
    refused = bool(also) and also[0].year == 2024
    assert limit.verdict == ("not_allowed" if refused else "not_judged")
    assert limit.missing == ("" if refused else "unit.relief.tested")


@worked(43)
@pytest.mark.rule("relief.full_flow")
def test_a_relief_whose_full_flow_nobody_wrote_down_is_not_judged():
    limit = found(limits(solved(unit_a())), "relief.full_flow")
    assert (limit.verdict, limit.missing) == ("not_judged", "unit.relief.full_flow")


def test_the_two_ends_of_a_disc_and_the_line_of_a_valve():
    """Common practice: a disc at both ends of its tolerance, a valve in a straight line to full flow."""
    assert latest_opening("valve", 1150e5, 0.1) == 1150e5
    assert full_lift("disc", 1000e5, 0.10, 0.05, 1.0, 5.0) == pytest.approx(1050e5)
    assert full_lift("valve", 1000e5, 0.10, 0.0, 2.0, 4.0) == pytest.approx(1200e5)


@pytest.mark.rule("relief.clear")
@given(
    pressure=st.floats(1e6, 2e8),
    clear=st.tuples(SHARES, SHARES),
    least=st.tuples(SHARES, SHARES),
    adopted=st.tuples(st.booleans(), st.booleans()),
)
def test_more_room_asked_for_never_improves_a_verdict(pressure, clear, least, adopted):
    names = ["Pier 4" if one else "" for one in adopted]

    def judged(comfort, close):
        rules = (bound(comfort, sense="least", adopted=names[0]), bound(close, sense="least", adopted=names[1]))
        return rank(relief_clear(pressure, 1e8, *rules))

    assert judged(max(clear), max(least)) >= judged(min(clear), min(least))


@pytest.mark.rule("relief.set")
@given(pressure=st.floats(1e6, 3e8), settings=st.tuples(st.floats(1e7, 3e8), st.floats(1e7, 3e8)))
def test_a_relief_set_higher_never_worsens_what_stays_below_it(pressure, settings):
    low, high = sorted(settings)
    for rule in (relief_opens, relief_reseats, lambda seen, opening: relief_clear(seen, opening, CLEAR, LEAST)):
        assert rank(rule(pressure, high)) <= rank(rule(pressure, low))
