"""Checks of jetwright.parts.free_jet: what its estimates promise each other, and the momentum they must carry."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from jetwright.parts.free_jet import jet_diameter, jet_force, jet_power, pressure_at, profile, width_at
from jetwright.parts.nozzle import jet_flow, round_area
from jetwright.water.state import jet_speed_of, water_at

APPROACHES = st.sampled_from([True, False, None])
BORES = st.floats(0.0005, 0.005)
DISTANCES = st.floats(0.001, 5.0)


def test_profile_carries_the_momentum_of_the_jet():
    """∫p dA over the surface is 2·p0·A of the jet; the printed 2.6 radii carry it to what their two digits allow."""
    diameter = 0.001
    radius = 2.6 * 0.5 * diameter  # Leach & Walker, as quoted
    force = quad(lambda r: profile(r / radius) * 2.0 * math.pi * r, 0.0, radius)[0]
    allowed = (2.65**2 - 2.6**2) / 2.6**2
    assert force == pytest.approx(2.0 * round_area(diameter), rel=allowed)


def test_profile_is_flat_at_both_ends():
    step = 1e-5
    assert profile(step) == pytest.approx(1.0, abs=4.0 * step * step)
    assert profile(1.0 - step) == pytest.approx(0.0, abs=4.0 * step * step)


@given(BORES, DISTANCES, DISTANCES, APPROACHES)
def test_pressure_never_rises_with_the_distance(bore, one, other, straight):
    near, far = sorted((one, other))
    close, away = pressure_at(1e8, bore, near, straight), pressure_at(1e8, bore, far, straight)
    assert all(a >= b for a, b in zip(close, away, strict=True))
    assert 0.0 < away[0] <= away[1] <= away[2] <= 1e8


@given(BORES, DISTANCES)
def test_spread_of_an_ordinary_tip_holds_every_common_decay(bore, standoff):
    """Common practice: cores of 10 to 30 bores with exponents of 0.8 to 1.2."""
    low, _, high = pressure_at(1.0, bore, standoff, False)
    for core in (10.0, 20.0, 30.0):
        for exponent in (0.8, 1.0, 1.2):
            share = min(1.0, (core * bore / standoff) ** exponent)
            assert low <= share * (1.0 + 1e-12)
            assert share <= high * (1.0 + 1e-12)


@given(BORES, DISTANCES)
def test_width_of_an_ordinary_tip_holds_every_common_core(bore, standoff):
    low, _, high = width_at(bore, bore, standoff, False)
    for core in (10.0, 20.0, 30.0):
        assert low <= bore * max(1.0, standoff / bore / core) ** 0.5 <= high * (1.0 + 1e-12)


@given(BORES, DISTANCES)
def test_an_approach_nobody_described_holds_both(bore, standoff):
    unsaid = pressure_at(1.0, bore, standoff, None)
    wide = width_at(bore, bore, standoff, None)
    for straight in (True, False):
        said = pressure_at(1.0, bore, standoff, straight)
        width = width_at(bore, bore, standoff, straight)
        assert unsaid[0] <= said[0]
        assert said[2] <= unsaid[2]
        assert wide[0] <= width[0]
        assert width[2] <= wide[2]


@given(BORES, DISTANCES, APPROACHES)
def test_width_is_the_jets_and_then_grows_with_the_root(bore, standoff, straight):
    low, middle, high = width_at(0.9 * bore, bore, standoff, straight)
    assert low <= middle <= high
    assert middle >= 0.9 * bore
    core = 100.0 if straight else 20.0
    if standoff > core * bore:
        assert width_at(0.9 * bore, bore, 4.0 * standoff, straight)[1] == pytest.approx(2.0 * middle)
    else:
        assert middle == 0.9 * bore


def test_power_and_force_are_those_of_the_nozzle():
    """½·ṁ·v² and ṁ·v: without loss of speed p·Q and 2·p·A of water that is not squeezed."""
    water, pressure, bore = water_at(291.15, 101325.0), 5e5, 0.001
    flow, speed = jet_flow(water, round_area(bore), pressure)[0], jet_speed_of(water, 101325.0 + pressure)
    assert jet_power(flow, speed) == pytest.approx(pressure * flow / water.reference_density, rel=1e-3)
    assert jet_force(flow, speed) == pytest.approx(2.0 * pressure * round_area(bore), rel=1e-3)


def test_jet_of_a_sharp_tip_is_narrower():
    assert round_area(jet_diameter(0.002, 0.61)) == pytest.approx(0.61 * round_area(0.002))
