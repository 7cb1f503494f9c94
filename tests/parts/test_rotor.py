"""Checks of jetwright.parts.rotor: a head turned in time, and forms turned round."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from jetwright.parts.rotor import (
    OffsetJets,
    advance,
    energy_per_area,
    fastest_travel,
    free_turns,
    least_turns,
    production_rate,
    surface_speed,
    torque,
)


def test_torque_is_the_cross_product():
    """-r × F of each jet, jets and places as vectors: at radius r on x, turned by the skew out of the axis's plane."""
    count, mass_flow, speed, radius, skew = 3, 0.4, 430.0, 0.02, math.radians(25.0)
    total = np.zeros(3)
    for each in range(count):
        around = 2.0 * math.pi * each / count
        place = radius * np.array([math.cos(around), math.sin(around), 0.0])
        tangent = np.array([-math.sin(around), math.cos(around), 0.0])
        jet = math.cos(skew) * np.array([0.0, 0.0, 1.0]) + math.sin(skew) * tangent
        total += np.cross(place, mass_flow * speed * jet)
    assert torque((OffsetJets(count, mass_flow, speed, radius, skew),), 0.0) == pytest.approx(total[2])


def test_an_unbraked_head_runs_up_to_its_free_turns():
    """J·dω/dt = torque, integrated by scipy until nothing changes."""
    jets = (OffsetJets(2, 0.3, 400.0, 0.02, math.radians(12.0)), OffsetJets(1, 0.2, 410.0, 0.03, math.radians(8.0)))
    run = solve_ivp(lambda _, turns: [torque(jets, turns[0]) / 1e-4], (0.0, 60.0), [0.0], rtol=1e-9, atol=1e-9)
    assert free_turns(jets) == pytest.approx(run.y[0][-1], rel=1e-6)


def test_jets_turned_against_each_other_hold_the_head():
    jets = (OffsetJets(1, 0.3, 400.0, 0.02, 0.2), OffsetJets(1, 0.3, 400.0, 0.02, -0.2))
    assert torque(jets, 0.0) == pytest.approx(0.0)
    assert free_turns(jets) == pytest.approx(0.0)


@given(st.floats(0.01, 1.0), st.integers(1, 8), st.floats(5e-4, 0.02), st.floats(0.0, 0.9))
def test_at_the_least_turns_the_tracks_just_overlap(travel, tracks, width, overlap):
    turns = least_turns(travel, tracks, width, overlap)
    assert fastest_travel(turns, tracks, width, overlap) == pytest.approx(travel)
    assert advance(travel, turns) == pytest.approx(tracks * width * (1.0 - overlap))


def test_surface_speed_is_the_way_of_one_turn():
    assert surface_speed(10.0, 0.1) / 10.0 == pytest.approx(2.0 * math.pi * 0.1)


def test_energy_on_a_surface_is_power_over_what_is_covered():
    """1 h at 80 kW over the surface cleaned in it, at work all the time."""
    covered = 3600.0 * production_rate(0.05, 0.4, 0.25, 1.0)
    assert energy_per_area(80e3, 0.05, 0.4 * 0.75) == pytest.approx(3600.0 * 80e3 / covered)
