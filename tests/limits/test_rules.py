"""Checks of jetwright.limits.rules: a site may only tighten, and hearsay never refuses by itself."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.files.rules import rule_set
from jetwright.limits import recoil, water
from jetwright.limits.limit import ruled
from jetwright.limits.rules import EQUAL, REFUSING, SORTS, Bound, tightened
from jetwright.rig.check import RULE_SETS

PARENTS = [rule_set(name) for name in RULE_SETS]


def at_a_site(identity, value):
    sort = SORTS[identity]
    return Bound(value, sort.quantity, sort.sense, "site", "guidance", True)


def passes(value, bound):
    return value <= bound.value if bound.sense == "most" else value >= bound.value


@given(
    st.sampled_from(PARENTS),
    st.dictionaries(st.sampled_from(sorted(SORTS)), st.floats(0.0, 1e6, allow_nan=False)),
    st.lists(st.sampled_from(sorted(SORTS))),
    st.floats(0.0, 1e6, allow_nan=False),
)
def test_tightening_never_loosens_a_bound(parent, asked, adopted, value):
    """Whatever a site writes: what its parent refuses, or has looked at, it does too."""
    site = {identity: at_a_site(identity, bound) for identity, bound in asked.items()}
    made = tightened(parent, "Pier", "1", "H. Moe", site, tuple(adopted))
    assert set(made.bounds) == set(parent.bounds)
    for identity, kept in parent.bounds.items():
        ours = made.bounds[identity]
        assert passes(ours.value, kept)
        assert passes(value, kept) or not passes(value, ours)
        assert ours.refuses or not kept.refuses
    looser = {
        identity
        for identity, bound in site.items()
        if not passes(bound.value, parent.bounds[identity])
        and not math.isclose(bound.value, parent.bounds[identity].value, rel_tol=EQUAL)
    }
    assert {one.id for one in made.looser} == looser
    assert all(made.bounds[one.id].value == one.kept.value and one.by == "H. Moe" for one in made.looser)


def test_a_looser_bound_is_kept_out_and_shown():
    parent = rule_set("eu-generic")
    site = tightened(parent, "Pier", "1", "H. Moe", {"recoil.supported": at_a_site("recoil.supported", 300.0)})
    assert site.bounds["recoil.supported"] == parent.bounds["recoil.supported"]
    (looser,) = site.looser
    assert (looser.id, looser.asked, looser.kept.value, looser.by) == ("recoil.supported", 300.0, 250.0, "H. Moe")


@pytest.mark.parametrize("standing", ["regulation", "standard", "guidance", "common practice", "memory"])
@pytest.mark.parametrize("verified", [True, False])
@pytest.mark.parametrize("adopted", ["", "H. Moe"])
def test_hearsay_never_refuses_unless_a_site_adopts_it(standing, verified, adopted):
    bound = Bound(1.0, "ratio", "most", "somewhere", standing, verified, adopted)
    refuses = adopted != "" or (verified and standing in ("regulation", "standard"))
    assert bound.refuses == refuses
    assert ruled("heat.tank", 2.0, bound).verdict == ("not_allowed" if refuses else "look")


def adopted(identity):
    """The generic set's bound as it is, and as a site adopts it."""
    parent = rule_set("eu-generic")
    return parent.bounds[identity], tightened(parent, "Pier", "1", "H. Moe", {}, (identity,)).bounds[identity]


HELD = recoil.Grip("gun", "branch.1", "hand", "body rest", None, None)


@pytest.mark.parametrize(
    ("identity", "judged"),
    [
        ("recoil.hands", lambda bound: recoil.hands(2, bound)),
        ("recoil.change", lambda bound: recoil.others(145.0, 125.0, HELD, bound)),
        ("heat.water", lambda bound: water.heat_tank(320.0, 320.0, None, bound)),
        ("heat.no_flow", lambda bound: water.heat_no_flow(10.0, bound)),
    ],
)
def test_what_only_warns_refuses_once_a_site_adopts_it(identity, judged):
    as_it_is, at_a_site = adopted(identity)
    assert (judged(as_it_is).verdict, judged(at_a_site).verdict) == ("look", "not_allowed")


@pytest.mark.parametrize("judged", [recoil.left, recoil.worn])
def test_what_is_not_planned_never_refuses(judged):
    _own, own = adopted("recoil.unsupported")
    _rest, rest = adopted("recoil.supported")
    assert judged(300.0, recoil.Grip("gun", "tools.gun", "hand", "none", own, rest)).verdict == "look"


def test_what_rests_on_memory_or_practice_is_never_called_read():
    """A regulation, a standard or guidance stands in a set only as read; the rest says that it was not."""
    for parent in PARENTS:
        for bound in parent.bounds.values():
            assert bound.verified == (bound.standing in (*REFUSING, "guidance"))
            assert ("memory" in bound.source) == (bound.standing == "memory")
            assert (bound.source == "common practice") == (bound.standing == "common practice")


def test_a_bound_adopted_in_writing_refuses():
    parent = rule_set("eu-generic")
    assert not parent.bounds["relief.clear_least"].refuses
    site = tightened(parent, "Pier", "1", "H. Moe", {}, ("relief.clear_least",))
    assert site.bounds["relief.clear_least"] == replace(parent.bounds["relief.clear_least"], adopted="H. Moe")
    assert site.bounds["relief.clear_least"].refuses


def test_a_share_of_what_was_read():
    """12 of the 32 bounds were read; the rest is memory or common practice."""
    assert rule_set("eu-generic").verified_share == pytest.approx(12 / 32)
