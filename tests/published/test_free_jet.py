"""The free jet against printed values."""

import pytest

from jetwright.parts.free_jet import pressure_at, profile
from jetwright.units import of, to
from tests.published.table import cases, read


def on_the_axis(row):
    bore = of(1.0, "mm")
    return to(pressure_at(of(row.given("p0"), "bar"), bore, row.given("x/d") * bore, True)[1], "bar")


ANSWERS = {
    "H09-02": on_the_axis,
    "H09-04": lambda row: profile(row.given("x")),
}
LEFT = {"H09-05": "nothing asks how wide a jet presses: the profile is a share of that radius"}


@pytest.mark.parametrize("row", cases("free_jet", ANSWERS))
def test_free_jet_is_as_printed(row):
    row.holds(ANSWERS[row.id](row))


def test_every_row_is_tested_or_left():
    assert set(read("free_jet")) == set(ANSWERS) | set(LEFT)


@pytest.mark.published("Leach & Walker: half the pump's pressure at about 350 nozzle diameters")
def test_half_is_left_at_350_bores():
    """Two digits are printed."""
    assert pressure_at(1.0, 0.001, 0.350, True)[1] == pytest.approx(0.50, abs=0.005)
