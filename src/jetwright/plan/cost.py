"""What a task costs, line by line, by prices that the user gave; what is not given is not counted, and named."""

from jetwright.plan.answer import Cost, CostLine, Usage
from jetwright.rig.description import Job, Task

HOUR = 3600.0
LITRES = 1e3
"""In a cubic metre."""


def cost_of(job: Job, task: Task, usage: Usage) -> Cost | None:
    """The cost of a task; None where the job has no prices. [-]

    Each line is rounded to hundredths, and the total is their sum, so that what is printed adds up.

    Parameters
    ----------
    job : Job
        With its prices and tips. [-]
    task : Task
        One of its tasks. [-]
    usage : Usage
        What it uses. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.rig.description import Prices
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, prices=Prices(water_m3=3.0, fuel_l=1.5))
    >>> cost = cost_of(job, job.task[0], Usage(trigger=7200.0, water=2.88, fuel=0.0375))
    >>> [(line.what, line.money) for line in cost.lines], cost.total, cost.missing[0]
    ([('water', 8.64), ('fuel', 56.25)], 64.89, 'prices.waste_m3')

    References
    ----------
    Definition: amount times price.
    """
    prices = job.prices
    if prices is None:
        return None
    if usage.trigger is None:
        return Cost(prices.currency, (), 0.0, usage.missing or ("task.planned_time",))
    crew_key = "task.times" if task.times is None else "task.times.crew"
    asked: list[tuple[str, str, float | None, float | None, str]] = [
        ("water", "", usage.water, prices.water_m3, "task.planned_time"),
        ("waste", "", usage.waste, prices.waste_m3, "waste"),
        ("fuel", "", _in(usage.fuel, LITRES), prices.fuel_l, "unit.engine"),
        ("def", "", _in(usage.def_fluid, LITRES), prices.def_l, "unit.engine"),
        ("crew", "", _in(usage.crew, 1.0 / HOUR), prices.crew_h, crew_key),
        ("unit", "", _in(usage.total, 1.0 / HOUR), prices.unit_h, "task.times"),
    ]
    worn = dict(usage.worn)
    for name in _tips(job, task):
        asked.append(("tip", name, worn.get(name), job.tips[name].price, f"tips.{name}.life"))
    lines: list[CostLine] = []
    missing: dict[str, None] = {}
    for what, about, amount, price, fact in asked:
        if amount == 0.0:
            continue
        if price is None:
            missing[_price_key(what, about)] = None
        if amount is None:
            missing[fact] = None
        elif price is not None:
            lines.append(CostLine(what, amount, price, round(amount * price, 2), about))
    return Cost(prices.currency, tuple(lines), round(sum(line.money for line in lines), 2), tuple(missing))


def _in(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor


def _price_key(what: str, about: str) -> str:
    if what == "tip":
        return f"tips.{about}.price"
    units = {"water": "m3", "waste": "m3", "fuel": "l", "def": "l", "crew": "h", "unit": "h"}
    return f"prices.{what}_{units[what]}"


def _tips(job: Job, task: Task) -> list[str]:
    """Names of the tips in the tools of a task."""
    tools = [task.tool] if task.tool is not None else [branch.tool for branch in task.branches]
    return list(dict.fromkeys(port.tip for tool in tools for port in job.tools[tool].ports))
