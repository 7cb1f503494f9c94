"""Random rigs as a crew would write them: well posed, of sensible sizes, mostly reachable, every kind of every part."""

import math
from random import Random

CD = {"sharp": 0.65, "rounded": 0.90, "cone": 0.95, "unknown": 0.90}
ENTRIES = ("sharp", "rounded", "cone", "unknown", "measured", "rated")


def random_job(seed: int) -> str:
    """The text of a job file; the same seed gives the same text."""
    return _Draw(seed).text()


class _Draw:
    def __init__(self, seed: int) -> None:
        self.r = Random(f"rig {seed}")
        self.seed = seed
        self.hoses: dict[str, dict[str, str]] = {}
        self.fittings: dict[str, dict[str, str]] = {}
        self.tips: dict[str, dict[str, str]] = {}
        self.tools: dict[str, dict[str, str]] = {}
        self.used: dict[str, int] = {}
        self.returns = self.r.choice(("tank", "suction", "ground"))

    # ---- sizes by rules of thumb (incompressible, friction factor 0.02): they need not be right, only sensible

    def log(self, low: float, high: float) -> float:
        return math.exp(self.r.uniform(math.log(low), math.log(high)))

    def chance(self, share: float) -> bool:
        return self.r.random() < share

    def bar(self, value: float) -> str:
        unit, size, form = self.r.choice((("bar", 1.0, ".1f"),) * 3 + (("MPa", 10.0, ".2f"), ("psi", 0.0689476, ".0f")))
        return f'"{value / size:{form}} {unit}"'

    def flow(self, value: float) -> str:
        unit, size = self.r.choice((("L/min", 1.0),) * 4 + (("gpm", 3.785412),))
        return f"{value / size:.3f} {unit}"

    def metres(self, value: float) -> str:
        return f'"{value / 0.3048:.0f} ft"' if self.chance(0.15) else f'"{value:.1f} m"'

    def bore_for(self, flow: float, length: float, loss: float) -> float:
        """Bore [mm] that loses so many bar over a length [m] at a flow [L/min]."""
        q = flow / 6e4
        return 1e3 * (0.02 * length * 1000.0 * 8.0 * q * q / (math.pi**2 * loss * 1e5)) ** 0.2

    # ---- parts

    def run(self, flow: float, loss: float, name: str, dump: bool) -> str:
        """A hose run's list of pieces, about so lossy; a fitting that dumps stands in it if asked for."""
        count = self.r.randint(1, 3)
        length = self.r.uniform(6.0, 40.0)
        bore = max(3.0, self.bore_for(flow, length * count, loss))
        row = {"bore": f'"{bore:.1f} mm"', "length": self.metres(length), "rating": '"4500 bar"'}
        if self.chance(0.3):
            row["roughness"] = f'"{self.log(0.002, 0.03):.4f} mm"'
        if self.chance(0.35):
            tail, long = bore * self.r.uniform(0.72, 0.92), self.r.uniform(30.0, 120.0)
            row["tails"] = f'{{ bore = "{tail:.2f} mm", length = "{long:.0f} mm" }}'
        self.hoses[f"H{name}"] = row
        pieces = [f"H{name}"] * count
        if dump or self.chance(0.4):
            fitting = {
                "bore": f'"{bore * self.r.uniform(0.8, 1.2):.2f} mm"',
                "loss_k": f"{self.r.uniform(0.2, 3.0):.2f}",
            }
            if dump:
                fitting["dump"] = f'{{ bore = "{self.r.uniform(3, 8):.1f} mm", cd = {self.r.uniform(0.6, 0.8):.2f} }}'
            self.fittings[f"F{name}"] = fitting
            pieces.insert(self.r.randint(0, count), f"F{name}")
        for piece in pieces:
            self.used[piece] = self.used.get(piece, 0) + 1
        return "[" + ", ".join(f'"{p}"' for p in pieces) + "]"

    def tip(self, flow: float, pressure: float, count: int) -> str:
        """A tip that passes about so much at a pressure [bar]."""
        name, entry = f"T{len(self.tips) + 1}", self.r.choice(ENTRIES)
        row = {"count": str(count)}
        if entry == "rated":
            at = pressure * self.r.uniform(0.6, 1.3)
            row["rated"] = f'"{flow * math.sqrt(at / pressure):.3f} L/min at {at:.0f} bar"'
        else:
            cd = self.r.uniform(0.62, 0.96) if entry == "measured" else CD[entry]
            row["bore"] = f'"{math.sqrt(flow / (0.667 * cd * math.sqrt(pressure))):.3f} mm"'
            if entry == "measured":
                row["cd"] = f"{cd:.3f}"
            else:
                row["inlet"] = f'"{entry}"'
            if entry != "measured" and self.chance(0.2):
                row["cd"] = f"{cd * self.r.uniform(0.95, 1.02):.3f}"
        self.tips[name] = row
        return name

    def tool(self, number: int, flow: float, pressure: float) -> tuple[str, float, bool]:
        """A tool's name, its leak [L/min] and whether a fitting of its run has to dump for it."""
        name = f"tool {number}"
        kind = self.r.choice(
            ("hand lance", "flexible lance", "pipe nozzle", "rotating head", "floor head", "tank head")
        )
        release = self.r.choice(("dump", "dry shut-off", "none"))
        in_run = release == "dump" and self.chance(0.4)
        speed = self.r.uniform(4.0, 14.0)
        bore = 1e3 * math.sqrt(4.0 * flow / 6e4 / (math.pi * speed))
        row = {
            "kind": f'"{kind}"',
            "bore": f'"{max(2.0, bore):.2f} mm"',
            "loss_k": f"{self.r.choice((0.0, self.r.uniform(0.5, 6.0))):.2f}",
            "release": f'"{release}"',
        }
        if release == "dump" and not in_run:
            row["dump"] = f'{{ bore = "{self.r.uniform(3.0, 8.0):.1f} mm", cd = 0.7 }}'
        leak = 0.0
        if self.chance(0.3):
            leak = flow * self.r.uniform(0.01, 0.06)
            at = pressure * self.r.uniform(0.7, 1.2)
            row["leak"] = f'"{leak * math.sqrt(at / pressure):.3f} L/min at {at:.0f} bar"'
        ports, shares = [], [self.r.uniform(0.5, 1.0) for _ in range(self.r.randint(1, 3))]
        for share in shares:
            count = self.r.choice((1, 1, 2, 3, 4))
            angle = self.r.choice(("0 deg", "10 deg", "45 deg", "90 deg", "30 deg back")) if count == 1 else "25 deg"
            tip = self.tip(flow * share / sum(shares) / count, pressure, count)
            port = f'{{ tip = "{tip}", count = {count}, angle = "{angle}"'
            if kind == "rotating head" and count > 1:
                port += ', radius = "15 mm", skew = "20 deg"'
            ports.append(port + " }")
        row["ports"] = "[" + ", ".join(ports) + "]"
        self.tools[name] = row
        return name, leak, in_run

    # ---- the whole

    def text(self) -> str:
        r = self.r
        nozzle = self.log(100.0, 2800.0)
        count = r.choice((1, 1, 1, 2, 2, 3, 4))
        total = min(max(self.log(10.0, 250.0) * 600.0 / nozzle, 4.0 * count), 350.0)
        shares = [r.uniform(0.6, 1.4) for _ in range(count)]
        lost = self.log(0.02, 0.35 if nozzle < 1500.0 else 0.18) * nozzle
        task = ['name = "the task"']
        drawn = total
        if count == 1:
            name, leak, in_run = self.tool(1, total, nozzle)
            drawn += leak
            task += [f"hose_run = {self.run(drawn, lost, 'A', in_run)}", f'tool = "{name}"']
        else:
            own = r.uniform(0.2, 0.8)
            branches = []
            for i, share in enumerate(shares, 1):
                flow = total * share / sum(shares)
                name, leak, in_run = self.tool(i, flow, nozzle)
                drawn += leak
                branch = f'{{ hose_run = {self.run(flow + leak, own * lost, f"B{i}", in_run)}, tool = "{name}"'
                if self.chance(0.4):
                    branch += f", rise = {self.metres(r.uniform(-30.0, 40.0))}"
                branches.append(branch + " }")
            task.append(f"hose_run = {self.run(drawn, (1.0 - own) * lost, 'M', False)}")
            task.append(f"branches = [{', '.join(branches)}]")
        if self.chance(0.5):
            task.append(f"rise = {self.metres(r.uniform(-30.0, 40.0))}")
        at = r.randint(1, count)
        pump = nozzle + lost
        kind = r.choice(("nozzle", "nozzle", "nozzle", "pump", "flow"))
        where = f", at = {at}" if count > 1 else ""
        task.append(
            {
                "nozzle": f"target = {{ nozzle_pressure = {self.bar(nozzle)}{where} }}",
                "pump": f"target = {{ pump_pressure = {self.bar(pump)} }}",
                "flow": f'target = {{ flow = "{self.flow(total * shares[at - 1] / sum(shares))}"{where} }}',
            }[kind]
        )
        return "\n".join((*self.head(drawn), *self.unit(drawn, pump), *self.rows(), "[[task]]", *task, ""))

    def head(self, drawn: float) -> list[str]:
        r = self.r
        celsius = r.uniform(2.0, 55.0)
        temperature = f"{celsius * 1.8 + 32.0:.1f} degF" if self.chance(0.2) else f"{celsius:.1f} degC"
        lines = [
            f'title = "rig {self.seed}"',
            f"altitude = {self.metres(r.uniform(0.0, 1800.0))}",
            f'air_temperature = "{r.uniform(-5.0, 42.0):.0f} degC"',
            "[supply]",
            f'pressure = "{r.uniform(2.0, 6.0):.1f} bar"',
            f'flow = "{drawn * 1.5:.0f} L/min"',
            f'temperature = "{temperature}"',
        ]
        if self.chance(0.3):
            length = r.uniform(5.0, 40.0)
            most = drawn * (6.0 if self.returns == "ground" else 1.0)  # what is spilt to the ground is drawn too
            bore = max(12.0, self.bore_for(most, length, r.uniform(0.1, 0.7)))
            lines += ["[supply.hose]", f'bore = "{bore:.0f} mm"', f'length = "{length:.0f} m"']
        return lines

    def unit(self, drawn: float, pressure: float) -> list[str]:
        r = self.r
        direct = self.chance(0.35)
        bypass = r.choice(("hand-set", "hand-set", "hand-set", "regulating", "regulating", "unloader"))
        top = r.uniform(300.0, 650.0)
        curve = [1200.0, 1500.0, 1800.0, 2100.0] if self.chance(0.6) else [1000.0, 2000.0]
        ratio = curve[-1] / top
        start = curve[0] / ratio if direct else top * r.uniform(0.15, 0.35)
        first = start / top
        if bypass == "hand-set" and self.chance(0.4):  # less is asked for than the start speed gives
            share = r.uniform(0.4 * first, first)
        else:
            share = r.uniform(first * (1.05 if bypass == "unloader" else 0.8), 1.06)
        slip, clearance = r.uniform(0.01, 0.05), r.uniform(0.7, 1.6)

        def delivered(p: float) -> float:
            return 1.0 - slip - clearance * p / (21500.0 + 3.0 * p)

        swept = drawn / (share * top * delivered(pressure))  # L in a turn
        lines = ["[unit]", 'name = "the unit"', 'shows = ["pump speed", "engine speed"]', "[unit.drive]"]
        if direct:
            lines += ['kind = "direct"', f"ratio = {ratio:.4f}"]
        else:
            lines += ['kind = "hydrostatic"', f"top_ratio = {top / curve[-1] * r.uniform(1.0, 1.4):.4f}"]
        if self.chance(0.5):
            lines.append(f"efficiency = {r.uniform(0.75, 0.95):.2f}")
        lines += [
            "[unit.pump]",
            f'top_speed = "{top:.1f} rpm"',
            f"rating = {self.bar(pressure * r.uniform(1.05, 1.3))}",
        ]
        if not direct:
            lines.append(f'start_speed = "{start:.1f} rpm"')
        if self.chance(0.5):
            lines.append(f"efficiency = {r.uniform(0.85, 0.95):.2f}")
        by = r.choice(("geometry", "geometry", "kit", "plate", "one reading", "two readings"))
        if by in ("geometry", "kit", "plate") and self.chance(0.6):
            lines += [f"slip = {slip:.3f}", f"clearance = {clearance:.2f}"]
        if by == "plate":
            lines.append(f'flow_per_turn = "{swept * delivered(pressure):.5f} L"')
        else:
            plungers, stroke = r.choice((3, 3, 5)), r.uniform(60.0, 130.0)
            diameter = 1e3 * math.sqrt(swept * 1e-3 / (plungers * stroke * 1e-3) * 4.0 / math.pi)
            lines += [f"plungers = {plungers}", f'stroke = "{stroke:.1f} mm"']
            lines.append('kit = "K"' if by == "kit" else f'plunger_diameter = "{diameter:.2f} mm"')
        if by.endswith("readings") or by == "one reading":
            readings, points_at = [], [pressure * r.uniform(0.3, 0.6), pressure * r.uniform(0.8, 1.0)]
            for p in points_at[: 1 if by == "one reading" else 2]:
                n = top * r.uniform(0.4, 0.9)
                flow = swept * n * delivered(p)
                readings.append(f'{{ speed = "{n:.1f} rpm", pressure = "{p:.1f} bar", flow = "{flow:.3f} L/min" }}')
            lines.append(f"measured = [{', '.join(readings)}]")
        if by == "kit":
            lines += [
                "[unit.kits.K]",
                f'plunger_diameter = "{diameter:.2f} mm"',
                f'rating = "{pressure * 1.2:.0f} bar"',
            ]
        if direct or self.chance(0.85):
            full = drawn / max(share, first) * pressure / 600.0 / 0.7 * r.uniform(0.8, 2.0)
            powers = [full * (0.35 + 0.65 * n / curve[-1]) * r.uniform(0.95, 1.05) for n in curve]
            points = [f'["{n:.0f} rpm", "{kw:.1f} kW"]' for n, kw in zip(curve, powers, strict=True)]
            lines += ["[unit.engine]", f"power = [{', '.join(points)}]"]
            lines += [f'auxiliary = "{r.uniform(0.0, 12.0):.1f} kW"', 'fuel_rate = "210 g/kWh"']
        return lines + self.bypass(bypass, swept * start * delivered(pressure), pressure, swept * top)

    def bypass(self, kind: str, at_start: float, pressure: float, at_top: float) -> list[str]:
        r = self.r
        lines = ["[unit.bypass]", f'kind = "{kind}"', f'returns_to = "{self.returns}"']
        if kind == "hand-set":
            whole = at_start / 6e4 / (0.7 * math.sqrt(2.0 * pressure * 1e5 / 1000.0)) * 1e6
            lines.append(f'full_open_area = "{whole * self.log(0.15, 10.0):.3f} mm2"')
        elif kind == "regulating":
            lines.append(f'full_flow = "{self.flow(at_top)}"')
            if self.chance(0.7):
                lines += [f"accumulation = {r.uniform(0.02, 0.15):.3f}", f"spill = {r.uniform(0.02, 0.12):.3f}"]
        else:
            lines += [
                f"set = {self.bar(pressure * 1.08)}",
                'idle_pressure = "20 bar"',
                f"reset = {self.bar(pressure * 0.9)}",
            ]
        return [
            *lines,
            "[[unit.relief]]",
            f"set = {self.bar(pressure * 1.35)}",
            "[unit.gauge]",
            'full_scale = "6000 bar"',
            "class = 1.0",
            "[unit.tank]",
            'volume = "800 L"',
        ]

    def rows(self) -> list[str]:
        lines: list[str] = []
        for name in self.hoses:
            self.hoses[name]["count"] = str(self.used[name])
        for table, rows in (
            ("hoses", self.hoses),
            ("fittings", self.fittings),
            ("tips", self.tips),
            ("tools", self.tools),
        ):
            for name, row in rows.items():
                lines.append(f'[{table}."{name}"]')
                lines += [f"{key} = {value}" for key, value in row.items()]
        return lines
