"""What a task uses and costs: for the table, for the sheet, for other programs."""

from collections.abc import Mapping, Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from jetwright import units
from jetwright.limits.limit import EDGE
from jetwright.plan.answer import Cost, CostLine, TaskPlan, Usage
from jetwright.plan.usage import CO2_OF_DIESEL, IDLE_SHARE
from jetwright.report import figures
from jetwright.report.figures import percent, unit_for
from jetwright.report.surface import by_estimate
from jetwright.report.terminal import GLUE, glued, grid, section
from jetwright.report.wording import N_, _
from jetwright.report.work_json import AMOUNTS
from jetwright.rig.description import Job

DIGITS = 8
"""Significant digits kept in JSON."""
CUBIC_METRE = 1.0
"""From this volume on cubic metres are said. [m³]"""
SAID_FOR = 10.0
"""Litres or gallons of diesel for which the CO2 is said."""
LACKING: Mapping[str, str] = {
    "prices.water_m3": N_("the price of water"),
    "prices.waste_m3": N_("the price of waste water"),
    "prices.fuel_l": N_("the price of fuel"),
    "prices.def_l": N_("the price of DEF"),
    "prices.crew_h": N_("the price of an hour of one person"),
    "prices.unit_h": N_("the price of an hour of the unit"),
    "tips.price": N_("the price of tip {name}"),
    "tips.life": N_("how long tip {name} lasts"),
    "task.planned_time": N_("how long it takes"),
    "task.times": N_("the times of set-up, change and standby"),
    "task.times.crew": N_("how many people there are"),
    "task.travel": N_("how fast the tool is moved on"),
    "task.pipe": N_("the pipe"),
    "task.jet": N_("the stand-off of the jets"),
    "unit.engine": N_("the engine"),
    "waste": N_("how much of the water comes back"),
}
"""By key, without the name of the tip: what nobody said, and so is not known of a task or not counted in its cost."""


def usage_section(task: TaskPlan, job: Job, system: str = "si") -> RenderableType | None:
    """Time, water, fuel, tips and cost of a whole task, under their title; None where nothing is known of them. [-]

    A refused task has none: there is nothing to be followed.

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> from jetwright.report.terminal import page
    >>> from jetwright.rig.example import JOB
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> usage = Usage(5400.0, total=8100.0, water=2.25, crew=24300.0)
    >>> task = TaskPlan("Noon", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), (), usage=usage)
    >>> print(page([usage_section(task, JOB)], 100, False).splitlines()[2])
      Time   90 min with the trigger held; 135 min with set-up, change and standby; crew 6.8 h in all

    References
    ----------
    Our own layout.
    """
    rows = _rows(task, job, system, typed=True)
    if not rows:
        return None
    table = grid("left", "left")
    for label, words in rows:
        table.add_row(label, glued(words))
    content: list[RenderableType] = [table]
    if task.cost is not None and task.cost.lines:
        content.append(_cost_table(task.cost))
    notes = _short_of(task, job, system, typed=True) + _taken(task, system)
    if notes:
        content.append(Group(*(Text(glued(note)) for note in notes)))
    return section(_("For the whole task"), *content)


def usage_lines(task: TaskPlan, job: Job, system: str = "si") -> list[tuple[str, str]]:
    """Time, water, fuel, tips and cost of a whole task, a label and its words a line, for its sheet. [-]

    Parameters
    ----------
    task : TaskPlan
        The task; a refused one has none. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> from jetwright.rig.example import JOB
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> usage = Usage(5400.0, water=2.25, waste=1.8, waste_fills=0.9)
    >>> task = TaskPlan("Plates", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), (), usage=usage)
    >>> usage_lines(task, JOB)[1]
    ('Water', '2.25 m³ without run-up and flushes; 1.8 m³ comes back as waste and fills the waste tank 0.9 times')

    References
    ----------
    Our own layout.
    """
    rows = _rows(task, job, system)
    if not rows:
        return []
    if task.cost is not None and task.cost.lines:
        rows.append((_("Cost"), money(task.cost.total, task.cost.currency)))
    return rows + [("", note) for note in _short_of(task, job, system)]


def volume_figure(volume: float, system: str = "si") -> str:
    """A volume of water as it is ordered and carted: litres, from a cubic metre on cubic metres. [-]

    Parameters
    ----------
    volume : float
        The volume. [m³]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> volume_figure(0.45), volume_figure(2.254), volume_figure(2.254, "us")
    ('450 L', '2.25 m³', '595 gal')

    References
    ----------
    Our own convention.
    """
    if system == "us" or volume < CUBIC_METRE:
        return figures.figure(volume, "L", system)
    return f"{units.show(volume, '', 3)} m³"


def money(amount: float, currency: str) -> str:
    """Money as it stands on a bill. [-]

    Parameters
    ----------
    amount : float
        How much. [-]
    currency : str
        Its name, as the user has it. [-]

    Examples
    --------
    >>> money(1234.5, "EUR")
    '1234.50 EUR'

    References
    ----------
    Our own convention.
    """
    return f"{amount:.2f} {currency}"


def missing_of(cost: Cost, *, typed: bool = False) -> str:
    """What would add a line to a cost and nobody said; "" where all is counted. [-]

    Parameters
    ----------
    cost : Cost
        The cost. [-]
    typed : bool
        Whoever reads it types job files: facts are called by their keys. [-]

    Examples
    --------
    >>> missing_of(Cost("EUR", (), 0.0, ("prices.fuel_l", "tips.R10.life")))
    'Not counted in the cost, because nobody said: the price of fuel, how long tip R10 lasts.'
    >>> missing_of(Cost("EUR", (), 0.0, ("prices.fuel_l",)), typed=True)
    'Not counted in the cost, because nobody said: prices.fuel_l.'

    References
    ----------
    Our own convention.
    """
    if not cost.missing:
        return ""
    words = _("Not counted in the cost, because nobody said: {keys}.")
    return words.format(keys=", ".join(lacking_words(cost.missing, typed=typed)))


def lacking_words(keys: Sequence[str], *, typed: bool = False) -> list[str]:
    """What nobody said, for the use or the cost of a task. [-]

    Parameters
    ----------
    keys : Sequence of str
        As `Usage.missing` and `Cost.missing` have them. [-]
    typed : bool
        Whoever reads it types job files: facts are called by their keys. [-]

    Examples
    --------
    >>> lacking_words(["task.travel", "tips.R10.price"])
    ['how fast the tool is moved on', 'the price of tip R10']

    References
    ----------
    Our own convention.
    """
    return list(keys) if typed else [_lacking(key) for key in keys]


def _lacking(key: str) -> str:
    first, _dot, rest = key.partition(".")
    name, _dot, last = rest.rpartition(".")
    words = LACKING.get(key) or LACKING.get(f"{first}.{last}", (last or first).replace("_", " "))
    return _(words).format(name=name)


def _rows(task: TaskPlan, job: Job, system: str, *, typed: bool = False) -> list[tuple[str, str]]:
    """typed: for the terminal, which has room for the CO2 and is read by those who write the keys."""
    usage = task.usage
    if usage is None or task.verdict == "not_allowed":
        return []
    rows = [
        (_("Time"), _time(task, usage, job, system)),
        (_("Extent"), _extent(usage, task, job, system, typed=typed)),
        (_("Water"), _water(usage, system)),
        (_("Fuel"), _fuel(usage, system, carbon=typed)),
        (_("Lasts"), _lasts(task, usage, system)),
        (_("Tips"), _tips(usage)),
    ]
    return [(label, words) for label, words in rows if words]


def _while(time: float, system: str) -> str:
    """A time of work: never in days, which no trigger is held for."""
    unit = unit_for("time", time)
    return figures.figure(time, "h" if unit == "d" else unit, system)


def _time(task: TaskPlan, usage: Usage, job: Job, system: str) -> str:
    if usage.trigger is None:
        return ""
    words = _("{time} with the trigger held")
    described = next((each for each in job.task if each.name == task.name), None)
    if described is not None and described.planned_time is None:
        words = _("{time} with the trigger held, by extent and travel")
        if by_estimate(task):
            words = _("{time} with the trigger held, by extent, travel and an estimated track")
    told = [words.format(time=_while(usage.trigger, system))]
    if _waits(usage):
        told.append(_("{time} with set-up, change and standby").format(time=_while(usage.total or 0.0, system)))
    if usage.crew is not None:
        told.append(_("crew {time} in all").format(time=figures.figure(usage.crew, "h", system)))
    return "; ".join(told)


def _extent(usage: Usage, task: TaskPlan, job: Job, system: str, *, typed: bool) -> str:
    """That the extent takes longer than is planned for it, or why it gives no time; "" where nothing is wrong."""
    described = next((each for each in job.task if each.name == task.name), None)
    if described is None or described.extent is None:
        return ""
    if usage.trigger is None:
        if usage.missing:
            words = _("no time follows from it, because nobody said: {keys}")
            return words.format(keys=", ".join(lacking_words(usage.missing, typed=typed)))
        return _("no time follows from it: see “Over the surface”")
    if usage.by_extent is None or usage.by_extent <= usage.trigger * (1.0 + EDGE):
        return ""
    words = _("takes {time} by its travel, and {planned} are planned: {share} of it gets done")
    if by_estimate(task):
        words = _("takes an estimated {time} by its travel, and {planned} are planned: {share} of it gets done")
    return words.format(
        time=_while(usage.by_extent, system),
        planned=_while(usage.trigger, system),
        share=percent(usage.trigger / usage.by_extent),
    )


def _waits(usage: Usage) -> bool:
    """Whether the engine runs while no trigger is held."""
    return usage.total is not None and usage.trigger is not None and usage.total > usage.trigger


def _water(usage: Usage, system: str) -> str:
    if usage.water is None:
        return ""
    told = [_("{water} without run-up and flushes").format(water=volume_figure(usage.water, system))]
    if usage.waste is not None:
        words = _("{waste} comes back as waste")
        if usage.waste_fills is not None:
            words = _("{waste} comes back as waste and fills the waste tank {n} times")
        fills = "" if usage.waste_fills is None else _count(usage.waste_fills)
        told.append(words.format(waste=volume_figure(usage.waste, system), n=fills))
    return "; ".join(told)


def _fuel(usage: Usage, system: str, *, carbon: bool) -> str:
    if usage.fuel is None:
        return ""
    told = [figures.figure(usage.fuel, "L", system)]
    if usage.def_fluid:
        told.append(_("DEF {volume}").format(volume=figures.figure(usage.def_fluid, "L", system)))
    if carbon and usage.co2 is not None:
        told.append(_("CO2 {mass}").format(mass=figures.figure(usage.co2, "kg", system)))
    words = ", ".join(told)
    if not _waits(usage):
        return words
    return _("{fuel}, the engine running through set-up, change and standby").format(fuel=words)


def _lasts(task: TaskPlan, usage: Usage, system: str) -> str:
    told = []
    if usage.water_lasts is not None:
        told.append(_("hydrant and tank {time}").format(time=_while(usage.water_lasts, system)))
    elif task.water is not None and task.water.short == 0.0 and usage.trigger is not None:
        told.append(_("the supply keeps up"))
    if usage.fuel_lasts is not None:
        told.append(_("a full tank of fuel {time}").format(time=_while(usage.fuel_lasts, system)))
    if usage.def_lasts is not None:
        told.append(_("one of DEF {time}").format(time=_while(usage.def_lasts, system)))
    return "; ".join(told)


def _tips(usage: Usage) -> str:
    worn = [_worn(tip, count) for tip, count in usage.worn]
    return _("used up: {tips}").format(tips=", ".join(worn)) if worn else ""


def _worn(tip: str, count: float) -> str:
    """How many of a tip a task takes; of less than a whole one, which part of its life."""
    if round(count, 2) >= 1.0:
        return f"{_count(count)} × {tip}"
    return _("{share} of the life of one {tip}").format(share=percent(count), tip=tip)


def _count(value: float) -> str:
    return units.show(value, "", 2)


def _short_of(task: TaskPlan, job: Job, system: str, *, typed: bool = False) -> list[str]:
    """What a tank does not see through, what is not known, and what is not counted."""
    usage, engine = task.usage, job.unit.engine
    if usage is None:
        return []
    notes = []
    lasts, takes = usage.water_lasts, usage.by_extent
    if lasts is not None and takes is not None and takes == usage.trigger and lasts < takes:
        words = _("Hydrant and tank last {time}, and the trigger is held for {trigger}.")
        notes.append(words.format(time=_while(lasts, system), trigger=_while(takes, system)))
    for tip, count in usage.worn:
        owned = job.tips[tip].count if tip in job.tips else 1
        if count > owned > 1:
            words = _("This task uses up {n} of {tip}, more than the {count} that are owned.")
            notes.append(words.format(n=_count(count), tip=tip, count=owned))
    if engine is None and usage.trigger is not None:
        notes.append(_("Fuel is not known: no engine is described."))
    if engine is not None:
        for used, tank, words in (
            (usage.fuel, engine.fuel_tank, _("This task burns more than a full tank of fuel, {volume}.")),
            (usage.def_fluid, engine.def_tank, _("This task takes more than a full tank of DEF, {volume}.")),
        ):
            if used is not None and tank is not None and used > tank:
                notes.append(words.format(volume=figures.figure(tank, "L", system)))
    if task.cost is not None and task.cost.missing:
        notes.append(missing_of(task.cost, typed=typed))
    return notes


def _taken(task: TaskPlan, system: str) -> list[str]:
    """Where the numbers come from that nobody gave."""
    usage = task.usage
    if usage is None or usage.fuel is None:
        return []
    notes = []
    if _waits(usage):
        words = _(
            "An engine without load is taken to burn {share} of its full load's fuel (8 to 12 %, common practice)."
        )
        notes.append(words.format(share=percent(IDLE_SHARE)))
    diesel = units.of(SAID_FOR, units.shown("L", system))
    notes.append(
        _("CO2: {mass} from {volume} of diesel (IPCC 2006 Guidelines, from memory).").format(
            mass=figures.figure(CO2_OF_DIESEL * diesel, "kg", system), volume=figures.figure(diesel, "L", system)
        )
    )
    return notes


def _cost_table(cost: Cost) -> Table:
    """Each line in the unit of its price, as the price was given."""
    table = grid("left", "right", "right")
    for line in cost.lines:
        table.add_row(_cost_name(line), _amount(line).replace(" ", GLUE), money(line.money, cost.currency))
    total = Text(money(cost.total, cost.currency), style="bold")
    table.add_row(Text(_("Cost by the prices given"), style="bold"), "", total)
    return table


def _cost_name(line: CostLine) -> str:
    names = {
        "water": _("Water"),
        "waste": _("Waste water"),
        "fuel": _("Fuel"),
        "def": _("DEF"),
        "crew": _("Crew"),
        "unit": _("Pump unit"),
        "tip": _("Tip {name}"),
    }
    return names[line.what].format(name=line.about)


def _amount(line: CostLine) -> str:
    unit = {"m3": "m³"}.get(AMOUNTS[line.what], AMOUNTS[line.what])
    price = f"{line.price:.2f}" if round(line.price, 2) == line.price else units.show(line.price, "", 3)
    return f"{units.show(line.amount, '', 3)} {unit} × {price}".replace("  ", " ")
