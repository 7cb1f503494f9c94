"""Checks of jetwright.parts.bypass and relief: straight lines from opening to full flow, and a hole beside them."""

import pytest

from jetwright.parts.bypass import Bypass, bypass_flow, valve_flow
from jetwright.parts.nozzle import HOLE_DISCHARGE, jet_flow
from jetwright.parts.relief import Relief, lowest_opening, relief_flow
from jetwright.water.state import water_at

WATER = water_at(291.15, 100845.0)


@pytest.mark.parametrize(
    ("pressure", "share"), [(0.0, 0.0), (999e5, 0.0), (1000e5, 0.0), (1025e5, 0.25), (1050e5, 0.5), (1100e5, 1.0)]
)
def test_flow_over_a_valve_is_its_lift(pressure, share):
    """docs/job-file.md: flow = full_flow·(p - opening)/(accumulation·opening)."""
    flow, slope = valve_flow(1000e5, 0.10, 2.0, pressure)
    assert flow == pytest.approx(2.0 * share)
    assert slope == pytest.approx(2.0 / 100e5 if share > 0.0 else 0.0)
    assert relief_flow(Relief(1000e5, 0.10, 2.0), pressure) == (flow, slope)
    assert bypass_flow(WATER, Bypass(1000e5, 0.10, 2.0), 0.0, pressure) == (flow, slope)


def test_worked_relief_passes_what_a_crew_reads():
    """Worked case: 140 L/min at 1265 bar is the full flow of a relief set at 1150, half of it passes half way up."""
    full = 140.0 / 60e3 * WATER.reference_density
    assert relief_flow(Relief(1150e5, 0.10, full), 1207.5e5)[0] == pytest.approx(0.5 * full)
    assert relief_flow(Relief(1150e5, 0.10, full), 1265e5)[0] == pytest.approx(full)


def test_a_valve_that_is_not_there_passes_nothing():
    assert valve_flow(0.0, 0.10, 0.0, 900e5) == (0.0, 0.0)
    assert bypass_flow(WATER, Bypass(), 0.0, 900e5) == (0.0, 0.0)


def test_a_worn_seat_is_a_hole_that_never_shuts():
    hole = jet_flow(WATER, HOLE_DISCHARGE * 0.3e-6, 900e5)
    assert bypass_flow(WATER, Bypass(seat=0.3e-6), 0.0, 900e5) == pytest.approx(hole)
    assert bypass_flow(WATER, Bypass(seat=0.1e-6), 0.2e-6, 900e5) == pytest.approx(hole)


def test_hole_and_valve_add():
    hole, valve = jet_flow(WATER, HOLE_DISCHARGE * 1e-6, 920e5), valve_flow(900e5, 0.05, 1.0, 920e5)
    both = bypass_flow(WATER, Bypass(900e5, 0.05, 1.0), 1e-6, 920e5)
    assert both == pytest.approx((hole[0] + valve[0], hole[1] + valve[1]))


@pytest.mark.parametrize(("kind", "opens"), [("valve", 1150e5), ("disc", 1035e5)])
def test_a_disc_may_burst_early(kind, opens):
    """Common practice: a disc is judged at both ends of its tolerance."""
    assert lowest_opening(kind, 1150e5, 0.10) == pytest.approx(opens)
