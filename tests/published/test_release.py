"""The call that is our reference, held to what the releases print to verify a program.

CoolProp adds the critical enhancement of R12-08 (μ2) to its viscosity, and the releases' figures are for μ2 = 1. At
these densities the enhancement is exactly 1 (the reduced compressibility does not exceed its reference, R12-08 eq. 21),
so the plain call is the one to test; nearer than some 50 K to the critical point it would not be.
"""

import CoolProp
import pytest

from tests.published.table import cases, read

WATER = CoolProp.AbstractState("HEOS", "Water")


def at(row):
    if "rho" in row.inputs:
        WATER.update(CoolProp.DmassT_INPUTS, row.given("rho"), row.given("T"))
    else:
        WATER.update(CoolProp.QT_INPUTS, 0.0, row.given("T"))
    return WATER


ANSWERS = {
    "H01-02": lambda row: at(row).speed_sound(),
    "H01-05": lambda row: at(row).p() / 1e6,
    "H01-06": lambda row: at(row).speed_sound(),
    "H01-09": lambda row: at(row).p() / 1e6,
    "H01-10": lambda row: at(row).speed_sound(),
    "H01-13": lambda row: at(row).p() / 1e6,
    "H01-14": lambda row: at(row).rhomass(),
    "H01-17": lambda row: at(row).viscosity() * 1e6,
    "H01-18": lambda row: at(row).viscosity() * 1e6,
    "H01-19": lambda row: at(row).viscosity() * 1e6,
}


@pytest.mark.parametrize("row", cases("release", ANSWERS))
def test_the_reference_is_the_release(row):
    row.holds(ANSWERS[row.id](row))


def test_every_row_is_tested():
    assert set(read("release")) == set(ANSWERS)
