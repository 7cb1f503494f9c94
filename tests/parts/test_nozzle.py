"""Checks of jetwright.parts.nozzle and suction."""

import math

import pytest

from jetwright.parts.hose import Piece, piece_inlet
from jetwright.parts.nozzle import jet_area, jet_flow, recoil, round_area
from jetwright.parts.suction import inlet_pressure
from jetwright.water.state import jet_density, jet_speed, water_at

AMBIENT = 100845.0
WATER = water_at(291.15, AMBIENT)


@pytest.mark.parametrize("pressure", [1e5, 100e5, 900e5, 2800e5, 4000e5])
def test_flow_is_density_and_speed_at_the_cold_end(pressure):
    """docs/job-file.md: mass flow = Cd·A·ρ_exit·v."""
    upstream = AMBIENT + pressure
    expected = 1e-6 * jet_density(291.15, upstream, AMBIENT) * jet_speed(291.15, upstream, AMBIENT)
    assert jet_flow(WATER, 1e-6, pressure)[0] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("pressure", [1e5, 100e5, 900e5, 2800e5])
def test_slope_is_the_derivative(pressure):
    """By central differences."""
    step = 1e-5 * pressure
    ahead, behind = (jet_flow(WATER, 1e-6, pressure + s)[0] for s in (step, -step))
    assert jet_flow(WATER, 1e-6, pressure)[1] == pytest.approx((ahead - behind) / (2.0 * step), rel=2e-3)


@pytest.mark.parametrize("pressure", [-1e5, 0.0, 1e-200, 1e-12])
def test_nothing_flows_without_pressure(pressure):
    assert jet_flow(WATER, 1e-6, pressure) == (0.0, 0.0)


@pytest.mark.parametrize("pressure", [1e5, 900e5, 2800e5])
def test_a_rated_pair_comes_back(pressure):
    area = jet_area(WATER, 3e-4, pressure)
    assert jet_flow(WATER, area, pressure)[0] / WATER.reference_density == pytest.approx(3e-4, rel=1e-12)


@pytest.mark.parametrize(("angle", "skew"), [(0.0, 0.0), (30.0, 0.0), (90.0, 0.0), (150.0, 0.0), (45.0, 20.0)])
def test_a_single_jet_s_push_keeps_its_length(angle, skew):
    along, across = recoil(0.3, 420.0, 1, math.radians(angle), math.radians(skew))
    assert math.hypot(along, across) == pytest.approx(126.0)
    assert along == pytest.approx(126.0 * math.cos(math.radians(angle)) * math.cos(math.radians(skew)), abs=1e-12)


@pytest.mark.parametrize("count", [2, 3, 6])
def test_evenly_spaced_jets_cancel_across(count):
    """By summing the vectors."""
    angle, force = math.radians(150.0), 80.0
    turns = [2.0 * math.pi * number / count for number in range(count)]
    aside = [sum(force * math.sin(angle) * turn(t) for t in turns) for turn in (math.cos, math.sin)]
    along, across = recoil(1.0, force, count, angle, 0.0)
    assert math.hypot(*aside) == pytest.approx(0.0, abs=1e-12)
    assert across == 0.0
    assert along == pytest.approx(count * force * math.cos(angle))


def test_area_of_a_round_hole():
    assert round_area(2.0) == pytest.approx(math.pi)


def test_a_supply_hose_takes_its_loss_off_the_source():
    """The loss of the same hose, carrying the flow the other way up to the source's pressure, within its own loss."""
    hose, mass_flow = Piece(0.038, 20.0, 1e-5), 2.0
    inlet = inlet_pressure(WATER, 3.5e5, hose, mass_flow)
    assert piece_inlet(WATER, hose, inlet, mass_flow)[0] == pytest.approx(3.5e5, rel=1e-4)
    assert inlet_pressure(WATER, 3.5e5, None, mass_flow) == 3.5e5
