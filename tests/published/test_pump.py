"""Plunger pump, drive and fuel against printed values.

The printed volumetric efficiencies take the discharge density on the isentrope; a plan takes it at the supply's
temperature. Here our pump is given water that is as warm as the isentrope leaves it, on the suction side's density.
"""

from dataclasses import replace

import pytest

from jetwright.parts.drive import engine_power
from jetwright.parts.engine import DEF_SHARE, FUEL_RATE, fuel_flow
from jetwright.parts.pump import Pump, delivered_per_turn, swept_volume, volumetric_efficiency
from jetwright.units import of, to
from jetwright.water.state import enthalpy_rise, pumped_temperature, volume_of, water_at
from tests.published.table import cases, read

AMBIENT = 1e5
COLD = water_at(293.15, AMBIENT)


def displaced(row):
    volume = swept_volume(int(row.given("n")), of(row.given("d"), "mm"), of(row.given("s"), "mm"))
    return to(volume * of(row.given("N"), "rpm"), "L/min")


def warm(pressure):
    """Water on its way out of the pump, its reference density that of the suction side."""
    out = water_at(pumped_temperature(293.15, AMBIENT, AMBIENT + pressure), AMBIENT)
    return replace(out, reference_density=COLD.reference_density)


def suction_basis(row):
    pressure = of(row.given("p"), "bar")
    return volumetric_efficiency(warm(pressure), Pump(1.0, 0.0, 1.0, 1.0), pressure)


def discharge_basis(row):
    pressure = of(row.given("p"), "bar")
    out = warm(pressure)
    return delivered_per_turn(out, Pump(1.0, 0.0, 1.0, 1.0), pressure) * volume_of(out, AMBIENT + pressure)


def warming(row):
    return pumped_temperature(293.15, AMBIENT, AMBIENT + of(row.given("p"), "bar")) - 293.15


def work(row):
    pressure = of(row.given("p"), "bar")
    return enthalpy_rise(293.15, AMBIENT, AMBIENT + pressure) / (pressure / COLD.reference_density)


def burnt(row):
    return to(fuel_flow(of(row.given("P"), "kW"), of(row.given("BSFC"), "g/kWh")), "L/h")


def chain(row):
    shaft = of(row.given("p"), "bar") * of(row.given("Q"), "L/min") / row.given("eta_m")
    return to(engine_power(shaft, row.given("eta_hst"), 0.0), "kW")


def burnt_by_the_chain(row):
    power = of(chain(read("pump")["H04-38"]), "kW")
    return to(fuel_flow(power, of(row.given("BSFC"), "g/kWh")), "L/h")


ANSWERS = {
    "H04-01": displaced,
    **{f"H04-{i}": suction_basis for i in (26, 28, 30, 32)},
    **{f"H04-{i}": discharge_basis for i in (27, 29, 31, 33)},
    "H04-34": warming,
    "H04-35": work,
    "H04-36": burnt,
    "H04-37": lambda row: to(DEF_SHARE * of(row.given("fuel"), "L/h"), "L/h"),
    "H04-38": chain,
    "H04-39": burnt_by_the_chain,
}


@pytest.mark.parametrize("row", cases("pump", ANSWERS))
def test_pump_is_as_printed(row):
    row.holds(ANSWERS[row.id](row))


def test_every_row_is_tested():
    assert set(read("pump")) == set(ANSWERS)


def test_the_fuel_rate_taken_is_the_one_printed():
    assert of(read("pump")["H04-36"].given("BSFC"), "g/kWh") == pytest.approx(FUEL_RATE)
