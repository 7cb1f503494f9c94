"""Checks of jetwright.limits.water: each limit on, below and above its bound."""

import pytest

from jetwright.limits.limit import worst
from jetwright.limits.rules import Bound
from jetwright.limits.water import heat_no_flow, heat_tank, supply_water
from tests.limits.unit_a import LITRES_A_MINUTE, worked

HABIT = "common practice"
WARM = Bound(313.15, "temperature", "most", HABIT, HABIT, False)
TWO_MINUTES = Bound(120.0, "time", "least", HABIT, HABIT, False)


@pytest.mark.rule("supply.water")
@pytest.mark.parametrize("share", [0.5, 1.0])
def test_a_supply_that_gives_what_is_drawn_is_within(share):
    """Physics: nothing is taken from the tank."""
    limit = supply_water(share * 2e-3, 2e-3, None, 3600.0)
    assert (limit.verdict, limit.quantity, limit.margin) == ("within", "flow", pytest.approx(1.0 - share))


@worked(20)
@pytest.mark.rule("supply.water")
@pytest.mark.parametrize(
    ("planned", "verdict"), [(19.0, "within"), (20.3, "within"), (20.4, "look"), (240.0, "look"), (None, "look")]
)
def test_a_short_supply_is_said_in_minutes_and_not_refused(planned, verdict):
    limit = supply_water(
        107.2 * LITRES_A_MINUTE, 85 * LITRES_A_MINUTE, 20.3 * 60.0, None if planned is None else planned * 60.0
    )
    assert (limit.verdict, limit.quantity, limit.least) == (verdict, "time", True)
    assert limit.value == pytest.approx(20.3 * 60.0)
    assert bool(limit.remedy) == (verdict == "look")


@pytest.mark.rule("supply.water")
def test_a_short_supply_without_a_tank_is_not_judged():
    limit = supply_water(2.1e-3, 2e-3, None, 3600.0)
    assert (limit.verdict, limit.missing) == ("look", "")


@pytest.mark.rule("heat.tank")
@pytest.mark.parametrize(
    ("celsius", "plate", "rule", "verdict", "source"),
    [
        (39.9, None, WARM, "within", HABIT),
        (40.1, None, WARM, "look", HABIT),
        (34.9, 35.0, WARM, "within", "plate"),
        (35.1, 35.0, WARM, "not_allowed", "plate"),
        (35.1, 35.0, None, "not_allowed", "plate"),
        (39.9, 55.0, WARM, "within", HABIT),
        (45.0, 55.0, WARM, "look", HABIT),
        (55.1, 55.0, WARM, "not_allowed", "plate"),
    ],
)
def test_only_the_plate_refuses_warm_water(celsius, plate, rule, verdict, source):
    """40 degC at the packings is common practice; the lower bound is named, whichever it is."""
    limit = heat_tank(celsius + 273.15, None if plate is None else plate + 273.15, rule)
    assert (limit.verdict, limit.source) == (verdict, source)


@pytest.mark.rule("heat.tank")
def test_warm_water_without_any_bound_is_not_judged():
    assert heat_tank(320.0, None, None).verdict == "not_judged"


@pytest.mark.rule("heat.no_flow")
@pytest.mark.parametrize(("lasts", "verdict"), [(119.0, "look"), (120.0, "within"), (1222.0, "within")])
def test_two_minutes_without_flow_are_common_practice(lasts, verdict):
    limit = heat_no_flow(lasts, TWO_MINUTES)
    assert (limit.verdict, limit.least, limit.verified) == (verdict, True, False)


@pytest.mark.rule("heat.no_flow")
def test_a_loop_of_unknown_volume_is_not_judged():
    limit = heat_no_flow(None, TWO_MINUTES, "unit.bypass.loop")
    assert (limit.verdict, limit.missing) == ("not_judged", "unit.bypass.loop")
    assert worst([limit]) == "not_judged"
