"""Checks of jetwright.parts.suction: against a sampled crank, the hose law of a library, and forms turned round."""

import math

import numpy as np
import pytest
from fluids import Colebrook
from hypothesis import given
from hypothesis import strategies as st

from jetwright.parts.hose import Piece
from jetwright.parts.suction import (
    acceleration_constant,
    acceleration_head,
    hydrant_flow,
    inlet_pressure,
    npsh_available,
    vortex_cover,
)
from jetwright.water.state import vapour_pressure, viscosity, water_at

AMBIENT = 101325.0
WITHIN = 1e-4  # of itself, as the docstring of acceleration_constant promises


def drawn(plungers, rod_ratio, angles):
    """Flow drawn by all plungers over what one crank radius a radian would draw: their places, differenced."""
    step = 1e-4
    total = np.zeros_like(angles)
    for each in range(plungers):
        at = angles + 2.0 * np.pi * each / plungers

        def place(angle):
            return 1.0 - np.cos(angle) + (1.0 - np.sqrt(1.0 - (rod_ratio * np.sin(angle)) ** 2)) / rod_ratio

        total += np.maximum(0.0, (place(at + step) - place(at - step)) / (2.0 * step))
    return total


@pytest.mark.parametrize("plungers", [1, 2, 3, 4, 5, 7, 9])
@pytest.mark.parametrize("rod_ratio", [0.05, 0.2, 0.25, 0.45])
def test_constant_is_the_steepest_rise_of_a_sampled_flow(plungers, rod_ratio):
    angles = np.linspace(0.0, 2.0 * np.pi, 40001)
    flow = drawn(plungers, rod_ratio, angles)
    steepest = np.max(np.abs(np.diff(flow) / np.diff(angles)))
    mean = np.trapezoid(flow, angles) / (2.0 * np.pi)
    sampled = 2.0 * math.pi / 60.0 * steepest / mean
    assert acceleration_constant(plungers, rod_ratio) == pytest.approx(sampled, rel=2e-3)  # the sampling's own


def test_constant_of_one_plunger_on_a_long_rod():
    """q = sin θ: its slope is 1 where the stroke begins, its mean 1/π."""
    assert acceleration_constant(1, 1e-9) == pytest.approx(2.0 * math.pi / 60.0 * math.pi, rel=WITHIN)


def test_constant_of_one_plunger_by_its_closed_form():
    """x'' = 1 + r/l at the stroke's beginning."""
    assert acceleration_constant(1, 0.3) == pytest.approx(2.0 * math.pi / 60.0 * math.pi * 1.3, rel=WITHIN)


def test_head_is_newtons_law():
    """ρ·L·A·(dV/dt) over ρ·g·A: the steepest rise of the mean speed, over what water gives way by."""
    length, speed, turns, plungers = 3.0, 0.9, 8.0, 3
    angles = np.linspace(0.0, 2.0 * np.pi, 40001)
    flow = drawn(plungers, 0.2, angles)
    rise = np.max(np.abs(np.diff(flow) / np.diff(angles))) / (np.trapezoid(flow, angles) / (2.0 * np.pi))
    newton = length * speed * rise * 2.0 * math.pi * turns / 9.80665
    head = acceleration_head(length, speed, turns, acceleration_constant(plungers, 0.2))
    assert 1.5 * head == pytest.approx(newton, rel=2e-3)


def test_still_water_under_the_sky_lifts_ten_metres():
    """What a barometer filled with this water would show: (101325 - 1705.8)/(999.1·9.80665)."""
    water = water_at(288.15, AMBIENT)
    assert npsh_available(0.0, water, vapour_pressure(288.15), 0.0, 0.0) == pytest.approx(10.167, abs=0.006)


def test_a_moving_gauge_point_adds_its_speed():
    water = water_at(288.15, AMBIENT)
    still = npsh_available(0.0, water, 1705.8, 1.0, 2.0)
    assert npsh_available(0.0, water, 1705.8, 1.0, 2.0, 3.0) - still == pytest.approx(9.0 / 2.0 / 9.80665)


@given(st.floats(0.02, 0.3), st.floats(1e-4, 1e-1))
def test_cover_grows_from_the_bore_with_the_flow(bore, flow):
    once = vortex_cover(bore, flow) - bore
    assert once > 0.0
    assert vortex_cover(bore, 2.0 * flow) - bore == pytest.approx(2.0 * once)
    assert vortex_cover(4.0 * bore, flow) - 4.0 * bore == pytest.approx(once / 8.0)  # D·V/√D with V ∝ 1/D²


@given(st.floats(2e5, 10e5), st.floats(0.1, 0.9), st.floats(1e-3, 1e-1), st.floats(0.05, 0.95))
def test_hydrant_loses_a_pressure_that_goes_with_the_flow(static, kept, flow, residual):
    pressure, left = kept * static, residual * static
    given_flow = hydrant_flow(static, pressure, flow, left)
    assert (given_flow / flow) ** (1.0 / 0.54) * (static - pressure) == pytest.approx(static - left)
    assert hydrant_flow(static, pressure, flow, pressure) == pytest.approx(flow)


def test_a_hydrant_gives_nothing_at_its_static_pressure_and_above():
    assert hydrant_flow(5e5, 3e5, 1e-2, 5e5) == hydrant_flow(5e5, 3e5, 1e-2, 7e5) == 0.0


def test_supply_hose_costs_what_a_library_says():
    """Darcy-Weisbach with the Colebrook friction factor of fluids."""
    water, flow, bore, length = water_at(291.15, AMBIENT), 107.0 / 60e3, 0.038, 20.0
    mass_flow = flow * water.reference_density
    speed = 4.0 * flow / (math.pi * bore * bore)
    reynolds = water.reference_density * speed * bore / viscosity(291.15, AMBIENT)
    loss = Colebrook(reynolds, 1e-5 / bore) * length / bore * 0.5 * water.reference_density * speed * speed
    left = inlet_pressure(water, 3.5e5, Piece(bore, length, 1e-5), mass_flow)
    assert 3.5e5 - left == pytest.approx(loss, rel=1e-3)  # water at 4 bar and not at ambient
    assert inlet_pressure(water, 3.5e5, None, mass_flow) == 3.5e5
