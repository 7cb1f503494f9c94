"""A turning head's coverage and a hose-fed nozzle's pull against printed values."""

import math

import pytest

from jetwright.parts.haul import capstan, pull, reach
from jetwright.parts.rotor import advance, energy_per_area, least_turns, production_rate, surface_speed
from jetwright.units import of, to
from jetwright.water.state import jet_speed_of
from tests.published.table import JET_SPEED, cases, read
from tests.published.thin import AMBIENT, THIN, water_of


def turns(row):
    return to(least_turns(row.given("v"), 2, of(row.given("w"), "mm"), row.given("overlap")), "rpm")


def a_turn(row):
    return to(advance(row.given("v"), of(row.given("N"), "rpm")), "mm")


def rearward(row):
    """The row's water is not squeezed: our jet's speed at 1 psi, carried to its pressure by the square root."""
    water = water_of(998.2065)
    speed = jet_speed_of(water, AMBIENT + THIN) * math.sqrt(of(row.given("p"), "bar") / THIN)
    mass_flow = of(row.given("Q"), "L/min") * water.reference_density
    return pull(mass_flow, speed, 1, math.radians(150.0), 0.0)


def hauled(row):
    return reach(row.given("F"), 1.2, row.given("mu"), 0.0, 0.0)


ANSWERS = {
    "H10-01": lambda row: (turns(row), 0.0),
    "H10-02": lambda row: (a_turn(row), 0.0),
    "H10-03": lambda row: (surface_speed(of(row.given("N"), "rpm"), row.given("R")), 0.0),
    "H10-05": lambda row: (energy_per_area(1e3 * row.given("P_jet"), row.given("v"), row.given("W_eff")) / 1e6, 0.0),
    "H10-06": lambda row: (rearward(row), JET_SPEED),
    "H10-07": lambda row: (hauled(row), 0.0),
}


@pytest.mark.parametrize("row", cases("coverage", ANSWERS))
def test_coverage_is_as_printed(row):
    answer, promised = ANSWERS[row.id](row)
    row.holds(answer, promised)


def test_every_row_is_tested():
    assert set(read("coverage")) == set(ANSWERS)


@pytest.mark.published("derived: 3600 × 0.1 m/s × 0.3 m × (1 - 0.1) × 0.6")
def test_surface_in_an_hour():
    assert 3600.0 * production_rate(0.1, 0.3, 0.1, 0.6) == pytest.approx(58.32, abs=0.005)


@pytest.mark.published("Eytelwein: exp(-0.4·π/2) = 0.5335")
def test_a_square_bend_keeps_half_a_pull():
    assert 1.0 / capstan(1.0, 0.4, math.pi / 2) == pytest.approx(0.5335, abs=0.00005)
