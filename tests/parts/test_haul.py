"""Checks of jetwright.parts.haul: a rope round a bend and a hose up a pipe, integrated; jets as vectors."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from jetwright.parts.haul import capstan, drag, hauled_mass, needed_pull, piston_push, pull, reach, wall_push
from tests.limits.unit_a import worked

GRAVITY = 9.80665


@pytest.mark.parametrize("friction", [0.1, 0.3, 0.6])
def test_bend_is_a_rope_round_a_drum(friction):
    """dT/dθ = µ·T, integrated by scipy."""
    run = solve_ivp(lambda _, tension: friction * tension, (0.0, 2.5), [100.0], rtol=1e-10, atol=1e-10)
    assert capstan(100.0, friction, 2.5) == pytest.approx(run.y[0][-1], rel=1e-7)


def test_drag_up_a_pipe_is_the_work_it_takes():
    """Work over a length: friction on the pipe, and the mass lifted."""
    length, climb, mass, friction = 50.0, 12.0, 1.3, 0.35
    incline = math.asin(climb / length)
    on_pipe = math.sqrt(length**2 - climb**2) / length
    work = mass * GRAVITY * (friction * on_pipe * length + climb)
    assert drag(mass, friction, incline) * length == pytest.approx(work)


@given(st.floats(0.05, 1.0), st.floats(-1.5, 1.5))
def test_a_fall_helps_nobody(friction, incline):
    assert drag(1.0, friction, incline) >= friction * math.cos(abs(incline)) * GRAVITY
    assert drag(1.0, friction, -abs(incline)) == drag(1.0, friction, 0.0)


@given(st.floats(0.0, 3.0), st.floats(0.0, 1.0), st.floats(0.1, 0.8))
def test_bends_are_taken_where_they_cost_most(bends, where, friction):
    """A bend part of the way multiplies only what is behind it: never more than at the far end."""
    length, mass = 80.0, 1.2
    behind = capstan(where * length * drag(mass, friction, 0.0), friction, bends)
    real = behind + (1.0 - where) * length * drag(mass, friction, 0.0)
    assert needed_pull(length, mass, friction, 0.0, bends) >= real * (1.0 - 1e-12)


@given(st.floats(1.0, 2000.0), st.floats(0.2, 5.0), st.floats(0.1, 0.8), st.floats(0.0, 1.2), st.floats(0.0, 4.0))
def test_reach_is_where_the_pull_is_used_up(force, mass, friction, incline, bends):
    length = reach(force, mass, friction, incline, bends)
    assert needed_pull(length, mass, friction, incline, bends) == pytest.approx(force)


def test_what_pushes_back_reaches_nowhere():
    assert reach(-50.0, 1.2, 0.4, 0.0, 0.0) == 0.0


def test_pull_and_wall_push_are_sums_of_vectors():
    """Jets evenly round the axis: what is left along it, and the lengths across it added up."""
    count, force, angle, skew = 6, 80.0, math.radians(150.0), math.radians(10.0)
    along, across = 0.0, 0.0
    for each in range(count):
        around = 2.0 * math.pi * each / count
        outward = np.array([0.0, math.cos(around), math.sin(around)])
        tangent = np.array([0.0, -math.sin(around), math.cos(around)])
        plane = math.cos(angle) * np.array([1.0, 0.0, 0.0]) + math.sin(angle) * outward
        jet = math.cos(skew) * plane + math.sin(skew) * tangent
        along -= force * jet[0]
        across += force * math.hypot(jet[1], jet[2])
    assert pull(1.0, force, count, angle, skew) == pytest.approx(along)
    assert wall_push(1.0, force, count, angle, skew) == pytest.approx(across)


@pytest.mark.published("derived: 100 N ahead, 6 × 80 N 30° from straight back")
def test_net_pull_of_a_head():
    ahead = pull(1.0, 100.0, 1, 0.0, 0.0)
    assert ahead + pull(1.0, 80.0, 6, math.radians(150.0), 0.0) == pytest.approx(315.69, abs=0.005)


def test_water_in_the_hose_floats_in_a_flooded_pipe():
    """Mass of a metre of bore, by integration over rings."""
    ring = quad(lambda r: 2.0 * math.pi * r * 998.0, 0.0, 0.0125)[0]
    assert hauled_mass(0.8, 0.025, 998.0, False) - hauled_mass(0.8, 0.025, 998.0, True) == pytest.approx(ring)


@worked(42)
def test_a_plug_pushes_with_the_whole_bore():
    """A tube of 19 mm, 10 bar behind the lance."""
    assert piston_push(10e5, 0.019) == pytest.approx(284.0, abs=0.5)
