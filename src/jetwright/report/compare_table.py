"""Two ways side by side for a terminal or a printer: what each is, what the other has more, the limits that differ."""

import math
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from rich.console import Group, JustifyMethod, RenderableType
from rich.table import Table
from rich.text import Text

from jetwright import units
from jetwright.limits.limit import EDGE, WORST_LAST, Limit, Verdict
from jetwright.plan.compare import QUANTITIES, Comparison, LimitPair, Way
from jetwright.report.figures import number, printed, unit_for
from jetwright.report.gauge import gauge_number
from jetwright.report.limits import limit_figures, limit_name, limit_title
from jetwright.report.plan_table import foot, head
from jetwright.report.terminal import GLUE, SHAPE, STYLE, glued, listing, page, section, verdict
from jetwright.report.usage import CUBIC_METRE, lacking_words, missing_of
from jetwright.report.wording import _, holder_words, verdict_words
from jetwright.rig.description import Job, Unit

HOUR = 3600.0
FIGURES: dict[str, str] = {
    "pressure": "bar",
    "speed": "rpm",
    "flow": "L/min",
    "power": "kW",
    "force": "N",
    "mass": "kg",
}
"""The unit of a quantity here, in SI."""
RATES = ("water_rate", "waste_rate", "fuel_rate", "def_rate", "co2_rate")
"""Said for an hour."""
INSET = "  "
"""Ahead of a line under its title."""
COSTS = ("cost", "area_cost", "length_cost")
Judged = tuple[Verdict | None, str]
"""A limit's verdict in one of the ways, and its figures."""


def compare_table(told: Comparison, job: Job, system: str = "si", width: int = 100, colour: bool = False) -> str:
    """Two ways as text. [-]

    Parameters
    ----------
    told : Comparison
        The two ways. [-]
    job : Job
        What was asked. [-]
    system : str
        Units of all figures: "si" or "us". [-]
    width : int
        Widest line. [-]
    colour : bool
        Colour and weight for a terminal; the text is the same without. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.compare import compare
    >>> from jetwright.rig.description import Target
    >>> from jetwright.rig.example import JOB
    >>> softer = replace(JOB.task[0], name="Softer", target=Target(nozzle_pressure=600e5))
    >>> job = replace(JOB, task=(JOB.task[0], softer))
    >>> lines = compare_table(compare(job, basis_for(job), 0, 1), job).splitlines()
    >>> next(line for line in lines if "At the tip" in line).split()
    ['At', 'the', 'tip', '850', 'bar', '600', 'bar', '−250', 'bar']

    References
    ----------
    Our own layout.
    """
    ways = (("A", told.one), ("B", told.other))
    content: list[RenderableType] = [head(told.plan, job, system), Text("")]
    refused = [letter for letter, way in ways if way.task.verdict == "not_allowed"]
    for letter in refused:
        words = _("{way} is not allowed: its figures are what was asked for, and are not to be set.")
        content.append(Text(f"{SHAPE['not_allowed']} {words.format(way=letter)}", style=STYLE["not_allowed"]))
    content += [_named(letter, way) for letter, way in ways]
    content += [Text(""), _listed(compare_rows(told, job, system))]
    content.append(section(_("Limits that differ"), _limits(told, system)))
    notes = compare_notes(told, job, typed=True)
    if notes:
        content.append(Group(Text(""), *(Text(glued(note)) for note in notes)))
    return page([*content, foot(told.plan, system)], width, colour)


def compare_rows(told: Comparison, job: Job, system: str = "si") -> list[tuple[str, list[list[str]]]]:
    """Two ways line by line under headings: what it is, the one, the other, what the other has more. [-]

    Parameters
    ----------
    told : Comparison
        The two ways. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.compare import compare
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, task=(JOB.task[0], replace(JOB.task[0], name="Again")))
    >>> compare_rows(compare(job, basis_for(job), 0, 1), job)[0][1][2]
    ['Bypass', 'closed', 'closed', '']

    References
    ----------
    Our own layout.
    """
    blocks = [
        (title, [row for name in names for row in _row(name, told, job, system)]) for title, names in _groups(job.unit)
    ]
    blocks.append((_("Tips used up"), _worn(told)))
    return [(title, rows) for title, rows in blocks if rows]


def compare_limits(told: Comparison, system: str = "si") -> list[tuple[str, Judged, Judged]]:
    """The limits that tell two ways apart: its name, and in each way its verdict (None: none) and its figures. [-]

    Parameters
    ----------
    told : Comparison
        The two ways. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.compare import compare
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, task=(JOB.task[0], replace(JOB.task[0], name="Again")))
    >>> compare_limits(compare(job, basis_for(job), 0, 1))
    []

    References
    ----------
    Our own convention.
    """
    rows = []
    for pair in told.limits:
        known = [limit for limit in (pair.one, pair.other) if limit is not None]
        same = len(known) == 2 and known[0].about == known[1].about
        title = limit_title(known[0]) if same or len(known) == 1 else limit_name(known[0].id, known[0].quantity)
        one, other = _alike(pair)
        rows.append((title, _limit(one, system), _limit(other, system)))
    return rows


def _named(letter: str, way: Way) -> RenderableType:
    line = Table.grid(expand=True, padding=(0, 2, 0, 0))
    line.add_column(overflow="fold")
    line.add_column(justify="right", no_wrap=True)
    line.add_row(Text(f"{letter}  {way.place}  {way.task.name}", style="bold"), verdict(way.task.verdict))
    return line


def _groups(unit: Unit) -> list[tuple[str, tuple[str, ...]]]:
    """Titles and what stands under each; a speed only where the panel shows it."""
    shows, direct = unit.shows, unit.drive.kind == "direct"
    speeds: tuple[str, ...] = ()
    if "pump speed" in shows or not shows:
        speeds += ("pump_speed",)
    if "engine speed" in shows or (direct and not shows):
        speeds += ("engine_speed",)
    return [
        (_("Set"), ("pump_pressure", *speeds, "bypass", "bypass_open", "spill")),
        (_("At the tool"), ("nozzle", "flow", "jet_power", "jet_share", "hose_loss", "recoil", "holder")),
        (_("Engine"), ("engine_load",)),
        (_("Each hour with the trigger held"), (*RATES, "area_rate", "length_rate")),
        (
            _("For the whole task"),
            ("trigger", "total", "crew", "water", "waste", "waste_fills", "fuel", "def", "co2", *COSTS),
        ),
    ]


def _label(name: str, system: str) -> str:
    return {
        "pump_pressure": _("Gauge"),
        "pump_speed": _("Pump speed"),
        "engine_speed": _("Engine speed"),
        "bypass": _("Bypass"),
        "bypass_open": _("Bypass open"),
        "spill": _("Spilt over it"),
        "nozzle": _("At the tip"),
        "flow": _("Flow of the jets"),
        "jet_power": _("Power of the jets"),
        "jet_share": _("Of the engine's power"),
        "hose_loss": _("Lost in the hoses"),
        "recoil": _("Recoil"),
        "holder": _("Held by"),
        "engine_load": _("Load"),
        "water_rate": _("Water"),
        "waste_rate": _("Waste water"),
        "fuel_rate": _("Fuel"),
        "def_rate": _("DEF"),
        "co2_rate": _("CO2"),
        "area_rate": _("Cleaned"),
        "length_rate": _("Cleaned"),
        "trigger": _("Trigger held"),
        "total": _("Time in all"),
        "crew": _("Hours of the crew"),
        "water": _("Water"),
        "waste": _("Waste water"),
        "waste_fills": _("Waste tank filled"),
        "fuel": _("Fuel"),
        "def": _("DEF"),
        "co2": _("CO2"),
        "cost": _("Cost"),
        "area_cost": _("Cost for 1 {unit}").format(unit=_cleaned("area", system)),
        "length_cost": _("Cost for 1 {unit}").format(unit=_cleaned("length", system)),
    }[name]


def _row(name: str, told: Comparison, job: Job, system: str) -> list[list[str]]:
    """One line of the comparison; none where neither way has it."""
    label, one, other = _label(name, system), told.one, told.other
    if name == "bypass":
        return [[label, *(_bypass(way) for way in (one, other)), ""]]
    if name == "holder":
        return [[label, *(holder_words(way.holder) for way in (one, other)), ""]] if one.holder or other.holder else []
    here, there = one.figures[name], other.figures[name]
    if here is None and there is None:
        return []
    if name in ("bypass_open", "spill", "def_rate", "def") and not here and not there:
        return []
    unit, numbers = _said(name, (here, there), told, job, system)
    cells = [_("not known") if text is None else f"{text}{GLUE}{unit}".rstrip(GLUE) for text in numbers]
    if name == "recoil":
        for place, way in enumerate((one, other)):
            if way.forward and numbers[place] is not None:
                cells[place] = _("forward {force}").format(force=cells[place])
    points = _("points") if unit == "%" else unit
    return [[label, *cells, _more(numbers, points) if told.difference[name] is not None else ""]]


def _more(numbers: Sequence[str | None], unit: str) -> str:
    """What the second has more than the first: of the numbers as they are printed, no finer than the coarser one."""
    here, there = (Decimal((text or "0").replace("−", "-")) for text in numbers)
    apart = there - here
    if apart == 0:
        return _("same")
    steps = [10 ** -len(text.partition(".")[2]) for text in numbers if text and Decimal(text.replace("−", "-"))]
    rounded = apart.quantize(Decimal(str(max(steps))))
    sign = "+" if apart > 0 else "−"
    return f"{sign}{abs(rounded or apart)}{GLUE}{unit}".rstrip(GLUE)


def _said(
    name: str, values: tuple[float | None, float | None], told: Comparison, job: Job, system: str
) -> tuple[str, list[str | None]]:
    """The unit of a line, and its numbers in it."""
    kind = QUANTITIES[name]
    largest = max(abs(value) for value in values if value is not None)
    if kind == "ratio":
        return "%", [None if value is None else _percent(value) for value in values]
    if name == "pump_pressure":
        gauge = job.unit.gauge
        return printed("bar", system), [None if v is None else gauge_number(v, gauge, system) for v in values]
    if name in RATES:
        values = _times(values, HOUR)
        kind, largest = "mass" if name == "co2_rate" else "volume", largest * HOUR
    if kind == "volume":
        if name in ("water", "waste", "water_rate", "waste_rate") and system == "si" and largest >= CUBIC_METRE:
            return "m³", _plain(values)
        return printed("L", system), _numbers(values, "L", system)
    if kind == "time":
        unit = "h" if name == "crew" else unit_for("time", largest)
        unit = "h" if unit == "d" else unit  # no trigger is held for days
        return unit, _plain([None if value is None else units.to(value, unit) for value in values])
    if kind == "count":
        return _("times"), _plain(values, 2)
    if kind == "money":
        return _currency(told), [None if value is None else f"{value:.2f}" for value in values]
    if kind in ("area_rate", "length_rate"):
        size = kind.removesuffix("_rate")
        return _cleaned(size, system), _plain(_times(values, HOUR * _size(size, system)))
    if kind in ("area_cost", "length_cost"):
        per = 1.0 / _size(kind.removesuffix("_cost"), system)
        return _currency(told), [None if value is None else f"{value * per:.2f}" for value in values]
    return printed(FIGURES[kind], system), _numbers(values, FIGURES[kind], system)


def _times(values: tuple[float | None, float | None], factor: float) -> tuple[float | None, float | None]:
    here, there = (None if value is None else value * factor for value in values)
    return here, there


def _numbers(values: Sequence[float | None], unit: str, system: str) -> list[str | None]:
    return [None if value is None else number(value, unit, system) for value in values]


def _plain(values: Sequence[float | None], digits: int = 3) -> list[str | None]:
    """Bare numbers of so many digits each, however far apart they are."""
    return [None if value is None else _digits(value, digits) for value in values]


def _digits(value: float, digits: int) -> str:
    places = max(0, digits - 1 - math.floor(math.log10(abs(value)))) if value else 0
    return f"{value:.{places}f}"


def _percent(share: float) -> str:
    hundredths = 100.0 * share
    return f"{hundredths:.1f}" if 0.0 < abs(hundredths) < 9.95 else f"{hundredths:.0f}"


def _size(kind: str, system: str) -> float:
    """Square feet in a square metre, or feet in a metre; 1 under "si"."""
    length = units.to(1.0, units.shown("m", system))
    return length * length if kind == "area" else length


def _cleaned(kind: str, system: str) -> str:
    unit = printed("m", system)
    return f"{unit}²" if kind == "area" else unit


def _currency(told: Comparison) -> str:
    return next(way.task.cost.currency for way in (told.one, told.other) if way.task.cost is not None)


def _bypass(way: Way) -> str:
    if way.task.setting.pump_speed is None:
        return _("not to be had")
    return {
        "closed": _("closed"),
        "part open": _("part open"),
        "open": _("fully open"),
        "regulating": _("regulating"),
    }[way.task.setting.bypass]


def _worn(told: Comparison) -> list[list[str]]:
    """How many of each tip the task takes, or which part of one; none for a tip whose life nobody gave."""
    rows = []
    for tip in dict.fromkeys((*told.one.worn, *told.other.worn)):
        counts = [way.worn.get(tip, 0.0) for way in (told.one, told.other)]
        if any(counts):
            part = max(filter(None, counts)) < 1.0
            numbers = [None if count is None else _percent(count) if part else f"{count:.1f}" for count in counts]
            more = "" if None in numbers else _more(numbers, _("points") if part else "")
            rows.append([tip, *(_part_of(*each, part) for each in zip(counts, numbers, strict=True)), more])
    return rows


def _part_of(count: float | None, text: str | None, part: bool) -> str:
    """What of a tip is used up: a share of one, or how many; a figure that rounds to nothing says that it is not."""
    if count is None or text is None:
        return _("not known")
    if count > 0.0 and float(text) == 0.0:
        return _("under 0.1 % of a tip") if part else _("under 0.1")
    return _("{share} of a tip").format(share=f"{text}{GLUE}%") if part else text


def _listed(blocks: Sequence[tuple[str, Sequence[Sequence[str | Text]]]]) -> RenderableType:
    """Every line under the letters of the ways, in blocks with a title each."""
    heads: list[tuple[str, JustifyMethod]] = [("", "left"), ("A", "right"), ("B", "right"), (_("B − A"), "right")]
    rows: list[Sequence[str | Text]] = []
    for title, lines in blocks:
        if lines:
            rows += [[Text(title, style="bold"), "", "", ""]]
            rows += [[f"{INSET}{label}", *cells] for label, *cells in lines]
    return listing(heads, rows)


def _limits(told: Comparison, system: str) -> RenderableType:
    rows = compare_limits(told, system)
    if not rows:
        return Text(_("none: each limit has the same verdict in both"))
    heads: list[tuple[str, JustifyMethod]] = [(_("Limit"), "left"), ("A", "left"), ("B", "left")]
    return listing(heads, [[title, _shaped(*one), _shaped(*other)] for title, one, other in rows])


SEVERAL_BOUNDS = ("engine.power", "relief.clear", "gauge.scale", "heat.tank", "supply.npsh")
"""Limits of the unit that have more than one bound; which of them is named goes with the verdict."""


def _alike(pair: LimitPair) -> tuple[Limit | None, Limit | None]:
    """Both against one bound, where they were judged by several: against that of the worse one."""
    one, other = pair.one, pair.other
    if one is None or other is None or one.id not in SEVERAL_BOUNDS:
        return one, other
    worse = max((one, other), key=lambda limit: WORST_LAST.index(limit.verdict))
    if worse.verdict == "not_judged" or worse.bound is None:
        return one, other
    one, other = (limit if limit.value is None else replace(limit, bound=worse.bound) for limit in (one, other))
    return one, other


def _limit(limit: Limit | None, system: str) -> Judged:
    if limit is None:
        return None, "–"
    words = limit_figures(limit, system)
    if limit.verdict == "not_judged" or not words:
        words = verdict_words(limit.verdict)
    return limit.verdict, words


def _shaped(judged: Verdict | None, words: str) -> Text:
    if judged is None:
        return Text(words)
    return Text(f"{SHAPE[judged]}{GLUE}{glued(words)}", style=STYLE[judged])


def compare_notes(told: Comparison, job: Job, *, typed: bool = False) -> list[str]:
    """What is not known of one way or the other, and so not compared. [-]

    Parameters
    ----------
    told : Comparison
        The two ways. [-]
    job : Job
        What was asked. [-]
    typed : bool
        Whoever reads it types job files: facts are called by their keys. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.compare import compare
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, task=(JOB.task[0], replace(JOB.task[0], name="Again")))
    >>> len(compare_notes(compare(job, basis_for(job), 0, 1), job))
    2

    References
    ----------
    Our own convention.
    """
    notes = []
    if job.unit.engine is None:
        notes.append(_("Fuel is not known: no engine is described."))
    for letter, way in (("A", told.one), ("B", told.other)):
        usage = way.task.usage
        if usage is not None and usage.trigger is None:
            words = _(
                "{way}: for the whole task nothing is known, because nobody said its time or its extent and travel."
            )
            if usage.missing:
                words = _("{way}: for the whole task nothing is known, because nobody said its time, or {keys}.")
            elif any(cover.striped for cover in way.task.coverage):
                words = _("{way}: for the whole task nothing is known: by the measured track stripes stay.")
            notes.append(words.format(way=letter, keys=_(" and ").join(lacking_words(usage.missing, typed=typed))))
        if usage is not None and usage.trigger is not None and (usage.by_extent or 0.0) > usage.trigger * (1.0 + EDGE):
            notes.append(
                _("{way}: its extent takes longer than its planned time, and does not get done.").format(way=letter)
            )
        cost = way.task.cost
        if cost is not None and cost.lines and cost.missing:
            notes.append(_("{what}: {words}").format(what=letter, words=missing_of(cost, typed=typed)))
    known = told.one.figures["cost"] is not None and told.other.figures["cost"] is not None
    if known and told.difference["cost"] is None:
        notes.append(_("The two costs do not count the same things, so neither is set off against the other."))
    return notes
