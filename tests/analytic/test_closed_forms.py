"""Closed forms: where water is not squeezed, our rig is the textbook's."""

import math

import pytest

from jetwright.parts.hose import Piece, friction_loss, lumped_loss, piece_inlet
from jetwright.parts.nozzle import jet_flow, round_area
from jetwright.rig.check import check
from jetwright.rig.description import (
    Branch,
    Bypass,
    Drive,
    Fitting,
    Job,
    Port,
    Pump,
    Supply,
    Target,
    Task,
    Tip,
    Tool,
    Unit,
)
from jetwright.solve.steady import Levers, solve
from jetwright.water.state import viscosity, water_at

WATER = water_at(293.15, 101325.0)


@pytest.mark.published("Q = 0.6670 Cd d² √p in L/min, mm and bar at 998.2 kg/m³ (derived; NFPA's metric forms in kPa)")
@pytest.mark.parametrize("bar", [0.01, 0.1, 1.0, 5.0])
@pytest.mark.parametrize(("bore", "cd"), [(0.8, 0.65), (1.4, 0.90), (3.0, 1.0)])
def test_thin_jet_is_the_metric_orifice(bar, bore, cd):
    flow = jet_flow(WATER, cd * round_area(1e-3 * bore), 1e5 * bar)[0] / WATER.reference_density * 60e3
    assert flow == pytest.approx(0.6670 * cd * bore**2 * math.sqrt(bar), rel=2e-4)


@pytest.mark.published("Hagen-Poiseuille: Δp = 128 μ L Q/(π d⁴)")
@pytest.mark.parametrize("litres", [0.01, 0.05, 0.1])
def test_laminar_loss(litres):
    """At low pressure, where neither density nor viscosity moves along the hose."""
    flow, bore, length = litres / 60e3, 0.004, 20.0
    loss = friction_loss(WATER, bore, length, 1e-5, 1e4, flow * WATER.reference_density)[0]
    expected = 128.0 * viscosity(293.15, 101325.0) * length * flow / (math.pi * bore**4)
    assert loss == pytest.approx(expected, rel=1e-4)


@pytest.mark.published("K·ρv²/2; Borda-Carnot")
def test_lumped_losses():
    mass_flow, bore = 0.3, 0.006
    speed = mass_flow / WATER.reference_density / round_area(bore)
    head = 0.5 * WATER.reference_density * speed**2
    assert lumped_loss(WATER, 3.0, bore, 1.0, mass_flow) == pytest.approx(3.0 * head, rel=1e-4)
    # 6 mm tails without length in a 8 mm hose: they close with 0.5(1 - β²) and open with (1 - β²)²
    square = (6.0 / 8.0) ** 2
    loss = piece_inlet(WATER, Piece(0.008, tail_bore=bore), 1.0, mass_flow)[0] - 1.0
    assert loss == pytest.approx((0.5 * (1.0 - square) + (1.0 - square) ** 2) * head, rel=1e-4)


def rig(kinds=("line",), tools=1, rise=0.0):
    """A rig without hoses at low pressure: a pump, fittings, and tips of 3 mm with a loss ahead of them."""
    pump = Pump(10.0, 1e8, start_speed=1.0, plungers=3, plunger_diameter=0.032, stroke=0.11, slip=0.0, clearance=0.0)
    unit = Unit("A", Drive("hydrostatic", top_ratio=1.0), pump, Bypass("hand-set", "tank", full_open_area=2e-5))
    tool = Tool("other", 0.006, "none", (Port("T"),), loss_k=3.0)
    task = (
        Task("One", Target(pump_pressure=1e5), kinds, "gun", rise=rise)
        if tools == 1
        else Task("Many", Target(pump_pressure=1e5), kinds, branches=(Branch("gun"),) * tools, rise=rise)
    )
    job = Job(
        "T", Supply(1e5, 1.0, 293.15), unit, (task,), fittings={"line": Fitting(0.008, 8.0)},
        tips={"T": Tip(0.003, cd=0.9)}, tools={"gun": tool},
    )  # fmt: skip
    return check(job)


@pytest.mark.published("series of orifices, 1/K² adds; equal orifices side by side, K adds (any textbook)")
@pytest.mark.parametrize("tools", [1, 2, 3, 4])
@pytest.mark.parametrize("opening", [0.0, 5e-6])
def test_rig_of_orifices(tools, opening):
    """A pump of one flow into a bypass hole beside a fitting and some guns: p = Q²·ρ/2·(1/ΣA)², with A in series."""
    made, speed = rig(tools=tools), 0.3
    flow = speed * made.pump.swept_volume  # nothing is squeezed, nothing slips
    jet, gun, fitting = 0.9 * round_area(0.003), round_area(0.006) / math.sqrt(3.0), round_area(0.008) / math.sqrt(8.0)
    tool = (jet**-2 + gun**-2) ** -0.5
    run = ((tools * tool) ** -2 + fitting**-2) ** -0.5
    expected = 0.5 * made.water.reference_density * (flow / (run + 0.7 * opening)) ** 2
    assert solve(made, Levers(speed, opening)).pump_pressure == pytest.approx(expected, rel=2e-4)


@pytest.mark.published("hydrostatics: ρ·g·h")
@pytest.mark.parametrize("rise", [-8.0, 12.0])
def test_a_rise_costs_its_head(rise):
    made, speed = rig(rise=rise), 0.5
    flat, risen = (solve(one, Levers(speed)) for one in (rig(), made))
    head = made.water.reference_density * 9.80665 * rise
    assert risen.pump_pressure - flat.pump_pressure == pytest.approx(head, rel=1e-3)
    assert risen.lines[0].nozzle == pytest.approx(flat.lines[0].nozzle, rel=1e-6)
