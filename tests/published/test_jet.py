"""Power and reaction of jets against printed values."""

import math

import pytest

from jetwright.parts.nozzle import jet_flow, recoil, round_area
from jetwright.parts.rotor import OffsetJets, torque
from jetwright.units import of, to
from jetwright.water.state import jet_speed, jet_speed_of, water_at
from tests.published.table import JET_FORCE, JET_SPEED, cases, read
from tests.published.thin import AMBIENT, POUND_PER_CUBIC_FOOT, THIN, water_of


def power(row):
    return to(of(row.given("p"), "bar") * of(row.given("Q"), "L/min"), "kW")


def horsepower():
    return of(1.0, "hp") / (of(1.0, "psi") * of(1.0, "gpm"))


def pushed(area, pressure):
    """Push and flow of a straight jet that fills its hole, in lbf and gpm."""
    water = water_of(62.4 * POUND_PER_CUBIC_FOOT)
    flow = jet_flow(water, area, pressure)[0]
    force = recoil(flow, jet_speed_of(water, AMBIENT + pressure), 1, 0.0, 0.0)[0]
    return to(force, "lbf"), to(flow / water.reference_density, "gpm")


def by_flow():
    force, flow = pushed(round_area(of(1.0, "in")), THIN)
    return force / (flow * math.sqrt(to(THIN, "psi")))


def by_bore():
    return pushed(round_area(of(1.0, "in")), THIN)[0] / to(THIN, "psi")


def smooth_bore(row):
    pressure = of(row.given("NP" if "NP" in row.inputs else "P"), "psi")
    return pushed(round_area(of(row.given("d"), "in")), pressure)[0]


def head():
    """Force forward along a head's axis, and across it, of 100 N ahead and 6 × 80 N, 30° from straight back."""
    ahead, ahead_across = recoil(1.0, 100.0, 1, 0.0, 0.0)
    back, back_across = recoil(1.0, 80.0, 6, math.radians(150.0), 0.0)
    return -(ahead + back), ahead_across + back_across


def stalled():
    """Torque of 2 × 150 N, 15 mm from the axis and turned by 20°."""
    return torque((OffsetJets(2, 1.0, 150.0, 0.015, math.radians(20.0)),), 0.0)


def flow_for(row):
    """Flow at 1 bar whose straight jet pushes as hard as asked."""
    speed = jet_speed(293.15, 1e5 + of(row.given("dp"), "bar"), 1e5)
    mass_flow = row.given("F") / recoil(1.0, speed, 1, 0.0, 0.0)[0]
    return to(mass_flow / water_at(293.15, 1e5).reference_density, "L/min")


ANSWERS = {
    "H03-01": lambda row: (power(row), 0.0),
    "H03-02": lambda row: (horsepower(), 0.0),
    "H03-03": lambda row: (by_flow(), JET_SPEED),
    "H03-05": lambda row: (by_bore(), JET_FORCE),
    "H03-06": lambda row: (smooth_bore(row), JET_FORCE),
    "H03-07": lambda row: (smooth_bore(row), JET_FORCE),
    "H03-09": lambda row: (smooth_bore(row), JET_FORCE),
    "H03-12": lambda row: (head()[0], 0.0),
    "H03-13": lambda row: (head()[1], 0.0),
    "H03-14": lambda row: (stalled(), 0.0),
    "H03-16": lambda row: (flow_for(row), JET_SPEED),
    "H03-17": lambda row: (flow_for(row), JET_SPEED),
    "H03-18": lambda row: (flow_for(row), JET_SPEED),
}


@pytest.mark.parametrize("row", cases("jet", ANSWERS))
def test_jet_is_as_printed(row):
    answer, promised = ANSWERS[row.id](row)
    row.holds(answer, promised)


def test_every_row_is_tested():
    assert set(read("jet")) == set(ANSWERS)
