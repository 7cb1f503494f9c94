"""Friction and heating in hoses and throttles against printed values."""

import re
from dataclasses import replace

import pytest
from scipy.optimize import brentq

from jetwright.parts.friction import friction
from jetwright.parts.hose import Piece, friction_loss, lumped_loss, piece_inlet
from jetwright.rig.check import check
from jetwright.rig.description import Bypass, Drive, Fitting, Job, Port, Pump, Supply, Target, Task, Tip, Tool, Unit
from jetwright.solve.steady import reach
from jetwright.units import of, to
from jetwright.water.state import jet_speed_of, pumped_temperature, throttled_temperature, water_at
from tests.published.table import THROTTLING, cases, read

AMBIENT = 1e5
WATER = water_at(293.15, AMBIENT)


def factor(row):
    relative = row.given("eps/D") if "eps/D" in row.inputs else 0.0
    return friction(row.given("Re"), relative)[0]


def lost(row):
    """Properties at the inlet all along: the loss of a length so short that they do not change, times the length."""
    mass_flow = of(row.given("Q"), "L/min") * WATER.reference_density
    bore, roughness = of(row.given("d"), "mm"), row.given("eps") * 1e-6
    loss = friction_loss(WATER, bore, 1e-4, roughness, of(row.given("p"), "bar"), mass_flow)[0]
    return to(loss / 1e-4 * row.given("L"), "bar")


def warmed(upstream, downstream):
    return throttled_temperature(293.15, AMBIENT + of(upstream, "bar"), AMBIENT + of(downstream, "bar")) - 293.15


def along_the_hose(row):
    return warmed(1000.0, 1000.0 - read("hose")["H05-14"].expected)


def throttled(row):
    return warmed(float(re.match(r"\d+", row.inputs)[0]), 0.0)


def pumped_and_throttled(row):
    pressure = AMBIENT + of(row.given("p"), "bar")
    return throttled_temperature(pumped_temperature(293.15, AMBIENT, pressure), pressure, AMBIENT) - 293.15


def joule_thomson(row):
    return warmed(1000.0, 999.0) / (999.0 - 1000.0)


def loss_at_most_jet_power(row):
    """Share of the pump's pressure that a line with a loss ∝ Q² takes when the tip is the one of most jet power."""
    pump = Pump(top_speed=10.0, rating=1e8, start_speed=1.0, plungers=3, plunger_diameter=0.032, stroke=0.11)
    unit = Unit("A", Drive("hydrostatic", top_ratio=1.0), pump, Bypass("hand-set", "tank", full_open_area=1e-5))
    tool = Tool("other", 0.05, "none", (Port("T"),))
    task = Task("One", Target(pump_pressure=of(1.0, "bar")), ("line",), "gun")
    job = Job(
        "T", Supply(1e5, 1.0, 293.15), unit, (task,), fittings={"line": Fitting(0.008, loss_k=8.0)}, tools={"gun": tool}
    )

    def at(bore):
        rig = check(replace(job, tips={"T": Tip(bore, cd=1.0)}))
        state = reach(rig, "pump_pressure", of(1.0, "bar"))
        line = state.lines[0]
        power = 0.5 * line.jets * jet_speed_of(rig.water, rig.water.ambient + line.nozzle) ** 2
        return power, (state.pump_pressure - line.nozzle) / state.pump_pressure

    step = 1e-6
    best = brentq(lambda bore: at(bore + step)[0] - at(bore - step)[0], 0.002, 0.007, xtol=1e-10)
    return at(best)[1]


def tails(mass_flow, tail, bore):
    """Loss of both tails of a piece, without friction, and the coefficient it is on the tail's bore."""
    loss = piece_inlet(WATER, Piece(bore, tail_bore=tail), 1e5, mass_flow)[0] - 1e5
    return loss, loss / lumped_loss(WATER, 1.0, tail, 1e5, mass_flow)


def opening(row):
    """What both tails lose, less the closing's 0.5(1 - β²), which the row after it prints."""
    tail, bore = of(row.given("d1"), "mm"), of(row.given("d2"), "mm")
    return tails(0.5, tail, bore)[1] - 0.5 * (1.0 - (tail / bore) ** 2)


def inserts(row):
    """The row's assembly has wide bores beyond its ends too: an insert closes and opens. Our piece has one of each."""
    return 2.0 * to(tails(of(row.given("Q"), "L/min") * WATER.reference_density, 0.010, 0.0127)[0], "bar")


ANSWERS = {
    **{f"H05-{i:02}": factor for i in (1, 2, 3, 4, 5, 7, 8, 10)},
    **{f"H05-{i}": lost for i in (14, 15, 17, 19, 20)},
    "H05-22": along_the_hose,
    **{f"H05-{i}": throttled for i in (23, 25, 27, 29)},
    **{f"H05-{i}": pumped_and_throttled for i in (24, 26, 30)},
    "H05-31": joule_thomson,
    "H05-32": loss_at_most_jet_power,
    "H05-33": opening,
    "H05-34": inserts,
}
HEATING = {f"H05-{i}" for i in (22, 23, 24, 25, 26, 27, 29, 30, 31)}


@pytest.mark.parametrize("row", cases("hose", ANSWERS))
def test_hose_is_as_printed(row):
    row.holds(ANSWERS[row.id](row), THROTTLING if row.id in HEATING else 0.0)


def test_every_row_is_tested():
    assert set(read("hose")) == set(ANSWERS)
