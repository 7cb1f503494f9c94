"""Water's state against printed values."""

import re

import pytest

from jetwright.water import state
from tests.published.table import BULK_MODULUS, DENSITY, SOUND_SPEED, VAPOUR_PRESSURE, VISCOSITY, cases, read


def pressure(row):
    """Absolute, in Pa: "P=101325 Pa" or "(P=50.1 MPa)"."""
    number, unit = re.search(r"P=([\d.]+) (MPa|Pa)", row.inputs).groups()
    return float(number) * {"MPa": 1e6, "Pa": 1.0}[unit]


def density(row):
    return state.density(row.given("T"), pressure(row)), DENSITY


def viscosity(row):
    return 1e3 * state.viscosity(row.given("T"), pressure(row)), VISCOSITY


def sound(row):
    return state.sound_speed(row.given("T"), pressure(row)), SOUND_SPEED


def modulus(row):
    return 1e-9 * state.bulk_modulus_isothermal(row.given("T"), pressure(row)), BULK_MODULUS


def boiling(row):
    return state.vapour_pressure(row.given("T")), VAPOUR_PRESSURE


ANSWERS = {
    "H01-24": viscosity,
    "H01-25": density,
    "H01-26": boiling,
    "H01-27": density,
    "H01-28": viscosity,
    "H01-30": modulus,
    "H01-31": density,
    "H01-32": viscosity,
    "H01-33": sound,
    "H01-35": density,
    "H01-37": sound,
    "H01-38": modulus,
    "H01-39": density,
    "H01-40": viscosity,
    "H01-41": sound,
    "H01-42": modulus,
    "H01-43": density,
    "H01-44": viscosity,
    "H01-45": sound,
    "H01-46": modulus,
}


@pytest.mark.parametrize("row", cases("water", ANSWERS))
def test_state_is_as_printed(row):
    answer, promised = ANSWERS[row.id](row)
    row.holds(answer, promised)


def test_every_row_is_tested():
    assert set(read("water")) == set(ANSWERS)
