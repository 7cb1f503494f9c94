"""The pressure profile: along x the way of the water, along y its pressure, ratings as ceilings over each part.

One text serves a web page, a PDF and a PNG: presentation attributes only, no style sheet, no script, all text is text.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from itertools import groupby
from types import MappingProxyType
from typing import Literal

from jetwright import units
from jetwright.parts.relief import lowest_opening
from jetwright.plan.answer import RunItem, TaskPlan, ToolState
from jetwright.report.figures import as_written, figure, number, printed, rated
from jetwright.report.gauge import gauge_figure
from jetwright.report.wording import _
from jetwright.rig.description import Job

FAMILY = "Atkinson Hyperlegible Next"
"""The family packaged in `report/fonts`."""

_LIGHT = {
    "paper": "#ffffff", "ink": "#14202b", "quiet": "#55606b", "faint": "#dfe3e6", "water": "#0b4f71",
    "relief": "#882255", "branch1": "#0b4f71", "branch2": "#117733", "branch3": "#aa4499", "branch4": "#7a6a10",
}  # fmt: skip
_DARK = {
    "paper": "#10181f", "ink": "#f2f5f7", "quiet": "#aeb8c1", "faint": "#33404b", "water": "#7cc4ea",
    "relief": "#ee99bb", "branch1": "#7cc4ea", "branch2": "#9bd48a", "branch3": "#e0a6dd", "branch4": "#ddcc77",
}  # fmt: skip
THEMES: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "light": _LIGHT,
        "dark": _DARK,
        "page": {name: f"var(--profile-{name}, {colour})" for name, colour in _LIGHT.items()},
    }
)
"""Colours by their use; branches after P. Tol's colour-blind-safe schemes. "page" takes a page's own variables."""

DASHES = ("", "8 3", "2 3", "9 3 2 3", "14 4", "5 2 1 2", "1 4", "12 3 2 3 2 3")
"""One style of line for each branch, so that colour never speaks alone."""
NARROW = 40.0
"""A picture of fewer letters than this across is a phone's: the parts are numbered, and named in rows below. [-]"""
HEADROOM = 2.4
"""A rating above so many times the highest pressure is drawn at the top edge, and its figure says what it is. [-]"""
CLEAR = 2.5
"""So far from the middle of a line a label stays, where there is room. [px]"""


@dataclass(slots=True)
class _Part:
    """A stretch of the way: what is written under it, the lines through it and the rating over it [Pa]."""

    kind: Literal["supply", "pump", "run", "branches", "tool", "jet"]
    name: str
    detail: str
    stretch: float
    rating: float | None = None
    rated: str = ""
    left: float = 0.0
    right: float = 0.0


@dataclass(slots=True)
class _Line:
    """One line of water: (x, pressure) along it."""

    branch: int
    points: list[tuple[float, float]] = field(default_factory=list)


_Spot = tuple[float, float, Literal["start", "middle", "end"]]
_Box = tuple[float, float, float, float]


class _Labels:
    """Puts labels where neither a line nor another label is; what finds no place and need not be read is left out."""

    def __init__(self, left: float, top: float, right: float, bottom: float) -> None:
        self.edges = (left, top, right, bottom)
        self.boxes: list[_Box] = []
        self.lines: list[_Box] = []

    def keep_off(self, points: Sequence[tuple[float, float]]) -> None:
        """Remember a line."""
        self.lines += [(*one, *other) for one, other in zip(points, points[1:], strict=False)]

    def place(self, text: str, size: float, bold: bool, spots: Iterable[_Spot], needed: bool = False) -> _Spot | None:
        """The first spot where the text is free; the least bad one where it is needed."""
        wide, best, least = _width(text, size, bold), None, math.inf
        for x, y, anchor in spots:
            shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
            box = (x - shift * wide, y - 0.76 * size, x + (1.0 - shift) * wide, y + 0.24 * size)
            cost = self._cost(box)
            if cost < least:
                best, least = ((x, y, anchor), box), cost
            if cost == 0.0:
                break
        if best is None or (least > 0.0 and not needed):
            return None
        self.boxes.append(best[1])
        return best[0]

    def _cost(self, box: _Box) -> float:
        left, top, right, bottom = self.edges
        outside = max(0.0, left - box[0], top - box[1], box[2] - right, box[3] - bottom)
        over = sum(b[0] < box[2] + 2 and box[0] < b[2] + 2 and b[1] < box[3] and box[1] < b[3] for b in self.boxes)
        wider = (box[0] - CLEAR, box[1] - CLEAR, box[2] + CLEAR, box[3] + CLEAR)
        return 1e6 * outside + 1e3 * over + sum(_within(wider, line) for line in self.lines)


def profile_svg(
    task: TaskPlan,
    job: Job,
    system: str = "si",
    width: float = 720.0,
    height: float = 0.0,
    theme: str = "light",
    text: float = 12.0,
) -> str:
    """The pressure profile of a task as SVG text. [-]

    Parameters
    ----------
    task : TaskPlan
        The answer. [-]
    job : Job
        What was asked: ratings, lengths, what the bypass returns to. [-]
    system : str
        "si" or "us". [-]
    width : float
        Of the picture in pixels; one of fewer than 40 letters is drawn for a phone. [-]
    height : float
        Of the picture in pixels; 0: as fits the width. [-]
    theme : str
        "light", "dark", or "page": the page's own variables --profile-ink, --profile-water and so on. [-]
    text : float
        Height of the letters in pixels. [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> from jetwright.rig.example import JOB
    >>> shut = Setting(3.0, None, 900e5, 5e-4, "closed", 0.0, 0.0)
    >>> point = ProvingPoint(2.0, 0.0, 4e7)
    >>> svg = profile_svg(TaskPlan("Wall", "within", shut, point, (), (), None, None, (), ()), JOB)
    >>> svg[:4], "900 bar" in svg
    ('<svg', True)

    References
    ----------
    Our own picture; SVG 1.1, W3C (2011). Colours: P. Tol, colour schemes.
    """
    return _Profile(task, job, system, width, height, theme, text).svg()


class _Profile:
    """One picture being drawn."""

    def __init__(
        self, task: TaskPlan, job: Job, system: str, width: float, height: float, theme: str, size: float
    ) -> None:
        self.task, self.job, self.system = task, job, system
        self.width, self.size, self.small = width, size, 0.88 * size
        self.colours, self.plain = THEMES[theme], theme != "page"
        self.narrow = width / size < NARROW
        self.several = len(task.tools) > 1
        self.pump = self._pump_pressure()
        self.opening = min((lowest_opening(r.kind, r.set, r.tolerance) for r in job.unit.relief), default=None)
        self.discs = bool(job.unit.relief) and all(r.kind == "disc" for r in job.unit.relief)
        self.parts = self._parts()
        self.foot = (2.0 + 1.45 * len(self.parts) if self.narrow else 3.1) * size
        self.height = height or self.foot + max(12.0 * size, min(23.0 * size, 0.38 * width))
        self.out: list[str] = []

    # ---- facts

    def _pump_pressure(self) -> float:
        if self.task.setting.pump_pressure is not None:
            return self.task.setting.pump_pressure
        if self.task.hose_run:
            return self.task.hose_run[0].inlet
        return max((tool.inlet for tool in self.task.tools), default=0.0)

    def _rating(self, item: str) -> float | None:
        piece = self.job.hoses.get(item) or self.job.fittings.get(item)
        return None if piece is None else piece.rating

    def _long(self, item: str) -> float:
        hose = self.job.hoses.get(item)
        return 0.0 if hose is None else hose.length

    def _run(self, branch: int) -> list[RunItem]:
        return [item for item in self.task.hose_run if item.branch == branch]

    # ---- the parts along x

    def _parts(self) -> list[_Part]:
        unit, setting = self.job.unit, self.task.setting
        speed = "" if setting.pump_speed is None else figure(setting.pump_speed, "rpm")
        kits = [kit.rating for name, kit in unit.kits.items() if name == unit.pump.kit]
        rating = min([unit.pump.rating, *kits])
        parts = [
            _Part("supply", _("Supply"), figure(self.job.supply.pressure, "bar", self.system), 0.5),
            _Part("pump", _("Pump"), speed, 0.7, rating, _("pump")),
        ]
        main = self._run(0)
        if self.narrow and len({item.item for item in main}) > 1:
            parts.append(self._merged(main))
        else:
            parts += [self._group(list(items)) for _name, items in groupby(main, key=lambda item: item.item)]
        if self.several and any(item.branch for item in self.task.hose_run):
            own = [item for item in self.task.hose_run if item.branch]
            part = self._merged(own)
            parts.append(_Part("branches", _("Branches"), part.detail, part.stretch, part.rating, part.rated))
        parts.append(self._tool())
        fastest = max((jet.speed for tool in self.task.tools for jet in tool.jets), default=0.0)
        parts.append(_Part("jet", _("Jet"), figure(fastest, "m/s", self.system) if fastest else "", 0.6))
        return parts

    def _group(self, items: list[RunItem]) -> _Part:
        name, count = items[0].item, len(items)
        hose = self.job.hoses.get(name)
        detail = self._lost(items[0].inlet - items[-1].outlet)
        if hose is not None:
            size = f"{self._long_of(count * hose.length)} × {self._long_of(hose.bore)}"
            detail = f"{size} · {detail}"
        shown = f"{count} × {name}" if count > 1 else name
        return _Part(
            "run", shown, detail, 0.4 + sum(self._long(item.item) for item in items) / 25.0, self._rating(name),
            name,
        )  # fmt: skip

    def _merged(self, items: list[RunItem]) -> _Part:
        rated = [(rating, item.item) for item in items if (rating := self._rating(item.item)) is not None]
        weakest = min(rated, default=None)
        metres = sum(self._long(item.item) for item in items)
        detail = self._long_of(metres) if metres else ""
        if not any(item.branch for item in items):
            lost = self._lost(items[0].inlet - items[-1].outlet)
            detail = f"{detail} · {lost}" if detail else lost
        return _Part(
            "run", _("Hose run"), detail, 0.6 + metres / 25.0, None if weakest is None else weakest[0],
            "" if weakest is None else weakest[1],
        )  # fmt: skip

    def _long_of(self, length: float) -> str:
        return as_written(length, "length", self.system)

    def _lost(self, pressure: float) -> str:
        return _("{pressure} lost").format(pressure=figure(max(0.0, pressure), "bar", self.system))

    def _tool(self) -> _Part:
        names = list(dict.fromkeys(tool.tool for tool in self.task.tools))
        rated = [
            (rating, name)
            for name in names
            if name in self.job.tools and (rating := self.job.tools[name].rating) is not None
        ]
        weakest = min(rated, default=None)
        shown = ", ".join(
            f"{n} × {name}" if (n := sum(t.tool == name for t in self.task.tools)) > 1 else name for name in names
        )
        detail = self._lost(max(tool.inlet - tool.nozzle for tool in self.task.tools)) if names else ""
        return _Part(
            "tool", shown or _("Tool"), detail, 0.8, None if weakest is None else weakest[0],
            "" if weakest is None else weakest[1],
        )  # fmt: skip

    def _lay_out(self, parts: list[_Part], left: float, right: float) -> None:
        """Give each part its stretch of x: what its words need, cut alike where it is too much, the rest by length."""
        room = right - left
        names, needs = [], []
        for part in parts:
            name = 3.0 * self.size if self.narrow else _width(part.name, self.size, True) + 0.6 * self.size
            detail = 0.0 if self.narrow else _width(part.detail, self.small, False) + 0.8 * self.size
            names.append(max(1.6 * self.size, min(name, 0.4 * room)))
            needs.append(max(names[-1], min(detail, 0.4 * room)))
        least = names if sum(names) < room else [0.0] * len(names)
        most = needs if sum(names) < room else names
        widths = _shared(least, most, room)
        spare, stretch = max(0.0, room - sum(widths)), sum(part.stretch for part in parts)
        at = left
        for part, wide in zip(parts, widths, strict=True):
            part.left = at
            at += wide + spare * part.stretch / stretch
            part.right = at

    def _lines(self, parts: list[_Part]) -> list[_Line]:
        """Every line of water: to the manifold, and from there to each jet."""
        by_kind = {part.kind: part for part in parts}
        supply, pump, tool, jet = (by_kind[kind] for kind in ("supply", "pump", "tool", "jet"))
        wide = pump.right - pump.left
        come = self.job.supply.pressure
        trunk = [(supply.left, come), (pump.left + 0.2 * wide, come)]
        trunk += [(pump.left + 0.6 * wide, self.pump), (pump.right, self.pump)]
        trunk += self._along([part for part in parts if part.kind == "run"], self._run(0))
        lines = [_Line(0, trunk)]
        for state in self.task.tools:
            line = _Line(state.branch, [trunk[-1]])
            if "branches" in by_kind:
                line.points += self._along([by_kind["branches"]], self._run(state.branch))
            line.points += self._to_jet(state, tool, jet)
            lines.append(line)
        if not self.several:
            return [_Line(0, lines[0].points + [point for line in lines[1:] for point in line.points[1:]])]
        return lines

    def _along(self, parts: list[_Part], items: list[RunItem]) -> list[tuple[float, float]]:
        if not parts:
            return []
        points: list[tuple[float, float]] = []
        groups = [list(group) for _name, group in groupby(items, key=lambda item: item.item)]
        if len(parts) == 1:
            groups = [items]
        for part, group in zip(parts, groups, strict=False):
            lengths = [max(1.0, self._long(item.item)) for item in group]
            at = part.left
            for item, length in zip(group, lengths, strict=True):
                points.append((at, item.inlet))
                at += (part.right - part.left) * length / sum(lengths)
                points.append((at, item.outlet))
        return points

    def _to_jet(self, state: ToolState, tool: _Part, jet: _Part) -> list[tuple[float, float]]:
        falls = jet.left + 0.35 * (jet.right - jet.left)
        return [(tool.left, state.inlet), (tool.right, state.nozzle), (falls, 0.0), (jet.right, 0.0)]

    # ---- drawing

    def svg(self) -> str:
        """The whole picture."""
        parts = self.parts
        shown = [part.rating for part in parts if part.rating is not None]
        highest = max([self.pump, self.job.supply.pressure] + [t.inlet for t in self.task.tools])
        top_of = max([highest, *([self.opening] if self.opening is not None else [])])
        ceiling = max([top_of, *(rating for rating in shown if rating <= HEADROOM * top_of)]) * 1.06 or 1e5
        ticks = self._ticks(ceiling)
        left = max(_width(tick, self.small, False) for _p, tick in ticks) + 0.8 * self.size
        top, bottom = 1.9 * self.size, self.height - self.foot
        self._lay_out(parts, left, self.width - 2.0)

        def y(pressure: float) -> float:
            return bottom - (bottom - top) * min(pressure, ceiling) / ceiling

        labels = _Labels(left, top - 0.9 * self.size, self.width - 1.0, bottom)
        self._frame(parts, ticks, left, top, bottom, y)
        lines = self._lines(parts)
        drawn = [[(px, y(pressure)) for px, pressure in line.points] for line in lines]
        for points in drawn:
            labels.keep_off(points)
        ceilings = [(part, y(part.rating)) for part in parts if part.rating is not None]
        for part, at in ceilings:
            labels.keep_off([(part.left + 2, at), (part.right - 2, at)])
        pump, tool = (next(part for part in parts if part.kind == kind) for kind in ("pump", "tool"))
        opens = None if self.opening is None else y(self.opening)
        if opens is not None:
            labels.keep_off([(pump.left, opens), (tool.right, opens)])
        falls = self._bypass_points(pump, y)
        labels.keep_off(falls)
        self._draw_lines(lines, drawn, ceilings, opens, falls, pump, tool, ceiling)
        self._figures(lines, drawn, pump, tool, labels, y)
        if opens is not None:
            self._relief_label(labels, pump, tool, opens)
        if falls:
            self._bypass_label(labels, falls)
        for part, at in ceilings if not self.narrow else ():
            self._ceiling_label(labels, part, at)
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(self.width)}" height="{_n(self.height)}" '
            f'viewBox="0 0 {_n(self.width)} {_n(self.height)}" role="img" font-family="{FAMILY}, sans-serif" '
            f'font-size="{_n(self.size)}">'
        )
        title = _("Pressure along the rig: {task}").format(task=self.task.name)
        back = f'<rect width="100%" height="100%" fill="{self.colours["paper"]}"/>' if self.plain else ""
        words = [f"<title>{_safe(title)}</title>", f"<desc>{_safe(self._told())}</desc>"]
        return "\n".join([head, *words, *filter(None, [back]), *self.out, "</svg>"])

    def _frame(
        self,
        parts: list[_Part],
        ticks: list[tuple[float, str]],
        left: float,
        top: float,
        bottom: float,
        y: Callable[[float], float],
    ) -> None:
        self._write(
            left - 0.5 * self.size, top - 0.9 * self.size, printed("bar", self.system), self.small, "quiet", "end"
        )
        for pressure, tick in ticks:
            at = y(pressure)
            self._stroke([(left, at), (self.width - 2.0, at)], "quiet" if pressure == 0.0 else "faint", 1.0)
            self._write(left - 0.5 * self.size, at + 0.26 * self.size, tick, self.small, "quiet", "end")
        for part in parts[1:]:
            self._stroke([(part.left, top), (part.left, bottom + 0.4 * self.size)], "faint", 1.0)
        if self.narrow:
            self._rows(parts, bottom)
            return
        for part in parts:
            middle, room = 0.5 * (part.left + part.right), part.right - part.left - 0.4 * self.size
            name = _cut(part.name, room, self.size, True)
            detail = self._detail(part.detail, room)
            if name:
                self._write(middle, bottom + 1.35 * self.size, name, self.size, "ink", "middle", bold=True)
            if detail:
                self._write(middle, bottom + 2.5 * self.size, detail, self.small, "quiet", "middle")

    def _detail(self, detail: str, room: float) -> str:
        """As many of a part's facts as fit, none of them cut: half a figure is another figure."""
        facts = detail.split(" · ")
        tries = [" · ".join(facts[:count]) for count in range(len(facts), 0, -1)] + [detail.split(" × ")[0]]
        return next((shown for shown in tries if _width(shown, self.small, False) <= room), "")

    def _rows(self, parts: list[_Part], bottom: float) -> None:
        """A phone's rows: the parts by number."""
        for place, part in enumerate(parts, 1):
            at = bottom + (1.6 + 1.45 * place) * self.size
            self._write(
                0.5 * (part.left + part.right),
                bottom + 1.3 * self.size,
                str(place),
                self.size,
                "ink",
                "middle",
                bold=True,
            )
            self._write(self.size, at, str(place), self.size, "ink", "end", bold=True)
            room = self.width - 1.8 * self.size
            detail = part.detail
            if part.rating is not None:
                marked = rated(part.rating, self.system)
                if part.rated not in part.name and part.kind != "pump":
                    marked = f"{part.rated} {marked}"
                detail = " · ".join(filter(None, [_("rated {pressure}").format(pressure=marked), detail]))
            name = _cut(part.name, 0.45 * room, self.size, True)
            self._write(1.6 * self.size, at, name, self.size, "ink", "start", bold=True)
            left = room - _width(name, self.size, True) - 0.8 * self.size
            detail = _cut(detail, left, self.small, False)
            if detail:
                self._write(self.width - 2.0, at, detail, self.small, "quiet", "end")

    def _draw_lines(
        self,
        lines: list[_Line],
        drawn: list[list[tuple[float, float]]],
        ceilings: list[tuple[_Part, float]],
        opens: float | None,
        falls: list[tuple[float, float]],
        pump: _Part,
        tool: _Part,
        ceiling: float,
    ) -> None:
        for part, at in ceilings:
            self._stroke([(part.left + 2, at), (part.right - 2, at)], "ink", 0.2 * self.size)
            if part.rating is not None and part.rating > ceiling:
                self._above(0.5 * (part.left + part.right), at)
        if opens is not None:
            self._stroke([(pump.left, opens), (tool.right, opens)], "relief", 0.13 * self.size, "7 4")
        if falls:
            self._stroke(falls, "water", 0.17 * self.size, "1.5 4")
        for line, points in zip(reversed(lines), reversed(drawn), strict=True):
            style = DASHES[(line.branch - 1) % len(DASHES)] if line.branch else ""
            colour = f"branch{1 + (line.branch - 1) % 4}" if line.branch else "water"
            self._stroke(points, colour, 0.24 * self.size, style)

    def _above(self, x: float, y: float) -> None:
        half = 0.35 * self.size
        self.out.append(
            f'<path d="M{_n(x - half)} {_n(y)}L{_n(x)} {_n(y - 1.4 * half)}L{_n(x + half)} {_n(y)}Z" '
            f'fill="{self.colours["ink"]}"/>'
        )

    def _bypass_points(self, pump: _Part, y: Callable[[float], float]) -> list[tuple[float, float]]:
        if self.task.setting.bypass_flow <= 0.0 or not self.pump:
            return []
        start = pump.left + 0.86 * (pump.right - pump.left)
        return [(start, y(self.pump)), (start + 0.9 * self.size, y(0.0))]

    def _figures(
        self,
        lines: list[_Line],
        drawn: list[list[tuple[float, float]]],
        pump: _Part,
        tool: _Part,
        labels: _Labels,
        y: Callable[[float], float],
    ) -> None:
        """What the gauge shows, and what stands at each tool's inlet and behind its tips."""
        self._figure((pump.right, y(self.pump)), gauge_figure(self.pump, self.job.unit.gauge, self.system), labels)
        if not self.several:
            for state in self.task.tools:
                self._figure((tool.right, y(state.nozzle)), figure(state.nozzle, "bar", self.system), labels)
                if self.task.hose_run:
                    inlet = figure(state.inlet, "bar", self.system)
                    self._figure((tool.left, y(state.inlet)), inlet, labels, needed=not self.narrow)
            return
        for at, pressures in ((tool.right, "nozzle"), (tool.left, "inlet")):
            same: dict[str, list[ToolState]] = {}
            for state in self.task.tools:
                same.setdefault(figure(getattr(state, pressures), "bar", self.system), []).append(state)
            for shown, states in same.items():
                spot = (at, y(getattr(states[0], pressures)))
                shown = f"{_runs([s.branch for s in states])}: {shown}"
                self._figure(spot, shown, labels, needed=pressures == "nozzle")

    def _figure(self, spot: tuple[float, float], shown: str, labels: _Labels, needed: bool = True) -> None:
        x, y = spot
        gap, line = 0.55 * self.size, 1.05 * self.size
        spots: list[_Spot] = [(x + gap, y + line + down, "start") for down in (0.1 * self.size, line, 2 * line)]
        spots[1:1] = [(x - gap, y + 1.15 * line, "end"), (x + gap, y - gap, "start"), (x - gap, y - gap, "end")]
        spots += [(x, y - gap, "middle"), (x - gap, y + 2 * line, "end"), (x - gap, y + 3 * line, "end")]
        for away in range(4, 18):  # half lines, down and up
            for height in (y + 0.5 * away * line, y - (0.5 * away - 1.0) * line):
                spots += [(x + gap, height, "start"), (x - gap, height, "end")]
        self.out.append(
            f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(0.3 * self.size)}" fill="{self.colours["paper"]}" '
            f'stroke="{self.colours["water"]}" stroke-width="{_n(0.16 * self.size)}"/>'
        )
        placed = labels.place(shown, self.size, True, spots if needed else spots[:6], needed)
        if placed:
            self._write(placed[0], placed[1], shown, self.size, "ink", placed[2], bold=True)

    def _relief_label(self, labels: _Labels, pump: _Part, tool: _Part, at: float) -> None:
        """Nearest to its own line: whole, or else in short."""
        words, short = _("relief opens at {pressure}"), _("relief {pressure}")
        if self.discs:
            words, short = _("disc may burst from {pressure}"), _("disc {pressure}")
        pressure, wide = figure(self.opening or 0.0, "bar", self.system), tool.right - pump.left
        across: list[tuple[float, Literal["middle", "end"]]] = [
            (pump.left + share * wide, "middle") for share in (0.55, 0.4, 0.7, 0.25, 0.85, 0.1)
        ]
        across.insert(0 if self.narrow else len(across), (self.width - 2.0, "end"))
        spots: list[_Spot] = []
        for away in range(24):  # half lines, up and down
            for height in (at - (1.0 + away) * 0.5 * self.size, at + (2.1 + away) * 0.5 * self.size):
                spots += [(x, height, anchor) for x, anchor in across]
        near = spots[: 8 * 2 * len(across)]
        if not self._put(labels, words.format(pressure=pressure), near, "relief"):
            self._put(labels, short.format(pressure=pressure), spots, "relief", needed=True)

    def _bypass_label(self, labels: _Labels, falls: list[tuple[float, float]]) -> None:
        flow = figure(self.task.setting.bypass_flow, "L/min", self.system)
        words = {
            "tank": _("bypass to the tank, {flow}"),
            "suction": _("bypass to the suction, {flow}"),
            "ground": _("bypass to the ground, {flow}"),
        }[self.job.unit.bypass.returns_to]
        (x0, y0), (x1, y1) = falls
        spots: list[_Spot] = []
        for share in (0.82, 0.7, 0.58, 0.46, 0.34, 0.22):
            x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
            spots += [(x + 0.5 * self.size, y, "start")]
        for shown in (words.format(flow=flow), flow):
            if self._put(labels, shown, spots, "water"):
                return

    def _ceiling_label(self, labels: _Labels, part: _Part, at: float) -> None:
        assert part.rating is not None
        bare = rated(part.rating, self.system)
        full = f"{part.rated} {bare}"
        short = number(part.rating, "bar", self.system, up=False)
        up, down = at - 0.5 * self.size, at + 1.05 * self.size
        spots: list[_Spot] = []
        for height in (up, down):
            spots += [
                (0.5 * (part.left + part.right), height, "middle"),
                (part.left + 3, height, "start"),
                (part.right - 3, height, "end"),
            ]
        for shown in (full, bare, short):
            fits = _width(shown, self.small, False) <= part.right - part.left + 0.4 * self.size
            if fits and self._put(labels, shown, spots, "ink"):
                return

    def _put(self, labels: _Labels, shown: str, spots: list[_Spot], colour: str, needed: bool = False) -> bool:
        placed = labels.place(shown, self.small, False, spots, needed)
        if placed:
            self._write(placed[0], placed[1], shown, self.small, colour, placed[2])
        return placed is not None

    def _ticks(self, ceiling: float) -> list[tuple[float, str]]:
        unit = units.shown("bar", self.system)
        top = units.to(ceiling, unit)
        aim = top / max(2.0, min(6.0, (self.height - 5.0 * self.size) / (2.6 * self.size)))
        decade = 10.0 ** math.floor(math.log10(aim))
        step = next(part * decade for part in (1.0, 2.0, 2.5, 5.0, 10.0) if part * decade >= aim * (1.0 - 1e-9))
        places = 1 if step < 1.0 or step == 2.5 else 0
        return [(units.of(k * step, unit), f"{k * step:.{places}f}") for k in range(int(top / step) + 1)]

    def _stroke(self, points: Sequence[tuple[float, float]], colour: str, thick: float, dash: str = "") -> None:
        path = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points)
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.out.append(
            f'<path d="{path}" fill="none" stroke="{self.colours[colour]}" stroke-width="{_n(thick)}"'
            f' stroke-linejoin="round"{dashed}/>'
        )

    def _write(self, x: float, y: float, shown: str, size: float, colour: str, anchor: str, bold: bool = False) -> None:
        weight = ' font-weight="700"' if bold else ""
        self.out.append(
            f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(size)}" text-anchor="{anchor}"{weight} '
            f'fill="{self.colours[colour]}">{_safe(shown)}</text>'
        )

    def _told(self) -> str:
        """The picture in words, for who cannot see it."""
        system = self.system
        said = [
            _("Supply {pressure}").format(pressure=figure(self.job.supply.pressure, "bar", system)),
            _("pump {pressure}").format(pressure=gauge_figure(self.pump, self.job.unit.gauge, system)),
        ]
        for item in self.task.hose_run:
            rating = self._rating(item.item)
            words = _("{item}: {inlet} in, {outlet} out")
            if rating is not None:
                words = _("{item}: {inlet} in, {outlet} out, rated {rating}")
            said.append(
                words.format(
                    item=f"{item.branch}, {item.item}" if item.branch else item.item,
                    inlet=figure(item.inlet, "bar", system),
                    outlet=figure(item.outlet, "bar", system),
                    rating="" if rating is None else rated(rating, system),
                )
            )
        for tool in self.task.tools:
            said.append(
                _("{tool}: {inlet} at the inlet, {nozzle} at the tip").format(
                    tool=f"{tool.branch}, {tool.tool}" if self.several else tool.tool,
                    inlet=figure(tool.inlet, "bar", system),
                    nozzle=figure(tool.nozzle, "bar", system),
                )
            )
        if self.opening is not None:
            said.append(_("relief opens at {pressure}").format(pressure=figure(self.opening, "bar", system)))
        if self.task.setting.bypass_flow > 0.0:
            flow = figure(self.task.setting.bypass_flow, "L/min", system)
            said.append(_("over the bypass {flow}").format(flow=flow))
        return "; ".join(said) + "."


def _shared(least: list[float], most: list[float], room: float) -> list[float]:
    """Widths between the least and the most of each, cut alike so that they fit the room."""
    if sum(most) <= room:
        return most
    low, high = 0.0, max(most)
    for _step in range(40):
        cap = 0.5 * (low + high)
        fits = sum(max(few, min(many, cap)) for few, many in zip(least, most, strict=True)) < room
        low, high = (cap, high) if fits else (low, cap)
    return [max(few, min(many, low)) for few, many in zip(least, most, strict=True)]


def _within(box: _Box, line: _Box) -> float:
    """How much of a straight line lies within a box. [px]"""
    x0, y0, x1, y1 = line
    first, last = 0.0, 1.0
    for start, way, low, high in ((x0, x1 - x0, box[0], box[2]), (y0, y1 - y0, box[1], box[3])):
        if way == 0.0:
            if not low < start < high:
                return 0.0
            continue
        ends = sorted(((low - start) / way, (high - start) / way))
        first, last = max(first, ends[0]), min(last, ends[1])
    return max(0.0, last - first) * math.hypot(x1 - x0, y1 - y0)


def _runs(numbers: list[int]) -> str:
    """Numbers as a person lists them: 1 to 3 and 5 are "1–3, 5"."""
    runs: list[list[int]] = []
    for each in numbers:
        if runs and each == runs[-1][-1] + 1:
            runs[-1].append(each)
        else:
            runs.append([each])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)


_THIN, _BROAD = frozenset("iljtfrI.,:;'’|!()[]· "), frozenset("mwMWQO%@—…")


def _width(text: str, size: float, bold: bool) -> float:
    """How wide a text is at most, near enough to keep labels apart."""
    ems = 0.0
    for letter in text:
        if letter in _THIN:
            ems += 0.36
        elif letter in _BROAD:
            ems += 0.92
        elif letter.isupper():
            ems += 0.70
        else:
            ems += 0.62 if letter.isascii() else 0.75
    return ems * size * (1.05 if bold else 1.0)


def _cut(text: str, room: float, size: float, bold: bool) -> str:
    """A text that fits the room: whole, cut at its separators, or with an ellipsis; "" where nothing would be left."""
    while _width(text, size, bold) > room and " · " in text:
        text = text.rsplit(" · ", 1)[0]
    if _width(text, size, bold) <= room:
        return text
    kept = text
    while kept and _width(kept + "…", size, bold) > room:
        kept = kept[:-1]
    kept = kept.rstrip(" ·,×")
    return kept + "…" if len(kept) > 1 else ""


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _safe(text: str) -> str:
    """A text as XML holds it: escaped, without the characters that XML has not."""
    kept = "".join(
        c for c in text if c in "\t\n" or 32 <= ord(c) < 0xD800 or 0xDFFF < ord(c) < 0xFFFE or ord(c) > 0xFFFF
    )
    return escape(kept, quote=True)
