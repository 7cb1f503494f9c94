"""Checks of jetwright.limits.release: each limit on, below and above its bound."""

import pytest

from jetwright.limits.release import hold_to_run, relief, way_out
from jetwright.limits.rules import Bound

NORWAY = "Norway, regulation on the performance of work, 20-1"
YES = Bound(1.0, "count", "least", NORWAY, "regulation", True)
BELOW_ON_ABOVE = [(1149e5, "within"), (1150e5, "not_allowed"), (1151e5, "not_allowed"), (None, "not_allowed")]


@pytest.mark.rule("release.way_out")
@pytest.mark.parametrize(("pressure", "verdict"), BELOW_ON_ABOVE)
def test_a_way_out_keeps_the_relief_shut(pressure, verdict):
    """Physics: at its set point a relief opens; None: nothing described holds it."""
    limit = way_out(pressure, 1150e5)
    assert (limit.verdict, limit.quantity, limit.bound) == (verdict, "pressure", 1150e5)
    assert limit.remedy == ("" if verdict == "within" else "release.way_out/pressure")


@pytest.mark.rule("release.way_out")
@pytest.mark.parametrize("flow", [1e-6, 2.7e-4])
def test_any_flow_that_only_the_relief_could_pass_is_refused(flow):
    """Physics: a hole that is set for the surplus cannot take the whole flow."""
    limit = way_out(1160e5, 1150e5, flow, facts={"seconds": 0.1})
    assert (limit.verdict, limit.value, limit.bound, limit.quantity) == ("not_allowed", flow, 0.0, "flow")
    assert (limit.remedy, limit.facts["seconds"], limit.source) == ("release.way_out", 0.1, "physics")


@pytest.mark.rule("release.hold_to_run")
@pytest.mark.published(NORWAY)
@pytest.mark.parametrize(("stops", "verdict"), [(True, "within"), (False, "not_allowed")])
def test_a_tool_in_the_hand_stops_when_let_go(stops, verdict):
    limit = hold_to_run(stops, YES, about="tools.gun")
    assert (limit.verdict, limit.about, limit.source) == (verdict, "tools.gun", NORWAY)


@pytest.mark.rule("release.hold_to_run")
def test_a_rule_set_without_the_bound_judges_nothing():
    assert hold_to_run(False, None, about="tools.gun").verdict == "not_judged"


@pytest.mark.rule("release.relief")
@pytest.mark.parametrize(("pressure", "verdict"), BELOW_ON_ABOVE)
def test_no_combination_of_triggers_opens_the_relief(pressure, verdict):
    """Physics: at its set point a relief opens; None: nothing described holds it."""
    limit = relief(pressure, 1150e5, described=True)
    assert (limit.verdict, limit.value, limit.source) == (verdict, pressure, "physics")


@pytest.mark.rule("release.relief")
@pytest.mark.parametrize(
    ("pressure", "rises", "verdict"),
    [
        (1000e5, True, "not_judged"),
        (1000e5, False, "within"),
        (1100e5, True, "not_allowed"),
        (None, True, "not_allowed"),
    ],
)
def test_without_a_relief_the_pumps_rating_stands(pressure, rises, verdict):
    """A rise that nothing described would stop is not judged; the plate refuses what it cannot bear."""
    limit = relief(pressure, 1100e5, described=False, rises=rises)
    assert (limit.verdict, limit.bound, limit.source) == (verdict, 1100e5, "plate")
    assert limit.missing == ("unit.relief" if verdict == "not_judged" else "")
