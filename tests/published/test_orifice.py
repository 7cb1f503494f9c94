"""Flow through orifices against printed constants and jets.

The constants are for water that is not squeezed: our jet is asked at 1 psi, with water at the temperature at which it
has the density quoted.
"""

import math

import pytest

from jetwright.parts.bypass import Bypass, bypass_flow
from jetwright.parts.nozzle import HOLE_DISCHARGE, jet_flow, round_area
from jetwright.units import of, to
from jetwright.water.state import jet_speed, jet_speed_of, water_at
from tests.published.table import JET_FLOW, JET_SPEED, cases, read
from tests.published.thin import AMBIENT, POUND_PER_CUBIC_FOOT, THIN, water_of


def gallons(water, cd, inches, pressure):
    """Flow of a jet in gpm at its reference density."""
    flow = jet_flow(water, cd * round_area(of(inches, "in")), pressure)[0]
    return to(flow / water.reference_density, "gpm")


def constant_us(reference_density):
    return gallons(water_of(reference_density), 1.0, 1.0, THIN) / math.sqrt(to(THIN, "psi"))


def constant_metric():
    water = water_of(998.2)
    flow = jet_flow(water, round_area(1e-3), THIN)[0] / water.reference_density
    return to(flow, "L/min") / math.sqrt(to(THIN, "bar"))


def k_factor():
    return to(of(1.0, "gpm"), "L/min") / math.sqrt(to(of(1.0, "psi"), "bar"))


def smooth_bore(row):
    """29.7 instead of 29.84: a discharge coefficient of 0.995 is built into it."""
    return gallons(water_of(999.10), 29.7 / 29.84, row.given("d"), of(row.given("NP"), "psi"))


def speed_constant():
    water = water_of(62.4 * POUND_PER_CUBIC_FOOT)
    return to(jet_speed_of(water, AMBIENT + THIN), "ft/s") / math.sqrt(to(THIN, "psi"))


def speed(row):
    return jet_speed(293.15, 1e5 + of(row.given("dp"), "bar"), 1e5)


def squeezed(row):
    """Flow of our jet over that of water which cannot be squeezed."""
    water, fall = water_at(293.15, 1e5), of(row.given("dp"), "bar")
    return jet_flow(water, 1.0, fall)[0] / math.sqrt(2.0 * water.reference_density * fall)


ANSWERS = {
    "H02-01": lambda row: (constant_us(62.4 * POUND_PER_CUBIC_FOOT), JET_FLOW),
    "H02-02": lambda row: (constant_us(999.10), JET_FLOW),
    "H02-03": lambda row: (constant_metric(), JET_FLOW),
    "H02-04": lambda row: (k_factor(), 0.0),
    "H02-05": lambda row: (smooth_bore(row), JET_FLOW),
    "H02-09": lambda row: (speed_constant(), JET_SPEED),
    "H02-14": lambda row: (speed(row), JET_SPEED),
    "H02-17": lambda row: (speed(row), JET_SPEED),
    "H02-20": lambda row: (speed(row), JET_SPEED),
    "H02-23": lambda row: (speed(row), JET_SPEED),
    "H02-26": lambda row: (speed(row), JET_SPEED),
    "H02-28": lambda row: (squeezed(row), JET_FLOW),
    "H02-29": lambda row: (squeezed(row), JET_FLOW),
}


@pytest.mark.parametrize("row", cases("orifice", ANSWERS))
def test_orifice_is_as_printed(row):
    answer, promised = ANSWERS[row.id](row)
    row.holds(answer, promised)


def test_every_row_is_tested():
    assert set(read("orifice")) == set(ANSWERS)


# ---- the bypass, a hole too


def bypass(row):
    """The row's water is not squeezed: our hole at 1 psi, carried to its pressure by the square root."""
    water = water_of(row.given("rho"))
    area = row.given("Cd") / HOLE_DISCHARGE * round_area(of(row.given("d"), "mm"))
    flow = bypass_flow(water, Bypass(), area, THIN)[0] / water.reference_density
    return to(flow, "L/min") * math.sqrt(of(row.given("dp"), "bar") / THIN)


def heat(row):
    return to(of(row.given("p"), "bar") * of(row.given("Q"), "L/min"), "kW")


BYPASS = {"H08-01": lambda row: (bypass(row), JET_FLOW), "H08-04": lambda row: (heat(row), 0.0)}
LEFT = {"H08-02": "nothing proposes a relief's set point: it is read from the file and never planned"}


@pytest.mark.parametrize("row", cases("bypass", BYPASS))
def test_bypass_is_as_printed(row):
    answer, promised = BYPASS[row.id](row)
    row.holds(answer, promised)


def test_every_row_of_the_bypass_is_tested_or_left():
    assert set(read("bypass")) == set(BYPASS) | set(LEFT)
    assert set(LEFT) == {"H08-02"}
