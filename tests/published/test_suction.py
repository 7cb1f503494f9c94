"""The suction of a plunger pump against printed values."""

import pytest

from jetwright.parts.suction import acceleration_constant, acceleration_head, npsh_available, vortex_cover
from jetwright.units import of, to
from jetwright.water.state import vapour_pressure, water_at
from tests.published.table import DENSITY, VAPOUR_PRESSURE, cases, read


def constant(plungers):
    return acceleration_constant(plungers, 0.2)


def in_feet(row, feet):
    head = acceleration_head(
        of(feet, "ft"),
        of(row.given("V"), "ft/s"),
        of(row.given("N"), "rpm"),
        row.given("C"),
        row.given("K"),
        of(32.2, "ft"),
    )
    return to(head, "ft")


def together():
    """The row that gives their sum quotes both lengths and speeds; each is that of its own row."""
    rows = read("suction")
    return in_feet(rows["H06-06"], 4.0) + in_feet(rows["H06-07"], 20.0)


def in_metres(row):
    return acceleration_head(row.given("L"), row.given("V"), of(row.given("N"), "rpm"), row.given("C"), row.given("K"))


def boosted(row):
    water = water_at(288.15, of(row.given("p_atm"), "bar"))
    inlet = of(row.given("p_gauge"), "bar")
    return npsh_available(inlet, water, vapour_pressure(288.15), row.given("hf"), row.given("ha"), row.given("v"))


def cover(row, length, flow):
    return to(vortex_cover(of(row.given("D"), length), of(row.given("Q"), flow)), "in" if length == "in" else "m")


ANSWERS = {
    "H06-01": lambda row: (constant(3), 0.0),
    "H06-02": lambda row: (constant(5), 0.0),
    "H06-03": lambda row: (constant(7), 0.0),
    "H06-05": lambda row: (constant(2), 0.0),
    "H06-06": lambda row: (in_feet(row, 4.0), 0.0),
    "H06-07": lambda row: (in_feet(row, 20.0), 0.0),
    "H06-08": lambda row: (together(), 0.0),
    "H06-09": lambda row: (in_metres(row), 0.0),
    "H06-10": lambda row: (vapour_pressure(row.given("T")), VAPOUR_PRESSURE),
    "H06-11": lambda row: (vapour_pressure(row.given("T")), VAPOUR_PRESSURE),
    "H06-12": lambda row: (boosted(row), DENSITY),
    "H06-14": lambda row: (cover(row, "in", "gpm"), 0.0),
    "H06-15": lambda row: (cover(row, "mm", "L/min"), 0.0),
}


@pytest.mark.parametrize("row", cases("suction", ANSWERS))
def test_suction_is_as_printed(row):
    answer, promised = ANSWERS[row.id](row)
    row.holds(answer, promised)


def test_every_row_is_tested():
    assert set(read("suction")) == set(ANSWERS)


@pytest.mark.published("Hydraulic Institute, from memory: 0.022 for nine plungers")
def test_nine_plungers():
    assert constant(9) == pytest.approx(0.022, abs=0.0005)


@pytest.mark.published("ANSI/HI 9.8, as quoted in US units: S = D + 0.574 Q/D^1.5, in and gpm")
def test_cover_in_inches_and_gallons():
    """The constant of the form in inches is 2.3 with its units turned over, printed to three digits."""
    bore, flow = of(6.0, "in"), of(300.0, "gpm")
    expected = 6.0 + 0.574 * 300.0 / 6.0**1.5
    assert to(vortex_cover(bore, flow), "in") == pytest.approx(expected, abs=0.0005 * 300.0 / 6.0**1.5)
