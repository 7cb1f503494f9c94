"""What a task costs: hand arithmetic, and what is not counted."""

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.plan.answer import Usage
from jetwright.plan.cost import cost_of
from jetwright.rig.description import Branch, Port, Prices, Times, Tip
from jetwright.rig.example import JOB

HOUR, LITRE = 3600.0, 1e-3
ALL = Prices("EUR", water_m3=3.0, waste_m3=45.0, fuel_l=1.6, def_l=0.8, crew_h=40.0, unit_h=70.0)
USED = Usage(
    trigger=2 * HOUR,
    total=3 * HOUR,
    water=4.0,
    waste=3.0,
    fuel=50 * LITRE,
    def_fluid=2 * LITRE,
    crew=9 * HOUR,
    worn=(("R12", 0.05),),
)


def cost(usage=USED, prices=ALL, tip=None, times=None, tools=("R12",)):
    """The cost of the example's task, of which one tool carries the tips named."""
    tips = {name: tip or Tip(1.2e-3, "rounded", life=40 * HOUR, price=30.0) for name in tools}
    gun = dataclasses.replace(JOB.tools["gun"], ports=tuple(Port(name) for name in tools))
    task = dataclasses.replace(JOB.task[0], times=times or Times(crew=3))
    return cost_of(dataclasses.replace(JOB, tips=tips, tools={"gun": gun}, prices=prices), task, usage)


def test_every_line_by_hand():
    """4 × 3, 3 × 45, 50 × 1.6, 2 × 0.8, 9 × 40, 3 × 70, 0.05 × 30."""
    told = cost()
    assert [(line.what, line.about, line.amount, line.money) for line in told.lines] == [
        ("water", "", 4.0, 12.0),
        ("waste", "", 3.0, 135.0),
        ("fuel", "", 50.0, 80.0),
        ("def", "", 2.0, 1.6),
        ("crew", "", 9.0, 360.0),
        ("unit", "", 3.0, 210.0),
        ("tip", "R12", 0.05, 1.5),
    ]
    assert (told.currency, told.total, told.missing) == ("EUR", 800.1, ())


PRICED = ("water_m3", "waste_m3", "fuel_l", "def_l", "crew_h", "unit_h")


@pytest.mark.parametrize("name", PRICED)
def test_a_price_that_nobody_gave_is_not_counted_and_said(name):
    told = cost(prices=dataclasses.replace(ALL, **{name: None}))
    assert told.missing == (f"prices.{name}",)
    gone = {line.what for line in cost().lines} - {line.what for line in told.lines}
    assert gone == {name.rpartition("_")[0]}
    assert told.total == pytest.approx(cost().total - next(line.money for line in cost().lines if line.what in gone))


@pytest.mark.parametrize(
    ("usage", "missing"),
    [
        ({"waste": None}, "waste"),
        ({"fuel": None, "def_fluid": None}, "unit.engine"),
        ({"crew": None}, "task.times.crew"),
        ({"total": None}, "task.times"),
        ({"worn": ()}, "tips.R12.life"),
    ],
)
def test_a_fact_that_nobody_gave_is_not_counted_and_said(usage, missing):
    told = cost(dataclasses.replace(USED, **usage))
    assert told.missing == (missing,)
    assert len(told.lines) == 7 - (len(usage) if "fuel" in usage else 1)


def test_times_that_nobody_gave_are_named_once():
    job = dataclasses.replace(JOB, prices=ALL)
    told = cost_of(job, job.task[0], dataclasses.replace(USED, total=None, crew=None))
    assert [key for key in told.missing if "times" in key] == ["task.times"]


def test_a_tip_without_price_and_life_names_both():
    told = cost(dataclasses.replace(USED, worn=()), tip=Tip(1.2e-3, "rounded"), tools=("R12", "R14"))
    assert told.missing == ("tips.R12.price", "tips.R12.life", "tips.R14.price", "tips.R14.life")


def test_tips_of_every_branch_are_counted_once():
    tips = {"R12": Tip(1.2e-3, "rounded", price=30.0)}
    task = dataclasses.replace(JOB.task[0], tool=None, branches=(Branch("gun"), Branch("gun")))
    told = cost_of(dataclasses.replace(JOB, tips=tips, prices=Prices()), task, USED)
    assert [(line.what, line.money) for line in told.lines] == [("tip", 1.5)]


def test_what_is_not_used_costs_nothing_and_is_not_missed():
    told = cost(dataclasses.replace(USED, def_fluid=0.0, waste=0.0), prices=dataclasses.replace(ALL, def_l=None))
    assert told.missing == ()
    assert {line.what for line in told.lines} == {"water", "fuel", "crew", "unit", "tip"}


def test_a_price_of_nothing_is_a_price():
    told = cost(prices=dataclasses.replace(ALL, water_m3=0.0))
    assert told.missing == ()
    assert told.lines[0].money == 0.0


def test_without_prices_there_is_no_cost():
    assert cost(prices=None) is None


def test_a_task_without_a_time_has_no_lines():
    told = cost(Usage(trigger=None, missing=("task.travel", "task.jet")))
    assert (told.lines, told.missing) == ((), ("task.travel", "task.jet"))
    told = cost(Usage(trigger=None))
    assert (told.lines, told.missing) == ((), ("task.planned_time",))


prices = st.none() | st.floats(0.0, 1e4)
amounts = st.floats(0.0, 1e5)


@given(st.lists(prices, min_size=6, max_size=6), st.lists(amounts, min_size=6, max_size=6))
def test_the_total_is_the_sum_of_the_lines_to_the_cent(given_prices, given_amounts):
    names = ("water", "waste", "fuel", "def_fluid", "crew", "total")
    usage = dataclasses.replace(USED, **dict(zip(names, given_amounts, strict=True)))
    told = cost(usage, prices=Prices("X", *given_prices))
    assert told.total == pytest.approx(math.fsum(line.money for line in told.lines), abs=0.004)
    assert told.total >= 0.0
    for line in told.lines:
        assert line.money == pytest.approx(line.amount * line.price, abs=0.0051)


@given(st.floats(60.0, 1e5), st.floats(60.0, 1e5))
def test_a_task_in_two_parts_costs_the_same(first, second):
    """Each of seven lines of each part is rounded to a cent."""

    def part(time):
        share = time / USED.trigger
        fields = {name: share * getattr(USED, name) for name in ("water", "waste", "fuel", "def_fluid", "crew")}
        return cost(dataclasses.replace(USED, trigger=time, total=time, worn=(("R12", 0.05 * share),), **fields))

    whole = part(first + second).total
    assert part(first).total + part(second).total == pytest.approx(whole, abs=3 * 7 * 0.005 + 1e-9 * whole)
