"""Checks of jetwright.limits.water: each limit on, below and above its bound."""

from dataclasses import replace

import pytest

from jetwright.limits.limit import worst
from jetwright.limits.rules import Bound
from jetwright.limits.water import (
    heat_no_flow,
    heat_tank,
    supply_hydrant,
    supply_npsh,
    supply_vortex,
    supply_water,
)
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
    warm, hottest = celsius + 273.15, None if plate is None else plate + 273.15
    limit = heat_tank(warm, warm, hottest, rule)
    assert (limit.verdict, limit.source) == (verdict, source)
    by_test = heat_tank(warm, 293.15, hottest, rule)  # by what is written for the supply it stays cool
    assert (by_test.verdict, by_test.value) == ("look" if verdict == "not_allowed" else verdict, warm)


@pytest.mark.rule("heat.tank")
def test_warm_water_without_any_bound_is_not_judged():
    assert heat_tank(320.0, 320.0, None, None).verdict == "not_judged"


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


MARGIN = Bound(1.0, "length", "least", HABIT, HABIT, False)


PULSES = "Hydraulic Institute, from memory"


@pytest.mark.rule("supply.npsh")
@pytest.mark.parametrize(
    ("available", "pulses", "rule", "verdict", "source", "verified"),
    [
        (5.1, 3.0, MARGIN, "within", HABIT, False),
        (5.0, 3.0, MARGIN, "within", HABIT, False),
        (4.9, 3.0, MARGIN, "look", HABIT, False),
        (4.0, 3.0, MARGIN, "look", HABIT, False),
        (3.9, 0.05, MARGIN, "not_allowed", "plate", True),
        (3.9, 0.1, MARGIN, "look", PULSES, False),
        (-42.5, 53.0, MARGIN, "look", PULSES, False),
        (-52.0, 53.0, MARGIN, "not_allowed", "plate", True),
        (4.1, 3.0, None, "within", "plate", True),
        (3.9, 0.0, None, "not_allowed", "plate", True),
        (3.9, 3.0, None, "look", PULSES, False),
    ],
)
def test_the_plate_refuses_and_what_rests_on_memory_is_looked_at(available, pulses, rule, verdict, source, verified):
    """A plate that asks for 4 m, the metre more that is common practice, and pulses by a formula from memory."""
    limit = supply_npsh(available, available + pulses, 4.0, rule)
    assert (limit.verdict, limit.source, limit.verified, limit.least) == (verdict, source, verified, True)
    assert bool(limit.remedy) == (verdict != "within")
    assert limit.value == (available + pulses if verdict == "not_allowed" else available)


@pytest.mark.rule("supply.npsh")
def test_a_margin_that_a_site_adopted_refuses_only_what_needs_no_pulses_to_fall_short():
    adopted = replace(MARGIN, adopted="H. Moe")
    assert supply_npsh(4.5, 4.9, 4.0, adopted).verdict == "not_allowed"
    assert supply_npsh(4.5, 5.1, 4.0, adopted).verdict == "look"


@pytest.mark.rule("supply.npsh")
@pytest.mark.parametrize(
    ("available", "steady", "verdict", "missing"),
    [
        (8.0, 9.0, "not_judged", "unit.suction.needed"),
        (0.0, 0.5, "not_judged", "unit.suction.needed"),
        (-0.1, 0.0, "look", ""),
        (-0.2, -0.1, "not_allowed", ""),
    ],
)
def test_water_that_boils_on_its_way_in_needs_no_plate(available, steady, verdict, missing):
    limit = supply_npsh(available, steady, None, MARGIN)
    source = PULSES if verdict == "look" else "physics"
    assert (limit.verdict, limit.missing, limit.source) == (verdict, missing, source)


@pytest.mark.rule("supply.vortex")
@pytest.mark.parametrize(
    ("cover", "verdict", "missing"),
    [(0.134, "within", ""), (0.130, "look", ""), (0.0, "look", ""), (None, "not_judged", "unit.suction.cover")],
)
def test_a_vortex_is_looked_at_and_never_refused(cover, verdict, missing):
    """ANSI/HI 9.8 as quoted: 134 mm over an outlet of 50 mm that draws 60 L/min."""
    limit = supply_vortex(cover, 0.1336)
    assert (limit.verdict, limit.missing, limit.verified) == (verdict, missing, False)


@pytest.mark.rule("supply.hydrant")
@pytest.mark.parametrize(("share", "verdict"), [(1.2, "within"), (1.0, "within"), (0.99, "look"), (0.0, "look")])
def test_a_hydrant_below_what_is_written_is_looked_at(share, verdict):
    limit = supply_hydrant(share * 2e-3, 2e-3)
    assert (limit.verdict, limit.least, limit.verified) == (verdict, True, False)
