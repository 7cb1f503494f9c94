"""Checks of jetwright.limits.ratings and what a plan gathers for it."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.limits.limit import WORST_LAST
from jetwright.limits.ratings import rating_relief_full, rating_relief_set, rating_working
from jetwright.plan.judging.ratings import limits, over_bound
from jetwright.report.remedies import remedy_sentence
from jetwright.rig.description import Branch, Fitting, Hose, Relief
from tests.limits.unit_a import BAR, BOUNDS, EN_1829, GUN, KIT, UNIT, found, solved, unit_a, worked

PRESSURES = st.floats(1e6, 3e8)
SHARES = st.floats(0.0, 0.5)


def rank(limit):
    return WORST_LAST.index(limit.verdict)


@pytest.mark.rule("rating.working")
@pytest.mark.parametrize(("share", "verdict"), [(0.999, "within"), (1.0, "within"), (1.001, "not_allowed")])
def test_a_part_sees_no_more_than_its_tag_says(share, verdict):
    """Plate: the rating itself is within limits."""
    limit = rating_working(share * 1050e5, 1050e5, "tag", "hoses.H")
    assert (limit.verdict, limit.source, limit.about) == (verdict, "tag", "hoses.H")


@worked(29)
@pytest.mark.rule("rating.relief_set")
def test_a_hose_of_1050_under_a_relief_of_1150_though_the_gauge_shows_933():
    judged = limits(solved(unit_a(hose=Hose(0.008, 60.0, rating=1050 * BAR))))
    working = found(judged, "rating.working", "hoses.H")
    assert working.value == pytest.approx(933.1e5, rel=0.01)
    assert working.verdict == "within"
    assert found(judged, "rating.relief_set", "hoses.H").verdict == "not_allowed"
    assert found(judged, "rating.relief_full", "hoses.H").verdict == "not_allowed"


@worked(29)
@pytest.mark.rule("rating.relief_full")
def test_a_hose_of_1400_is_within_limits_at_1150_and_at_1265():
    judged = limits(solved(unit_a(hose=Hose(0.008, 60.0, rating=1400 * BAR))))
    begun, full = (found(judged, f"rating.relief_{when}", "hoses.H") for when in ("set", "full"))
    assert (begun.value, begun.verdict) == (pytest.approx(1150e5), "within")
    assert (full.value, full.verdict) == (pytest.approx(1265e5), "within")


@pytest.mark.rule("rating.relief_full")
@pytest.mark.parametrize(("damper", "verdict"), [(False, "within"), (True, "not_allowed")])
def test_a_pump_of_1100_bears_a_relief_of_1150_without_a_damper(damper, verdict):
    """EN 1829-1:2010 5.2.2: 15 % over, 10 % with dampers; 1150 bar and 10 % is 1.15 × 1100 bar to the last digit."""
    full = found(limits(solved(unit_a(damper=damper))), "rating.relief_full", "unit.pump")
    assert (full.verdict, full.source, full.verified) == (verdict, EN_1829, True)
    assert full.value == pytest.approx(1265e5)
    assert full.facts["rating"] == 1100e5


@pytest.mark.rule("rating.relief_set")
def test_the_pump_may_see_more_than_its_rating_as_the_relief_opens_and_a_hose_may_not():
    """EN 1829-1:2010 5.2.2 for the pump; the tag for the hose."""
    judged = limits(solved(unit_a(hose=Hose(0.008, 60.0, rating=1100 * BAR))))
    assert found(judged, "rating.relief_set", "unit.pump").verdict == "within"
    assert found(judged, "rating.relief_set", "hoses.H").verdict == "not_allowed"


@pytest.mark.rule("rating.relief_set")
def test_a_disc_is_judged_at_the_late_end_of_its_tolerance():
    """Common practice: a disc is judged at both ends of its tolerance; 1100 bar and 5 % is 1155 bar."""
    disc = (Relief(1100 * BAR, "disc", tolerance=0.05),)
    judged = limits(solved(unit_a(relief=disc, hose=Hose(0.008, 60.0, rating=1150 * BAR))))
    begun = found(judged, "rating.relief_set", "hoses.H")
    assert (begun.value, begun.verdict) == (pytest.approx(1155e5), "not_allowed")


@pytest.mark.rule("rating.relief_full")
def test_the_first_of_two_devices_to_open_is_what_counts():
    """Physics: while one device holds the pressure below it, the other stays shut."""
    both = (Relief(1300 * BAR, "disc", tolerance=0.10), Relief(1150 * BAR))
    judged = limits(solved(unit_a(relief=both)))
    assert found(judged, "rating.relief_set", "unit.pump").value == pytest.approx(1150e5)
    assert found(judged, "rating.relief_full", "unit.pump").value == pytest.approx(1265e5)


@pytest.mark.rule("rating.relief_full")
def test_a_valve_too_small_for_the_pump_lets_the_pressure_rise_along_its_line():
    """Straight-line lift, common practice: twice its full flow is twice its accumulation."""
    [sound] = [one for one in limits(solved(unit_a())) if one.id == "rating.relief_full" and one.about == "unit.pump"]
    rig = solved(unit_a()).rig
    top = rig.top_speed * 3 * 0.7853981634 * 0.032**2 * 0.110 * 0.93  # about 93 % of what the plungers sweep, m³/s
    small = (Relief(1150 * BAR, full_flow=0.5 * top),)
    full = found(limits(solved(unit_a(relief=small))), "rating.relief_full", "unit.pump")
    assert full.value == pytest.approx(1150e5 * 1.20, rel=0.005)
    assert (sound.verdict, full.verdict) == ("within", "not_allowed")
    assert full.remedy == "rating.relief_full/capacity"  # one for the whole flow is within: nothing is marked too high


@pytest.mark.rule("rating.relief_full")
def test_a_relief_both_too_small_and_marked_too_high_is_not_cured_by_its_size():
    """EN 1829-1:2010 5.2.2: 1300 bar and 10 % is above 1.15 × 1100 bar, whatever it passes."""
    small = (Relief(1300 * BAR, full_flow=1e-3),)
    assert found(limits(solved(unit_a(relief=small))), "rating.relief_full", "unit.pump").remedy == "rating.relief_full"


@pytest.mark.rule("rating.relief_set")
@pytest.mark.rule("rating.relief_full")
@pytest.mark.parametrize(("accumulation", "needs"), [(0.10, 1150e5), (0.20, 1200e5)])
def test_one_rating_serves_both_limits_on_the_relief(accumulation, needs):
    """Tag for the opening; EN 1829-1:2010 5.2.2 for full flow: 1150 bar × (1 + accumulation) / 1.15."""
    relief = (Relief(1150 * BAR, accumulation=accumulation),)
    judged = limits(solved(unit_a(relief=relief, hose=Hose(0.008, 60.0, rating=900 * BAR))))
    for when in ("set", "full"):
        limit = found(judged, f"rating.relief_{when}", "hoses.H")
        assert limit.facts["needs"] == pytest.approx(needs)
        assert f"rated {needs / 1e5:.0f} bar or more" in remedy_sentence(limit)


@worked(43)
@pytest.mark.rule("rating.working")
def test_a_hose_without_a_rating_is_not_judged_and_says_so():
    limit = found(limits(solved(unit_a())), "rating.working", "hoses.H")
    assert (limit.verdict, limit.missing) == ("not_judged", "hoses.H.rating")


@worked(43)
@pytest.mark.rule("rating.relief_set")
def test_without_a_relief_one_line_says_so():
    judged = [one for one in limits(solved(unit_a(relief=()))) if one.id.startswith("rating.relief")]
    assert [(one.id, one.verdict, one.missing) for one in judged] == [
        ("rating.relief_set", "not_judged", "unit.relief"),
        ("rating.relief_full", "not_judged", "unit.relief"),
    ]


@pytest.mark.rule("rating.working")
def test_every_part_is_judged_once_where_it_stands_highest():
    """The parts of the job, each by its key."""
    job = unit_a(kits=KIT, pump=replace(UNIT.pump, plunger_diameter=None, kit="P32"))
    fork = Fitting(0.012, 1.0, rating=1400 * BAR)
    other = replace(GUN, rating=1000 * BAR)
    arms = (Branch("gun", ("H", "fork")), Branch("other", ("H",)))
    task = replace(job.task[0], tool=None, hose_run=("H", "fork"), branches=arms)
    job = replace(job, fittings={"fork": fork}, tools={"gun": GUN, "other": other}, task=(task,))
    case = solved(job)
    working = [one for one in limits(case) if one.id == "rating.working"]
    assert [one.about for one in working] == [
        "unit.pump",
        "unit.kits.P32",
        "hoses.H",
        "fittings.fork",
        "tools.gun",
        "tools.other",
    ]
    assert working[2].value == case.machine.state.pump_pressure  # the first of three pieces
    assert [one.source for one in working] == ["plate", "plate", "tag", "plate", "plate", "plate"]


def test_the_allowance_follows_the_damper():
    assert over_bound(solved(unit_a())) == BOUNDS["relief.over"]
    assert over_bound(solved(unit_a(damper=True))) == BOUNDS["relief.over_damper"]


@pytest.mark.rule("rating.working")
@given(seen=PRESSURES, ratings=st.tuples(PRESSURES, PRESSURES), share=SHARES)
def test_a_higher_rating_never_worsens_a_verdict(seen, ratings, share):
    low, high = sorted(ratings)
    over = replace(BOUNDS["relief.over"], value=share)
    for rule in (
        lambda rating: rating_working(seen, rating, "tag", "hoses.H"),
        lambda rating: rating_relief_set(seen, rating, "tag", "hoses.H"),
        lambda rating: rating_relief_set(seen, rating, "plate", "unit.pump", over),
        lambda rating: rating_relief_full(seen, rating, "tag", "hoses.H", over),
    ):
        assert rank(rule(high)) <= rank(rule(low))


@pytest.mark.rule("rating.relief_full")
@given(seen=PRESSURES, rating=PRESSURES, shares=st.tuples(SHARES, SHARES))
def test_a_smaller_allowance_never_improves_a_verdict(seen, rating, shares):
    tight, wide = (replace(BOUNDS["relief.over"], value=share) for share in sorted(shares))
    for rule in (rating_relief_set, rating_relief_full):
        judged = [rank(rule(seen, rating, "plate", "unit.pump", over)) for over in (wide, tight, None)]
        assert judged == sorted(judged)
