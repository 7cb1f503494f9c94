"""Checks of jetwright.limits.restraint."""

import pytest

from jetwright.limits.restraint import shrouds, whip_checks

AT_HAND = [(None, 4, "not_judged"), (0, 4, "look"), (3, 4, "look"), (4, 4, "within"), (9, 4, "within"),
           (None, 0, "within"), (0, 0, "within")]  # fmt: skip


@pytest.mark.rule("restraint.whip_checks")
@pytest.mark.parametrize(("at_hand", "needed", "verdict"), AT_HAND)
def test_whip_checks_at_hand_against_the_joints(at_hand, needed, verdict):
    """Common practice: one at each fixed joint."""
    limit = whip_checks(at_hand, needed)
    assert (limit.verdict, limit.bound) == (verdict, needed)
    assert limit.missing == ("restraints.whip_checks" if verdict == "not_judged" else "")


@pytest.mark.rule("restraint.shrouds")
@pytest.mark.parametrize(("at_hand", "needed", "verdict"), AT_HAND)
def test_shrouds_at_hand_against_the_tools(at_hand, needed, verdict):
    """European Water Jetting Institute, hose installation: where a hose meets a hand-held tool."""
    limit = shrouds(at_hand, needed)
    assert (limit.verdict, limit.bound) == (verdict, needed)
    assert limit.missing == ("restraints.shrouds" if verdict == "not_judged" else "")
