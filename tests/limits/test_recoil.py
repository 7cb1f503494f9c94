"""Checks of jetwright.limits.recoil: on, below and above each bound, and what may never make a verdict better."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.limits import recoil
from jetwright.limits.limit import WORST_LAST, worst
from jetwright.limits.recoil import Grip, worse
from jetwright.limits.rules import Bound
from tests.limits.unit_a import worked

NORWAY = "Norway, regulation on the performance of work, 20-1; Germany, DGUV Regel 100-500, 2.36, 3.7.5"
HABIT = "common practice"
UNSUPPORTED = Bound(150.0, "force", "most", NORWAY, "regulation", True)
SUPPORTED = Bound(250.0, "force", "most", NORWAY, "regulation", True)
CHANGE = Bound(15.0, "force", "most", HABIT, HABIT, False)
THIRD = Bound(1.0 / 3.0, "ratio", "most", "memory", "memory", False)
ONE = Bound(1.0, "count", "most", "Norway, regulation on the performance of work, 20-6", "regulation", True)
HOSE = Grip("mole", "tools.mole", "hose")
PLANNED = (recoil.hand, recoil.cautious)
FAULTS = (recoil.kick, recoil.bypass_shut, recoil.relief, recoil.plugged, recoil.rear_plugged)
SOON = (recoil.left, recoil.worn)  # never more than look
SUPPORTS = ("none", None, "body rest")
pushes = st.floats(0.0, 400.0)
bounds = st.floats(50.0, 350.0)


def grip(support, unsupported=UNSUPPORTED, supported=SUPPORTED):
    return Grip("gun", "tools.gun", "hand", support, unsupported, supported)


def rank(limit):
    return WORST_LAST.index(limit.verdict)


@pytest.mark.rule("recoil.hand")
@pytest.mark.rule("recoil.cautious")
@pytest.mark.published(NORWAY)
@pytest.mark.parametrize("judged", PLANNED)
@pytest.mark.parametrize(
    ("support", "push", "verdict", "bound"),
    [
        ("none", 149.9, "within", 150.0),
        ("none", 150.0, "within", 150.0),
        ("none", 150.1, "not_allowed", 150.0),
        ("none", 250.1, "not_allowed", 150.0),
        ("body rest", 150.1, "within", 250.0),
        ("body rest", 250.0, "within", 250.0),
        ("body rest", 250.1, "not_allowed", 250.0),
        (None, 149.9, "not_judged", 150.0),
        (None, 249.9, "not_judged", 150.0),
        (None, 250.1, "not_allowed", 250.0),
    ],
)
def test_what_a_hand_holds_as_planned(judged, support, push, verdict, bound):
    limit = judged(push, grip(support))
    assert (limit.verdict, limit.bound, limit.value) == (verdict, bound, push)
    assert limit.missing == ("tools.gun.support" if verdict == "not_judged" else "")


@worked(43)
@pytest.mark.rule("recoil.hand")
def test_a_support_nobody_named_is_listed_as_not_known_with_what_it_would_be_judged_by():
    limit = recoil.hand(124.8, grip(None))
    assert (limit.verdict, limit.missing, limit.value, limit.bound) == ("not_judged", "tools.gun.support", 124.8, 150.0)


@pytest.mark.rule("recoil.hand")
def test_a_body_rest_is_the_remedy_only_where_it_is_enough():
    assert recoil.hand(168.0, grip("none")).remedy == "recoil.hand/rest"
    assert recoil.hand(251.0, grip("none")).remedy == recoil.hand(251.0, grip("body rest")).remedy == "recoil.hand"
    assert recoil.hand(100.0, grip("none")).remedy == ""


@pytest.mark.rule("recoil.hand")
def test_a_recoil_is_told_in_kilograms_too():
    """Standard gravity, 9.80665 m/s²: ISO 80000-3."""
    assert recoil.hand(98.0665, grip("none")).facts["kilograms"] == pytest.approx(10.0)


@pytest.mark.rule("recoil.kick")
@pytest.mark.rule("recoil.bypass_shut")
@pytest.mark.rule("recoil.relief")
@pytest.mark.rule("recoil.plugged")
@pytest.mark.rule("recoil.rear_plugged")
@pytest.mark.parametrize("judged", FAULTS)
@pytest.mark.parametrize(
    ("support", "push", "verdict", "bound"),
    [
        ("none", 150.0, "within", 150.0),
        ("none", 150.1, "look", 150.0),
        ("none", 250.0, "look", 150.0),
        ("none", 250.1, "not_allowed", 250.0),
        ("body rest", 250.0, "within", 250.0),
        ("body rest", 250.1, "not_allowed", 250.0),
        (None, 150.0, "within", 150.0),
        (None, 150.1, "not_judged", 150.0),
        (None, 250.1, "not_allowed", 250.0),
    ],
)
def test_what_comes_over_a_hand(judged, support, push, verdict, bound):
    limit = judged(push, grip(support))
    assert (limit.verdict, limit.bound) == (verdict, bound)
    carrier = "/carrier" if push > 250.0 and judged in FAULTS[:3] else ""
    assert limit.remedy == (limit.id + carrier if verdict in ("look", "not_allowed") else "")


@pytest.mark.rule("recoil.kick")
@pytest.mark.rule("recoil.bypass_shut")
@pytest.mark.rule("recoil.relief")
@pytest.mark.parametrize("judged", FAULTS[:3])
def test_a_body_rest_is_not_advised_where_one_is_fitted_or_is_not_enough(judged):
    """150 N without one, 250 N with one: what lies beyond 250 N no rest takes."""
    assert judged(200.0, grip("none")).remedy == judged(200.0, grip("none")).id
    for support, push in (("body rest", 260.0), ("none", 260.0), (None, 260.0)):
        assert judged(push, grip(support)).remedy == f"{judged(push, grip(support)).id}/carrier"
    site = replace(SUPPORTED, value=180.0, adopted="Pier 4")
    assert judged(200.0, grip("body rest", supported=site)).remedy.endswith("/carrier")


@pytest.mark.rule("recoil.bypass_shut")
def test_a_relief_nobody_named_is_asked_for_first():
    """Physics: without one nothing caps the pressure behind a bypass that is knocked shut."""
    limit = recoil.bypass_shut(305.0, grip("none"), relieved=False)
    assert (limit.verdict, limit.remedy) == ("not_allowed", "recoil.bypass_shut/no_relief")
    assert recoil.bypass_shut(100.0, grip("none"), relieved=False).remedy == ""


@pytest.mark.rule("recoil.hand")
@pytest.mark.parametrize("push", [90.0, 200.0, 400.0])
def test_who_holds_it_is_asked_before_how(push):
    limit = recoil.hand(push, Grip("lance", "tools.lance", "unsaid", None, UNSUPPORTED, SUPPORTED))
    assert (limit.verdict, limit.missing, limit.value) == ("not_judged", "tools.lance.held_by", push)
    assert worst([limit]) == "look"


@pytest.mark.rule("recoil.back_out")
@pytest.mark.parametrize(("along", "verdict"), [(-60.0, "within"), (0.0, "within"), (1.0, "look"), (300.0, "look")])
def test_a_flexible_lance_must_not_be_pushed_out_of_the_bore(along, verdict):
    """Physics: a push backwards is held by nothing in the bore; no machine at the opening changes it."""
    limit = recoil.back_out(along, Grip("lance", "tools.lance", "unsaid"))
    assert (limit.verdict, limit.remedy) == (verdict, "recoil.back_out" if verdict == "look" else "")


@pytest.mark.rule("recoil.left")
@pytest.mark.rule("recoil.worn")
@pytest.mark.parametrize("judged", SOON)
@pytest.mark.parametrize("support", ["none", "body rest"])
def test_what_is_seen_to_before_it_comes_is_never_more_than_look(judged, support):
    assert judged(149.0, grip(support)).verdict == "within"
    assert judged(300.0, grip(support)).verdict == "look"


@pytest.mark.rule("recoil.left")
def test_what_is_left_over_on_a_tool_whose_support_nobody_named():
    assert recoil.left(200.0, grip(None)).missing == "tools.gun.support"
    assert recoil.left(300.0, grip(None)).verdict == "look"


@pytest.mark.rule("recoil.plugged")
@pytest.mark.rule("recoil.rear_plugged")
@pytest.mark.parametrize("judged", [recoil.plugged, recoil.rear_plugged])
def test_a_hose_fed_nozzle_must_not_be_pushed_out_of_the_pipe(judged):
    """Physics: a push backwards is not held by anything."""
    assert judged(-74.0, HOSE).verdict == "within"
    limit = judged(62.0, HOSE)
    assert (limit.verdict, limit.remedy, limit.bound) == ("look", f"{limit.id}/hose", 0.0)


@pytest.mark.rule("recoil.pull")
@pytest.mark.parametrize(("along", "verdict"), [(-211.0, "within"), (0.0, "look"), (335.0, "look")])
def test_a_hose_fed_nozzle_pulls_itself_forward(along, verdict):
    """Physics."""
    limit = recoil.pull(along, HOSE)
    assert (limit.verdict, limit.remedy) == (verdict, "recoil.pull" if verdict == "look" else "")


@pytest.mark.rule("recoil.pull")
@pytest.mark.rule("recoil.back_out")
def test_an_angle_is_not_asked_for_where_only_an_inlet_turns_the_push_round():
    """82 N in as planned and 24 N out at the worst of its inlets: the angles are as they were meant."""
    limit = recoil.pull(24.0, HOSE, -82.0)
    assert (limit.verdict, limit.remedy, limit.facts["pulled"]) == ("look", "recoil.pull/inlet", 82.0)
    assert recoil.pull(24.0, HOSE, 10.0).remedy == "recoil.pull"
    assert recoil.pull(-30.0, HOSE, -82.0).remedy == ""
    assert recoil.back_out(24.0, HOSE, -82.0).remedy == "recoil.back_out/inlet"
    assert recoil.back_out(24.0, HOSE, 10.0).remedy == "recoil.back_out"


@pytest.mark.rule("recoil.piston")
@pytest.mark.parametrize(
    ("support", "push", "verdict", "bound"),
    [
        ("none", 150.0, "within", 150.0),
        ("none", 150.1, "look", 150.0),
        ("none", 20e3, "look", 150.0),
        ("body rest", 250.0, "within", 250.0),
        ("body rest", 284.0, "look", 250.0),
        (None, 200.0, "not_judged", 150.0),
        (None, 284.0, "look", 150.0),
    ],
)
def test_a_plugged_tube_pushes_on_the_hand(support, push, verdict, bound):
    """20-1's bounds; a tube that plugs is not what is planned, and refuses nothing."""
    limit = recoil.piston(push, grip(support))
    assert (limit.verdict, limit.bound) == (verdict, bound)
    assert limit.remedy == ("recoil.piston" if verdict == "look" else "")


@pytest.mark.rule("recoil.piston")
def test_a_plug_nobody_spoke_of_is_looked_at_first():
    limit = recoil.piston(None, grip("none"), {"whole": 19.8e3})
    assert (limit.verdict, limit.missing, limit.remedy) == ("not_judged", "task.pipe.blocked", "recoil.piston")
    assert worst([limit]) == "look"
    assert recoil.piston(284.0, Grip("lance", "tools.lance", "unsaid")).missing == "tools.lance.held_by"


@pytest.mark.rule("recoil.others")
@pytest.mark.parametrize(
    ("support", "planned", "push", "verdict", "bound"),
    [
        ("none", 125.0, 140.0, "within", 140.0),
        ("none", 125.0, 140.1, "look", 140.0),
        ("none", 125.0, 110.0, "within", 110.0),
        ("none", 125.0, 109.9, "look", 110.0),
        ("none", 125.0, 0.0, "look", 110.0),
        ("none", 125.0, 150.1, "not_allowed", 150.0),
        ("none", 145.0, 151.0, "not_allowed", 150.0),  # across its bound, however small the change
        ("body rest", 125.0, 156.0, "look", 140.0),
        ("body rest", 240.0, 251.0, "not_allowed", 250.0),
        ("body rest", 8.0, 2.0, "within", 0.0),
        (None, 125.0, 132.0, "within", 140.0),
        (None, 145.0, 151.0, "not_judged", 150.0),
        (None, 240.0, 251.0, "not_allowed", 250.0),
    ],
)
def test_what_other_triggers_do(support, planned, push, verdict, bound):
    """The recoil itself: the bounds of 20-1; a change of it: 20-6, where 15 N is common practice."""
    limit = recoil.others(push, planned, grip(support), CHANGE)
    assert (limit.verdict, limit.bound) == (verdict, bound)
    assert limit.facts["change"] == pytest.approx(push - planned)
    assert limit.remedy == ("recoil.others" if verdict in ("look", "not_allowed") else "")


@pytest.mark.rule("recoil.others")
def test_what_falls_below_a_bound_comes_back_over_it():
    limit = recoil.others(100.0, 160.0, grip("none"), CHANGE)
    assert (limit.verdict, limit.value, limit.bound) == ("not_allowed", 160.0, 150.0)


@pytest.mark.rule("recoil.others")
def test_a_state_nothing_described_holds_is_not_judged():
    assert recoil.others(None, 125.0, grip("none"), CHANGE, "unit.relief").missing == "unit.relief"
    assert recoil.others(130.0, 125.0, grip("none"), None).missing == "rule_set"


@worked(35)
@pytest.mark.rule("recoil.body")
@pytest.mark.parametrize(("lightest", "bound"), [(55.0, 180.0), (60.0, 196.0), (75.0, 245.0)])
def test_a_third_of_the_lightest_operator(lightest, bound):
    limit = recoil.body(bound + 2.0, grip("body rest"), THIRD, lightest)
    assert limit.bound == pytest.approx(bound, rel=0.01)
    assert (limit.verdict, limit.verified) == ("look", False)
    assert recoil.body(400.0, grip("body rest"), THIRD, lightest).verdict == "look"
    assert recoil.body(bound - 2.0, grip("body rest"), THIRD, lightest).verdict == "within"


@pytest.mark.rule("recoil.body")
def test_a_share_that_a_site_adopted_refuses():
    assert recoil.body(200.0, grip("body rest"), replace(THIRD, adopted="Pier 4"), 60.0).verdict == "not_allowed"


@pytest.mark.rule("recoil.hands")
@pytest.mark.parametrize(("count", "verdict"), [(0, "within"), (1, "within"), (2, "look"), (8, "look")])
def test_several_tools_in_the_hand(count, verdict):
    """Norway, regulation on the performance of work, 20-6: what it refuses is judged as recoil.others."""
    assert recoil.hands(count, ONE).verdict == verdict


def test_a_fault_without_the_fact_it_needs_is_not_judged():
    assert recoil.bypass_shut(None, grip("none"), "unit.relief").missing == "unit.relief"
    assert recoil.worn(None, grip("none"), "rule_set").verdict == "not_judged"


def test_hearsay_makes_look_and_never_more():
    heard = (replace(bound, standing="memory", verified=False) for bound in (UNSUPPORTED, SUPPORTED))
    held = grip("none", *heard)
    for judged in (*PLANNED, *FAULTS, *SOON):
        assert judged(400.0, held).verdict == "look"


def test_where_only_one_bound_is_known_it_is_the_bound():
    assert recoil.hand(160.0, grip("none", None, SUPPORTED)).verdict == "within"
    assert recoil.hand(260.0, grip("none", UNSUPPORTED, None)).verdict == "not_allowed"
    assert recoil.hand(160.0, grip("none", None, None)).missing == "rule_set"
    assert recoil.kick(160.0, grip("none", UNSUPPORTED, None)).verdict == "look"


def test_the_worst_of_several_is_taken_and_the_first_of_equals():
    within, look = recoil.kick(100.0, grip("none")), recoil.kick(160.0, grip("none"))
    assert worse([within, look, recoil.kick(170.0, grip("none"))]) is look


@given(pushes, bounds, bounds, st.sampled_from(PLANNED + FAULTS + SOON))
def test_a_support_never_worsens_a_verdict(push, unsupported, supported, judged):
    held = [
        grip(support, replace(UNSUPPORTED, value=unsupported), replace(SUPPORTED, value=supported))
        for support in SUPPORTS
    ]
    without, unsaid, rest = (rank(judged(push, one)) for one in held)
    assert rest <= unsaid
    assert rest <= without


@given(pushes, pushes, bounds, bounds)
def test_a_support_never_worsens_what_other_triggers_do(push, planned, unsupported, supported):
    """For a tool that may be held that way as planned; a plan that may not is refused as recoil.hand already."""
    free, rest = (
        grip(support, replace(UNSUPPORTED, value=min(unsupported, supported)), replace(SUPPORTED, value=supported))
        for support in ("none", "body rest")
    )
    if recoil.hand(planned, free).verdict == "within":
        assert rank(recoil.others(push, planned, rest, CHANGE)) <= rank(recoil.others(push, planned, free, CHANGE))


@given(pushes, bounds, bounds, st.floats(0.3, 1.0), st.floats(0.3, 1.0), st.sampled_from(SUPPORTS), st.booleans())
def test_a_tighter_bound_never_improves_a_verdict(push, unsupported, supported, tighter, firmer, support, adopted):
    loose = grip(support, replace(UNSUPPORTED, value=unsupported), replace(SUPPORTED, value=supported))
    by = "Pier 4" if adopted else ""
    tight = replace(
        loose,
        unsupported=replace(loose.unsupported, value=tighter * unsupported, adopted=by),
        supported=replace(loose.supported, value=firmer * supported, adopted=by),
    )
    for judged in (*PLANNED, *FAULTS, *SOON):
        assert rank(judged(push, tight)) >= rank(judged(push, loose)), judged


@given(pushes, pushes, st.sampled_from(SUPPORTS), st.sampled_from(PLANNED + FAULTS + SOON))
def test_more_recoil_is_never_judged_better(push, more, support, judged):
    assert rank(judged(push + more, grip(support))) >= rank(judged(push, grip(support)))


@given(pushes, pushes, st.floats(0.0, 30.0), st.floats(0.0, 1.0), st.sampled_from(SUPPORTS))
def test_a_tighter_bound_on_the_change_never_improves_a_verdict(push, planned, change, share, support):
    loose, tight = (replace(CHANGE, value=value) for value in (change, share * change))
    held = grip(support)
    assert rank(recoil.others(push, planned, held, tight)) >= rank(recoil.others(push, planned, held, loose))


@given(pushes, pushes, bounds, bounds, st.floats(0.3, 1.0), st.floats(0.3, 1.0), st.sampled_from(SUPPORTS))
def test_a_tighter_bound_never_improves_a_task_with_other_triggers(
    push, planned, unsupported, supported, tighter, firmer, support
):
    loose = grip(support, replace(UNSUPPORTED, value=unsupported), replace(SUPPORTED, value=supported))
    tight = replace(
        loose,
        unsupported=replace(loose.unsupported, value=tighter * unsupported),
        supported=replace(loose.supported, value=firmer * supported),
    )
    before, after = (
        worst([recoil.hand(planned, held), recoil.others(push, planned, held, CHANGE)]) for held in (loose, tight)
    )
    assert WORST_LAST.index(after) >= WORST_LAST.index(before)


@given(st.lists(st.tuples(pushes, st.sampled_from(SUPPORTS)), min_size=1), st.sampled_from(FAULTS))
def test_the_worse_end_is_as_bad_as_any(ends, judged):
    found = [judged(push, grip("none")) for push, _support in ends]
    chosen = recoil.worse_end(found)
    assert all(rank(chosen) >= rank(one) and chosen.value >= one.value for one in found)


def test_one_limit_of_each_tool_says_what_only_a_body_rest_would_allow():
    """The planned push first; how far it may come is the hardest of all, whether another fact lacks there or not."""
    unsaid, known = grip(None), replace(grip("none"), tool="other", about="tools.other")
    found = [recoil.hand(170.0, unsaid), recoil.cautious(181.0, unsaid), recoil.worn(260.0, unsaid)]
    told = recoil.unless_rested([*found, recoil.hand(140.0, known)])
    assert [limit.remedy for limit in told[:2]] == ["recoil.hand/unsaid", ""]
    assert (told[0].facts["worst"], told[0].facts["most"]) == (260.0, 250.0)
    assert [limit.verdict for limit in told] == [limit.verdict for limit in [*found, recoil.hand(140.0, known)]]


@pytest.mark.parametrize(
    ("planned", "cautious", "worn", "saying"),
    [
        (140.0, 151.0, 160.0, "recoil.cautious/unsaid"),
        (140.0, 149.0, 160.0, "recoil.hand/fault"),
        (140.0, 149.0, 150.0, ""),
    ],
)
def test_what_is_within_with_or_without_a_body_rest_says_nothing(planned, cautious, worn, saying):
    unsaid = grip(None)
    found = recoil.unless_rested(
        [recoil.hand(planned, unsaid), recoil.cautious(cautious, unsaid), recoil.worn(worn, unsaid)]
    )
    assert [limit.remedy for limit in found if limit.remedy] == ([saying] if saying else [])


def test_a_lance_nobody_holds_says_what_a_hand_would_feel():
    loose = Grip("lance", "tools.lance", "unsaid", None, UNSUPPORTED, SUPPORTED)
    assert recoil.unless_rested([recoil.hand(400.0, loose)])[0].remedy == "recoil.hand/unheld"
    assert recoil.unless_rested([recoil.hand(90.0, loose)])[0].remedy == ""
