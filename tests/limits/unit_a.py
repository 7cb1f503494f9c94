"""Unit A of the worked cases as a description, and one task of it solved as far as limits on the machine need it."""

import datetime
import math
from dataclasses import replace

import pytest

from jetwright.limits.rules import Bound, RuleSet
from jetwright.plan.answer import Tolerance
from jetwright.plan.basis import Basis
from jetwright.plan.case import Case
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import machine_for, target_of
from jetwright.rig.check import check
from jetwright.rig.description import (
    Bypass,
    Drive,
    Dump,
    Engine,
    Hose,
    Job,
    Kit,
    Port,
    Pump,
    Relief,
    Supply,
    Target,
    Task,
    Tip,
    Tool,
    Unit,
)
from jetwright.rig.order import Orders
from jetwright.solve.states import trigger_states
from tests.acceptance.crew import SOURCE

BAR, RPM, LITRES_A_MINUTE = 1e5, 1.0 / 60.0, 1e-3 / 60.0
EN_1829 = "EN 1829-1:2010 5.2.2"


def bound(value, quantity="ratio", sense="most", standing="common practice", *, verified=False, adopted=""):
    return Bound(value, quantity, sense, standing, standing, verified, adopted)


BOUNDS = {
    "relief.over": Bound(0.15, "ratio", "most", EN_1829, "standard", True),
    "relief.over_damper": Bound(0.10, "ratio", "most", EN_1829, "standard", True),
    "relief.clear": bound(0.10, sense="least"),
    "relief.clear_least": bound(0.05, sense="least"),
    "gauge.steady": bound(0.75, standing="memory"),
    "gauge.pulsating": bound(0.65, standing="memory"),
    "gauge.error": bound(0.10),
    "engine.load": bound(0.85),
    "engine.step": bound(0.50),
    "bypass.spill": bound(0.20),
}

UNIT = Unit(
    name="Unit A",
    engine=Engine(power=((1500 * RPM, 235e3), (1800 * RPM, 290e3), (2100 * RPM, 310e3)), auxiliary=9e3),
    drive=Drive("hydrostatic", efficiency=0.80, top_ratio=0.28),
    pump=Pump(
        plungers=3,
        plunger_diameter=0.032,
        stroke=0.110,
        slip=0.02,
        clearance=1.2,
        efficiency=0.90,
        start_speed=120 * RPM,
        top_speed=500 * RPM,
        rating=1100 * BAR,
    ),
    bypass=Bypass("hand-set", returns_to="tank", full_open_area=20e-6),
    relief=(Relief(1150 * BAR, accumulation=0.10),),
)
GUN = Tool("hand lance", bore=0.006, loss_k=3.0, release="dump", dump=Dump(0.006), ports=(Port("T"),))


def unit_a(bore=1.0e-3, pressure=900 * BAR, hose=None, tool=GUN, **unit):
    """One gun with one tip on Unit A; `unit` replaces parts of the unit."""
    return Job(
        title="Worked case",
        altitude=40.0,
        supply=Supply(3.5 * BAR, 150 * LITRES_A_MINUTE, 291.15),
        unit=replace(UNIT, **unit),
        hoses={"H": hose or Hose(0.008, 60.0)},
        tips={"T": Tip(bore, "rounded")},
        tools={"gun": tool},
        task=(Task("It", Target(nozzle_pressure=pressure), ("H",), "gun"),),
    )


def solved(job, **bounds):
    """A job's only task, solved; `bounds` replace those above, with _ for the dot."""
    rules = BOUNDS | {name.replace("_", ".", 1): one for name, one in bounds.items()}
    basis = Basis(RuleSet("test", "1", "", rules), Orders("", {}, {}), datetime.date(2026, 5, 4))
    rig = check(job)
    machine = machine_for(rig, *target_of(rig))
    proving = proving_point(rig, machine.state.pump_pressure)
    none = (0.0, 0.0)
    states = trigger_states(rig, machine.levers)
    recoil = tuple(math.hypot(tool.along, tool.across) for tool in states[0].tools)
    return Case(rig, 0, basis, machine, proving, Tolerance(none, None, none, recoil, ()), states, (), None)


def found(limits, identity, about=""):
    [one] = [limit for limit in limits if limit.id == identity and about in ("", limit.about)]
    return one


def worked(number):
    """The mark of a worked case's test."""
    return pytest.mark.published(f"worked case {number}: {SOURCE}")


KIT = {"P32": Kit(0.032, 1100 * BAR)}
"""The 32 mm kit, rated 1100 bar."""
