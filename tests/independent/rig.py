"""A rig solved a second time: plain dicts as `tomllib` loads them, nested brackets, hoses as an initial-value problem.

Written from the two contracts' equations alone. It shares no code and no method with the package: the package marches
compiled segments and iterates a network, this integrates dp/dx and brackets one unknown inside another.
"""

import math
import re
from typing import Any

from scipy.optimize import brentq

from .water import Water, ambient_pressure, water

G = 9.80665
BYPASS_CD = 0.7
CD = {"sharp": 0.65, "rounded": 0.90, "cone": 0.95, "unknown": 0.90}
UNITS = {
    "bar": 1e5, "kPa": 1e3, "MPa": 1e6, "psi": 6894.757293168, "ksi": 6894757.293168,
    "L/min": 1e-3 / 60.0, "gpm": 3.785411784e-3 / 60.0, "m3/h": 1.0 / 3600.0,
    "mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048, "mm2": 1e-6, "in2": 0.0254**2,
    "rpm": 1.0 / 60.0, "kW": 1e3, "hp": 745.6998715822702, "deg": math.pi / 180.0,
    "L": 1e-3, "m3": 1.0, "gal": 3.785411784e-3,
}  # fmt: skip


def si(text: str) -> float:
    """A quantity as the job file writes it, in SI (pressures gauge)."""
    number, unit = re.fullmatch(r"\s*([-+0-9.eE]+)\s*(\S+)(?:\s+back)?\s*", text).groups()  # type: ignore[union-attr]
    value = float(number)
    if unit == "degC":
        return value + 273.15
    if unit == "degF":
        return (value - 32.0) / 1.8 + 273.15
    value *= UNITS[unit]
    return math.pi - value if text.rstrip().endswith("back") else value


def pair(text: str) -> tuple[float, float]:
    """A flow at a pressure."""
    flow, pressure = text.split(" at ")
    return si(flow), si(pressure)


def disc(bore: float) -> float:
    return math.pi / 4.0 * bore * bore


# ---------------------------------------------------------------------------------------------------------- friction


def friction_factor(reynolds: float, roughness: float) -> float:
    """Darcy's factor: 64/Re to 2000, Colebrook from 4000 (fixed point), a straight line between the two ends."""
    if reynolds <= 2000.0:
        return 64.0 / reynolds
    if reynolds < 4000.0:
        return 0.032 + (friction_factor(4000.0, roughness) - 0.032) * (reynolds - 2000.0) / 2000.0
    x = 7.0
    for _ in range(60):
        y = -2.0 * math.log10(roughness / 3.7 + 2.51 * x / reynolds)
        if abs(y - x) < 1e-12 * x:
            return 1.0 / (y * y)
        x = y
    raise ArithmeticError("Colebrook's fixed point did not settle")


def friction_slope(w: Water, pressure: float, flux: float, bore: float, roughness: float) -> float:
    """Pressure lost in a metre [Pa/m] at a mass flux [kg/(s m2)]."""
    if flux <= 0.0:
        return 0.0
    reynolds = flux * bore / w.viscosity(pressure)
    return friction_factor(reynolds, roughness / bore) * flux * flux / (2.0 * w.density(pressure) * bore)


def friction_upstream(w: Water, outlet: float, mass: float, bore: float, length: float, roughness: float) -> float:
    """Inlet pressure of a pipe [Pa]: dp/dx integrated from its outlet (classical Runge-Kutta)."""
    if mass <= 0.0:
        return outlet
    flux = mass / disc(bore)

    def slope(p: float) -> float:
        return friction_slope(w, p, flux, bore, roughness)

    steps = 6
    h, p = length / steps, outlet
    for _ in range(steps):
        a = slope(p)
        b = slope(p + 0.5 * h * a)
        c = slope(p + 0.5 * h * b)
        p += h / 6.0 * (a + 2.0 * b + 2.0 * c + slope(p + h * c))
    return p


def lumped(w: Water, outlet: float, mass: float, bore: float, k: float) -> float:
    """Loss of a lumped resistance [Pa], density at its outlet."""
    flux = mass / disc(bore)
    return k * flux * flux / (2.0 * w.density(outlet))


# --------------------------------------------------------------------------------------------------------- the rig


class Opening:
    """A tool: jets, leak, dump port, and the pieces of its own run."""

    def __init__(self, job: dict[str, Any], w: Water, name: str, run: list[str], rise: float, number: int) -> None:
        row = job["tools"][name]
        self.name, self.run, self.number = name, run, number
        self.head = w.reference * G * rise
        self.bore, self.k = si(row["bore"]), row.get("loss_k", 0.0)
        self.ports = []
        for port in row["ports"]:
            tip = job["tips"][port["tip"]]
            if "rated" in tip:
                flow, pressure = pair(tip["rated"])
                area = flow * w.reference / w.jet_flux(pressure)
            else:
                area = tip.get("cd", CD.get(tip.get("inlet", ""), 0.0)) * disc(si(tip["bore"]))
            angle, skew = si(port.get("angle", "0 deg")), si(port.get("skew", "0 deg"))
            self.ports.append((port["tip"], port.get("count", 1), area, math.cos(angle) * math.cos(skew)))
        self.jet_area = sum(count * area for _, count, area, _ in self.ports)
        self.leak_area = 0.0
        if "leak" in row:
            flow, pressure = pair(row["leak"])
            self.leak_area = flow * w.reference / w.jet_flux(pressure)
        self.dump_area = port_area(row)


def port_area(row: dict[str, Any]) -> float:
    """Effective area of a dump port [m2]; 0 without one."""
    return row["dump"].get("cd", 0.7) * disc(si(row["dump"]["bore"])) if "dump" in row else 0.0


class Rig:
    """One task of a job, ready to be solved upstream from a pressure at its far end."""

    def __init__(self, job: dict[str, Any], index: int) -> None:
        self.job, self.task = job, job["task"][index]
        self.ambient = ambient_pressure(si(job.get("altitude", "0 m")))
        self.w = w = water(si(job["supply"]["temperature"]), self.ambient)
        self.rho0 = w.reference
        rise = self.task.get("rise", "0 m")
        if "tool" in self.task:
            self.main: list[str] = []
            self.branches = [Opening(job, w, self.task["tool"], self.task.get("hose_run", []), si(rise), 1)]
        else:
            self.main = self.task.get("hose_run", [])
            self.branches = [
                Opening(job, w, b["tool"], b.get("hose_run", []), si(b.get("rise", rise)), i)
                for i, b in enumerate(self.task["branches"], 1)
            ]
        self.single = "tool" in self.task
        self._read_pump()

    # ---- pump

    def _read_pump(self) -> None:
        unit, w = self.job["unit"], self.w
        pump, drive = unit["pump"], unit["drive"]
        slip, clearance = pump.get("slip", 0.02), pump.get("clearance", 1.2)

        def squeeze(p: float) -> float:
            return w.density(p) / self.rho0 - 1.0

        if "flow_per_turn" in pump:
            self.swept = si(pump["flow_per_turn"]) / (1.0 - slip - clearance * squeeze(si(pump["rating"])))
        else:
            bore = unit["kits"][pump["kit"]]["plunger_diameter"] if "kit" in pump else pump["plunger_diameter"]
            self.swept = pump["plungers"] * disc(si(bore)) * si(pump["stroke"])
        readings = [
            (si(m["flow"]) / (self.swept * si(m["speed"])), squeeze(si(m["pressure"])))
            for m in pump.get("measured", [])
        ]
        if len(readings) == 1:
            share, x = readings[0]
            slip = 1.0 - share - clearance * x
        elif readings:  # least squares of share = (1 - slip) - clearance * x
            n = len(readings)
            mean_y, mean_x = sum(y for y, _ in readings) / n, sum(x for _, x in readings) / n
            top = sum((y - mean_y) * (x - mean_x) for y, x in readings)
            clearance = -top / sum((x - mean_x) ** 2 for _, x in readings)
            slip = 1.0 - mean_y - clearance * mean_x
        self.slip, self.clearance = slip, clearance
        self.efficiency = pump.get("efficiency", 0.90)
        self.drive_efficiency = drive.get("efficiency", 0.80 if drive["kind"] == "hydrostatic" else 0.95)
        self.curve = [(si(n), si(p)) for n, p in unit.get("engine", {}).get("power", [])]
        self.auxiliary = si(unit.get("engine", {}).get("auxiliary", "0 kW"))
        self.top = si(pump["top_speed"])
        if drive["kind"] == "direct" and self.curve:
            self.start = self.curve[0][0] / drive["ratio"]
        else:
            self.start = si(pump["start_speed"])

    def delivered_per_turn(self, p: float) -> float:
        """Mass delivered in one turn against a pump pressure [kg]."""
        share = 1.0 - self.slip - self.clearance * (self.w.density(p) / self.rho0 - 1.0)
        return self.rho0 * self.swept * share

    # ---- network, upstream

    def piece_upstream(self, name: str, outlet: float, mass: float) -> float:
        w = self.w
        if name in self.job.get("fittings", {}):
            row = self.job["fittings"][name]
            return outlet + lumped(w, outlet, mass, si(row["bore"]), row.get("loss_k", 0.0))
        row = self.job["hoses"][name]
        bore, roughness = si(row["bore"]), si(row.get("roughness", "0.01 mm"))
        p = outlet
        if "tails" in row:
            tail, length = si(row["tails"]["bore"]), si(row["tails"]["length"])
            square = (tail / bore) ** 2
            p = friction_upstream(w, p, mass, tail, length, roughness)
            p += lumped(w, p, mass, tail, 0.5 * (1.0 - square))
        p = friction_upstream(w, p, mass, bore, si(row["length"]), roughness)
        if "tails" in row:
            p += lumped(w, p, mass, tail, (1.0 - square) ** 2)
            p = friction_upstream(w, p, mass, tail, length, roughness)
        return p

    def run_upstream(
        self, run: list[str], outlet: float, mass: float, dumping: bool, number: int
    ) -> tuple[float, float, list[dict[str, Any]]]:
        """Pressure and mass flow at a run's inlet, with its pieces in the order the water flows."""
        p, rows = outlet, []
        for name in reversed(run):
            area = port_area(self.job.get("fittings", {}).get(name, {}))
            if dumping and area > 0.0:
                mass += area * self.w.jet_flux(p)
            inlet = self.piece_upstream(name, p, mass)
            rows.append({"branch": number, "item": name, "in_bar": inlet / 1e5, "out_bar": p / 1e5})
            p = inlet
        return p, mass, rows[::-1]

    def branch_upstream(
        self, b: Opening, nozzle: float, shut: bool, dumping: bool
    ) -> tuple[float, float, dict[str, Any], list[dict[str, Any]]]:
        """Pressure and mass flow at a branch's inlet from the pressure right behind its tips."""
        w, rho0 = self.w, self.rho0
        flux, v = w.jet_flux(nozzle), w.jet_speed(nozzle)
        jets = 0.0 if shut or dumping else b.jet_area * flux
        mass = jets + (b.dump_area * flux if dumping else 0.0)
        inlet = nozzle + lumped(w, nozzle, mass, b.bore, b.k)
        leak = b.leak_area * w.jet_flux(inlet)
        running = 1.0 if jets > 0.0 else 0.0
        tool = {
            "branch": b.number,
            "tool": b.name,
            "inlet_bar": inlet / 1e5,
            "nozzle_bar": nozzle / 1e5,
            "flow_l_min": jets / rho0 * 6e4,
            "at_tool_l_min": (mass + leak) / rho0 * 6e4,
            "leak_l_min": leak / rho0 * 6e4,
            "speed_m_s": v * running,
            "thrust_n": jets * v,  # of all jets, whichever way they point
            "recoil_n": running * sum(n * a * flux * v * c for _, n, a, c in b.ports),
            "recoil_side_n": running * sum(a * flux * v * math.sqrt(1.0 - c * c) for _, n, a, c in b.ports if n == 1),
            "jet_power_kw": 0.5 * jets * v * v / 1e3,
        }
        p, mass, rows = self.run_upstream(
            b.run, inlet + b.head, mass + leak, dumping and b.dump_area == 0.0, 0 if self.single else b.number
        )
        return p, mass, tool, rows

    def branch_at(self, b: Opening, inlet: float, shut: bool, dumping: bool) -> Any:
        """A branch at a given inlet pressure: its nozzle pressure is bracketed."""
        low = min(0.0, inlet - b.head)
        if dumping and b.dump_area == 0.0:
            low = -abs(b.head) - 1e5

        def miss(x: float) -> float:
            return float(self.branch_upstream(b, x, shut, dumping)[0]) - inlet

        high = max(inlet - b.head, low) + 1.0
        x = low if miss(low) >= 0.0 else brentq(miss, low, high, xtol=1e-2, rtol=1e-13)
        return self.branch_upstream(b, x, shut, dumping)

    def upstream(self, y: float, shut: tuple[int, ...], dumping: tuple[int, ...], held: Any = None) -> Any:
        """Pump pressure, mass to the tools, tools, runs; y is the nozzle pressure of one tool, or the manifold's."""
        if self.single:
            p, mass, tool, rows = self.branch_upstream(self.branches[0], y, 1 in shut, 1 in dumping)
            return p, mass, [tool], rows
        solved = [
            held
            if held is not None and held[2]["branch"] == b.number
            else self.branch_at(b, y, b.number in shut, b.number in dumping)
            for b in self.branches
        ]
        has = {b.number: b.dump_area > 0.0 or any(self._dumps(name) for name in b.run) for b in self.branches}
        main_dump = any(n in dumping and not has[n] for n in has)
        p, mass, rows = self.run_upstream(self.main, y, sum(s[1] for s in solved), main_dump, 0)
        return p, mass, [s[2] for s in solved], rows + [row for s in solved for row in s[3]]

    def _dumps(self, name: str) -> bool:
        return "dump" in self.job.get("fittings", {}).get(name, {})

    def can_dump(self, number: int) -> bool:
        """Whether a branch's tool, its run or the main run has a dump port."""
        b = self.branches[number - 1]
        return b.dump_area > 0.0 or any(self._dumps(name) for name in (*b.run, *self.main))

    def lowest(self) -> float:
        return -max(abs(b.head) for b in self.branches) - 1e5

    def at_pump_pressure(self, p: float, shut: tuple[int, ...] = (), dumping: tuple[int, ...] = ()) -> Any:
        """The network at a given pump pressure."""
        high = p - (self.branches[0].head if self.single else 0.0)

        def miss(y: float) -> float:
            return float(self.upstream(y, shut, dumping)[0]) - p

        y = brentq(miss, self.lowest(), high + 1.0, xtol=1e-2, rtol=1e-13)
        return self.upstream(y, shut, dumping)

    # ---- engine

    def engine(self, speed: float, kw: float) -> tuple[float | None, float | None]:
        """Engine speed [rev/s] and load [-] for a pump speed and an engine power [kW]; no load beyond the curve."""
        if not self.curve:
            return None, None
        drive = self.job["unit"]["drive"]
        k = (self.ambient / 100e3) ** 0.7 * (298.15 / si(self.job.get("air_temperature", "20 degC"))) ** 1.2
        share = min(1.0, k - 0.7 * (1.0 - k) * (1.0 / 0.8 - 1.0))

        def full(n: float) -> float:
            if n <= self.curve[0][0]:
                return share * self.curve[0][1]
            for (n0, p0), (n1, p1) in zip(self.curve, self.curve[1:], strict=False):
                if n <= n1:
                    return share * (p0 + (p1 - p0) * (n - n0) / (n1 - n0))
            return share * self.curve[-1][1]

        power = kw * 1e3
        if drive["kind"] == "direct":
            n = speed * drive["ratio"]
            return n, None if n > self.curve[-1][0] * (1.0 + 1e-9) else power / full(n)
        n = max(self.curve[0][0], speed / drive["top_ratio"])
        last = self.curve[-1][0]
        if n > last:
            return last, None
        if full(n) < power:
            for (n0, _), (n1, _) in zip(self.curve, self.curve[1:], strict=False):
                low = max(n, n0)
                if n1 > low and full(n1) >= power:
                    n = brentq(lambda x: full(x) - power, low, n1, xtol=1e-12)
                    break
            else:
                n = last
        return n, power / full(n)

    def inlet_pressure(self, net: float) -> float:
        """The pump's inlet pressure: the supply's, less its hose's loss at the net draw [kg/s]."""
        supply = self.job["supply"]
        p = si(supply["pressure"])
        if "hose" in supply:
            bore, length = si(supply["hose"]["bore"]), si(supply["hose"]["length"])

            def miss(x: float) -> float:
                return friction_upstream(self.w, x, net, bore, length, 1e-5) - p

            p = brentq(miss, p - 100e5, p, xtol=1e-3)
        return p

    def power(self, speed: float, pump: float, delivered: float, net: float) -> dict[str, Any]:
        rise = self.w.pump_work(self.inlet_pressure(net), pump)
        slip = self.rho0 * self.swept * speed * self.slip
        shaft = (delivered + slip) * rise / self.efficiency
        kw = (shaft / self.drive_efficiency + self.auxiliary) / 1e3
        n, load = self.engine(speed, kw)
        return {
            "hydraulic_kw": delivered * rise / 1e3,
            "shaft_kw": shaft / 1e3,
            "engine_kw": kw,
            "engine_load": load,
            "engine_speed_rpm": None if n is None else n * 60.0,
        }


# ------------------------------------------------------------------------------------------------------- questions


def _answer(
    rig: Rig, solved: Any, speed: float, bypass: float, kind: str, area: float, opens: float | None
) -> dict[str, Any]:
    p, mass, tools, rows = solved
    delivered = mass + bypass
    returns = rig.job["unit"]["bypass"]["returns_to"]
    power = rig.power(speed, p, delivered, delivered if returns == "ground" else mass)
    full = rig.job["unit"]["bypass"].get("full_open_area")
    return {
        "setting": {
            "pump_speed_rpm": speed * 60.0,
            "engine_speed_rpm": power.pop("engine_speed_rpm"),
            "pump_pressure_bar": p / 1e5,
            "pump_flow_l_min": delivered / rig.rho0 * 6e4,
            "bypass": kind,
            "bypass_flow_l_min": bypass / rig.rho0 * 6e4,
            "bypass_area_mm2": area * 1e6,
            "bypass_open_share": area / si(full) if full else None,
            "bypass_opening_bar": None if opens is None else opens / 1e5,
        },
        "tools": tools,
        "hose_run": rows,
        "power": power,
        "reachable": {"speed": speed <= rig.top * (1.0 + 1e-9), "bypass": kind != "open"},
    }


def _meet(rig: Rig, target: dict[str, Any]) -> Any:
    """The network that meets the target, wherever the pump has to be for it."""
    if "pump_pressure" in target:
        return rig.at_pump_pressure(si(target["pump_pressure"]))
    b = rig.branches[target.get("at", 1) - 1]
    if "nozzle_pressure" in target:
        nozzle = si(target["nozzle_pressure"])
    else:
        mass = si(target["flow"]) * rig.rho0
        nozzle = brentq(lambda x: b.jet_area * rig.w.jet_flux(x) - mass, 1.0, 400e6, xtol=1e-2, rtol=1e-13)
    if rig.single:
        return rig.upstream(nozzle, (), ())
    held = rig.branch_upstream(b, nozzle, False, False)
    return rig.upstream(held[0], (), (), held)


def plan(job: dict[str, Any], task_index: int = 0) -> dict[str, Any]:
    """The setting the contract asks for, and all it gives."""
    rig = Rig(job, task_index)
    solved = _meet(rig, rig.task["target"])
    p, demand = solved[0], solved[1]
    turn = rig.delivered_per_turn(p)
    at_start = turn * rig.start
    row = job["unit"]["bypass"]
    area, opens = 0.0, None
    if row["kind"] == "hand-set":
        spill = at_start - demand
        if spill > 0.0:
            speed, area = rig.start, spill / (BYPASS_CD * rig.w.jet_flux(p))
            kind = "part open" if area <= si(row["full_open_area"]) else "open"
        else:
            speed, spill, kind = demand / turn, 0.0, "closed"
    elif row["kind"] == "regulating":
        speed = max(demand / (1.0 - row.get("spill", 0.05)) / turn, rig.start)
        spill, kind = speed * turn - demand, "regulating"
        area = spill / (BYPASS_CD * rig.w.jet_flux(p))  # the hole it amounts to
        full = si(row["full_flow"]) if "full_flow" in row else turn * rig.top / rig.rho0
        opens = p / (1.0 + row.get("accumulation", 0.10) * spill / rig.rho0 / full)
    else:
        speed, spill, kind = demand / turn, 0.0, "closed"
    return _answer(rig, solved, speed, spill, kind, area, opens)


def settle(
    job: dict[str, Any],
    task_index: int,
    speed: float,
    bypass_area: float,
    shut: tuple[int, ...] = (),
    dumping: tuple[int, ...] = (),
) -> dict[str, Any]:
    """The steady state at a pump speed [rev/s] and a bypass opening [m2], the relief shut.

    `shut` branches pass no jet; in `dumping` ones the dump port is open and no jet flows. Branches count from 1.
    """
    rig = Rig(job, task_index)

    def spill(p: float) -> float:
        return BYPASS_CD * bypass_area * rig.w.jet_flux(p)

    def excess(y: float) -> float:
        p, mass = rig.upstream(y, shut, dumping)[:2]
        return float(speed * rig.delivered_per_turn(p) - mass - spill(p))

    high = 50e5
    while excess(high) > 0.0:
        high *= 1.6
        if high > 600e6:
            raise ValueError("no steady state below 6000 bar: nothing lets the water out")
    y = brentq(excess, rig.lowest(), high, xtol=1e-2, rtol=1e-13)
    solved = rig.upstream(y, shut, dumping)
    kind = "closed" if bypass_area == 0.0 else "part open"
    return _answer(rig, solved, speed, spill(solved[0]), kind, bypass_area, None)


def held_at(
    job: dict[str, Any], task_index: int, pump_pressure: float, shut: tuple[int, ...] = ()
) -> list[dict[str, Any]]:
    """The tools with the pump held at a pressure [Pa], as a lifted relief valve holds it."""
    tools: list[dict[str, Any]] = Rig(job, task_index).at_pump_pressure(pump_pressure, shut)[2]
    return tools
