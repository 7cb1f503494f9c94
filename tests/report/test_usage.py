"""What a task uses and costs, as it is printed."""

import dataclasses
import re

import pint
import pytest
from rich.console import Group

from jetwright.plan.answer import Cost, CostLine, Usage
from jetwright.plan.cost import cost_of
from jetwright.report.terminal import page
from jetwright.report.usage import (
    LACKING,
    lacking_words,
    missing_of,
    money,
    usage_lines,
    usage_section,
    volume_figure,
)
from jetwright.report.work_json import usage_facts
from jetwright.rig.description import Engine, Extent, Prices, Times, Tip
from jetwright.rig.example import JOB
from tests.report.made import job, part_open, refused
from tests.report.test_work import COVER, JET

UNITS = pint.UnitRegistry()
HOUR = 3600.0
USED = Usage(
    trigger=1.5 * HOUR,
    total=2.25 * HOUR,
    water=1.606,
    waste=1.285,
    waste_fills=0.428,
    fuel=0.0273,
    def_fluid=0.0011,
    co2=72.6,
    crew=6.75 * HOUR,
    fuel_lasts=22.0 * HOUR,
    def_lasts=55.0 * HOUR,
    water_lasts=1218.0,
    worn=(("R10", 0.03),),
)
COST = Cost(
    "EUR",
    (
        CostLine("water", 1.606, 3.2, 5.14),
        CostLine("crew", 6.75, 42.0, 283.5),
        CostLine("tip", 0.03, 24.0, 0.72, "R10"),
    ),
    289.36,
    ("prices.fuel_l",),
)
METRIC = re.compile(r"\d (L|kg|m³|m²|m)(?![\w³²/])")


def made(usage=USED, cost=COST):
    return dataclasses.replace(part_open(), usage=usage, cost=cost)


def with_engine(**tanks):
    engine = Engine(((25.0, 235e3), (35.0, 310e3)), **tanks)
    return dataclasses.replace(job(), unit=dataclasses.replace(job().unit, engine=engine))


def printed(task, asked=None, system="si", width=100):
    section = usage_section(task, asked or with_engine(), system)
    return page([section or Group()], width, False)


def test_the_whole_task_on_one_look():
    said = " ".join(printed(made()).split())
    for words in (
        "90 min with the trigger held, by extent and travel; 135 min with set-up, change and standby",
        "; crew 6.8 h in all",
        "1.61 m³ without run-up and flushes; 1.28 m³ comes back as waste and fills the waste tank 0.43 times",
        "27.3 L, DEF 1.1 L, CO2 72.6 kg, the engine running through set-up, change and standby",
        "hydrant and tank 20 min; a full tank of fuel 22 h; one of DEF 55 h",
        "used up: 3.0 % of the life of one R10",
        "Water 1.61 m³ × 3.20 5.14 EUR",
        "Crew 6.75 h × 42.00 283.50 EUR",
        "Tip R10 0.03 × 24.00 0.72 EUR",
        "Cost by the prices given 289.36 EUR",
        "Not counted in the cost, because nobody said: prices.fuel_l.",
    ):
        assert words in said, words


def with_extent(planned_time=None, **tips):
    asked = with_engine()
    tasks = tuple(dataclasses.replace(each, extent=Extent(10.0, 2.0), planned_time=planned_time) for each in asked.task)
    stock = {name: dataclasses.replace(tip, **tips) for name, tip in asked.tips.items()}
    return dataclasses.replace(asked, task=tasks, tips=stock)


def flat(*told):
    return " ".join(printed(*told).split())


def test_an_extent_that_takes_longer_than_is_planned_names_both_times():
    asked = with_extent(planned_time=1.5 * HOUR)
    said = flat(made(dataclasses.replace(USED, by_extent=6.0 * HOUR)), asked)
    assert "Extent takes 6.0 h by its travel, and 90 min are planned: 25 % of it gets done" in said
    for fits in (1.5 * HOUR, HOUR, None):
        assert "Extent" not in flat(made(dataclasses.replace(USED, by_extent=fits)), asked)


def test_an_extent_without_a_time_names_what_is_missing():
    usage = Usage(None, missing=("task.travel", "task.jet"))
    words = "Extent no time follows from it, because nobody said: task.travel, task.jet"
    assert words in flat(made(usage, None), with_extent())
    assert "Extent no time follows from it: see “Over the surface”" in flat(made(Usage(None), None), with_extent())
    facts = usage_facts(made(usage, None))
    assert (facts["missing"], facts["by_extent_h"]) == (["task.travel", "task.jet"], None)


def test_a_time_by_an_estimated_track_is_marked():
    told = dataclasses.replace(made(), jets=(JET,), coverage=(COVER,))
    assert "by extent, travel and an estimated track" in flat(told, with_extent())
    assert "an estimated track" not in flat(made(), with_extent())


def test_water_that_does_not_last_for_the_extent_is_said():
    usage = dataclasses.replace(USED, by_extent=USED.trigger)
    words = "Hydrant and tank last 20 min, and the trigger is held for 90 min."
    assert words in flat(made(usage), with_extent())
    assert words not in flat(made(dataclasses.replace(usage, water_lasts=2.0 * HOUR)), with_extent())
    assert words not in flat(made(), with_extent(planned_time=1.5 * HOUR))  # what is planned is judged by a limit


def test_more_tips_than_are_owned_are_said():
    usage = dataclasses.replace(USED, worn=(("R10", 16.0),))
    assert "This task uses up 16 of R10, more than the 12 that are owned." in flat(made(usage), with_extent(count=12))
    for count in (16, 1):  # a count of 1 is also what a yard says that says nothing
        assert "that are owned" not in flat(made(usage), with_extent(count=count))


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (0.0063, "0.6 % of the life of one R10"),
        (0.99, "99 % of the life of one R10"),
        (0.999, "1 × R10"),
        (16.0, "16 × R10"),
    ],
)
def test_of_less_than_a_whole_tip_its_life_is_told(count, words):
    told = dict(usage_lines(made(dataclasses.replace(USED, worn=(("R10", count),))), job()))
    assert told["Tips"] == f"used up: {words}"


def test_a_planned_time_is_not_said_to_be_reckoned():
    asked = with_engine()
    tasks = (dataclasses.replace(asked.task[0], planned_time=1.5 * HOUR), *asked.task[1:])
    assert "by extent and travel" not in printed(made(), dataclasses.replace(asked, task=tasks))


@pytest.mark.parametrize("width", [60, 100])
@pytest.mark.parametrize("system", ["si", "us"])
def test_no_line_is_too_wide_and_no_figure_is_broken(width, system):
    lines = printed(made(), system=system, width=width).splitlines()
    assert max(map(len, lines)) <= width
    assert not any(re.search(r"(?<![\w.])\d+(\.\d+)?$", line) for line in lines)


def test_us_units_but_for_the_lines_of_the_cost():
    """A price stands as its user gave it, and so does the amount it is for."""
    text = printed(made(), system="us")
    kept = [line for line in text.splitlines() if "×" not in line]
    assert METRIC.findall("\n".join(kept)) == []
    gallons = UNITS.Quantity(1.606, "m^3").to("gallon").magnitude
    assert float(re.search(r"([\d.]+) gal without", text)[1]) == pytest.approx(gallons, abs=0.5)
    assert "1.61 m³ × 3.20" in text


def test_where_a_number_comes_from_is_said_beside_it():
    text = " ".join(printed(made()).split())
    assert "10 % of its full load's fuel (8 to 12 %, common practice)" in text
    assert "26.6 kg from 10.0 L of diesel (IPCC 2006 Guidelines, from memory)" in text
    waiting = dataclasses.replace(USED, total=USED.trigger)
    assert "full load" not in printed(made(waiting))
    assert "IPCC" not in printed(made(dataclasses.replace(USED, fuel=None, co2=None)))


@pytest.mark.published("NIST SP 811 (2008): 10 US gallons are 37.854 L; 2.6606 kg/L of diesel by hand; 1 lb 0.45359 kg")
def test_co2_of_ten_gallons():
    told = re.search(r"(\d+) lb from 10.0 gal of diesel", " ".join(printed(made(), system="us").split()))
    assert float(told[1]) == pytest.approx(2.6606 * 37.854 / 0.45359, abs=0.5)


def test_a_tank_that_does_not_see_it_through():
    text = " ".join(printed(made(), with_engine(fuel_tank=0.025, def_tank=0.001)).split())
    assert "This task burns more than a full tank of fuel, 25.0 L." in text
    assert "This task takes more than a full tank of DEF, 1.0 L." in text
    assert "more than a full tank" not in printed(made(), with_engine(fuel_tank=0.03, def_tank=0.002))


def test_without_an_engine_it_is_said():
    usage = dataclasses.replace(USED, fuel=None, def_fluid=None, co2=None, fuel_lasts=None, def_lasts=None)
    text = printed(made(usage), job())
    assert "Fuel is not known: no engine is described." in text
    assert "CO2" not in text


def test_a_refused_task_has_nothing_to_follow():
    task = dataclasses.replace(refused(), usage=USED, cost=COST)
    assert usage_section(task, job()) is None
    assert usage_lines(task, job()) == []
    assert usage_facts(task)["fuel_l"] == pytest.approx(27.3)


def test_nothing_known_is_no_section():
    assert usage_section(made(None, None), job()) is None
    assert usage_section(made(Usage(None), None), job()) is None
    assert usage_lines(made(None, None), job()) == []
    assert usage_facts(made(None, None)) == {}


def test_tanks_alone_are_worth_a_line():
    lines = usage_lines(made(Usage(None, fuel_lasts=22 * HOUR), None), with_engine())
    assert lines == [("Lasts", "a full tank of fuel 22 h")]


def test_the_sheet_gets_a_line_each():
    lines = usage_lines(made(), with_engine())
    assert [label for label, _words in lines[:6]] == ["Time", "Water", "Fuel", "Lasts", "Tips", "Cost"]
    assert lines[5] == ("Cost", "289.36 EUR")
    assert lines[6:] == [("", "Not counted in the cost, because nobody said: the price of fuel.")]


def test_what_a_cost_or_an_extent_lacks_is_said_in_words_on_a_sheet():
    """With no price and no fact given, everything that a cost and an extent can lack is lacking."""
    bare = dataclasses.replace(JOB, prices=Prices(), tips={n: Tip(t.bore, t.inlet) for n, t in JOB.tips.items()})
    keys = dict.fromkeys(["task.travel", "task.pipe", "task.jet"])  # of an extent: plan.usage
    for times in (None, Times()):
        task = dataclasses.replace(bare.task[0], times=times)
        for used in (Usage(None), Usage(HOUR), Usage(HOUR, water=1.0)):
            keys |= dict.fromkeys(cost_of(bare, task, used).missing)
    assert len(keys) == 16
    for key, words in zip(keys, lacking_words(list(keys)), strict=True):
        first, last = key.split(".")[0], key.split(".")[-1]
        assert key in LACKING or f"{first}.{last}" in LACKING, key
        assert not re.search(r"\w[._]\w", words), words
        assert lacking_words([key], typed=True) == [key]
    assert lacking_words(["tips.S8.5.price"]) == ["the price of tip S8.5"]
    lines = usage_lines(made(Usage(None, missing=("task.travel", "task.jet")), None), with_extent())
    words = "no time follows from it, because nobody said: how fast the tool is moved on, the stand-off of the jets"
    assert ("Extent", words) in lines


def test_a_cost_without_a_line_is_no_cost():
    task = made(dataclasses.replace(USED, trigger=None), Cost("EUR", (), 0.0, ("task.planned_time",)))
    assert "EUR" not in printed(task)
    assert "nobody said: task.planned_time" in " ".join(printed(task).split())
    assert usage_facts(task)["cost"]["total"] is None


def test_facts_for_other_programs():
    facts = usage_facts(made())
    expected = {"trigger_h": 1.5, "total_h": 2.25, "crew_h": 6.75, "water_l": 1606.0, "waste_l": 1285.0}
    expected |= {"fuel_l": 27.3, "def_l": 1.1, "co2_kg": 72.6, "water_lasts_min": 20.3, "fuel_lasts_h": 22.0}
    assert {name: facts[name] for name in expected} == pytest.approx(expected)
    assert facts["worn"] == [{"tip": "R10", "count": 0.03}]
    assert facts["cost"]["lines"][0] == {
        "what": "water", "about": "", "amount": 1.606, "unit": "m3", "price": 3.2, "money": 5.14,
    }  # fmt: skip
    assert facts["cost"]["missing"] == ["prices.fuel_l"]
    nothing = usage_facts(made(Usage(None), None))
    assert {name for name, value in nothing.items() if value not in (None, [])} == set()


def test_small_words():
    assert volume_figure(0.9994) == "999 L"
    assert volume_figure(12.34) == "12.3 m³"
    assert money(0.5, "Kr") == "0.50 Kr"
    assert missing_of(Cost("EUR", (), 0.0)) == ""
