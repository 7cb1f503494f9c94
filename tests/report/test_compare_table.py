"""Two ways as they are printed: the lines add up, fit, and say what is not allowed first."""

import dataclasses
import datetime
import json
import re

import pytest

from jetwright.actions.plan import basis_for
from jetwright.files.job import read_job
from jetwright.plan.compare import QUANTITIES, compare
from jetwright.report.compare_json import KEYS, compare_json
from jetwright.report.compare_table import compare_rows, compare_table
from jetwright.report.terminal import GLUE
from jetwright.rig.description import Extent, Prices, Target, Times, Waste
from jetwright.rig.example import JOB
from tests.contract.source import ROOT

DAY = datetime.date(2026, 5, 12)
BAR, HOUR = 1e5, 3600.0
FOREIGN = {"us": r"\d (bar|L/min|kW|mm|L|kg|m³|m²|m|N)(?![\w/])", "si": r"\d (psi|gpm|hp|gal|lb|lbf|ft|ft²)(?![\w/])"}
LINE = re.compile(r"^  (\w.*?)  +([\d.−]+) (\S+)  +([\d.−]+) \S+  +(?:([+−])([\d.]+) ?(\S*)|(same))$")
COSTED = Prices("EUR", water_m3=3.0, fuel_l=1.5, crew_h=40.0)


def task(name, pressure, **fields):
    return dataclasses.replace(JOB.task[0], name=name, target=Target(nozzle_pressure=pressure * BAR), **fields)


def made(*tasks, **fields):
    job = dataclasses.replace(JOB, task=tasks, **fields)
    return compare(job, basis_for(job, day=DAY), 0, 1), job


@pytest.fixture(scope="module")
def shift():
    read = read_job(ROOT / "examples" / "shift" / "job.toml")
    return compare(read.job, basis_for(read.job, day=DAY), 0, 1), read.job


@pytest.fixture(scope="module")
def two_guns():
    """Tools behind a manifold against one of them."""
    read = read_job(ROOT / "examples" / "two-guns.toml")
    job = dataclasses.replace(read.job, task=(read.job.task[0], dataclasses.replace(read.job.task[0], name="Again")))
    return compare(job, basis_for(job, day=DAY), 0, 1), job


@pytest.mark.parametrize(
    ("counts", "cells"),
    [
        ((0.0063, 0.0), ["0.6 % of a tip", "0 % of a tip", "−0.6 points"]),
        ((0.0063, 0.03), ["0.6 % of a tip", "3.0 % of a tip", "+2.4 points"]),
        ((0.00004, 0.3), ["under 0.1 % of a tip", "30 % of a tip", "+30 points"]),
        ((0.0063, 3.24), ["under 0.1", "3.2", "+3.2"]),
        ((2.0, 2.0), ["2.0", "2.0", "same"]),
        ((None, 0.5), ["not known", "50 % of a tip", ""]),
    ],
)
def test_what_a_task_takes_of_a_tip_is_a_figure_that_somebody_can_use(shift, counts, cells):
    """Nobody draws 0.0063 tips from the store: of less than one it is a share of its life, as the plan says it."""
    told, job = shift
    ways = [
        dataclasses.replace(way, worn={"F15": count}) for way, count in zip((told.one, told.other), counts, strict=True)
    ]
    changed = dataclasses.replace(told, one=ways[0], other=ways[1])
    [row] = dict(compare_rows(changed, job))["Tips used up"]
    assert [cell.replace(GLUE, " ") for cell in row] == ["F15", *cells]


@pytest.mark.parametrize("width", [60, 80, 100])
@pytest.mark.parametrize("system", ["si", "us"])
def test_it_fits_in_the_units_asked_for(shift, system, width):
    text = compare_table(*shift, system=system, width=width)
    assert max(map(len, text.splitlines())) <= width
    assert re.search(FOREIGN[system], text) is None
    assert " ".join(text.split()).count("supports and never replaces") == 1


@pytest.mark.parametrize("system", ["si", "us"])
def test_every_line_adds_up_as_it_is_printed(shift, system):
    """B − A of what stands there, to the step of the coarser number."""
    found = [m for line in compare_table(*shift, system=system).splitlines() if (m := LINE.match(line))]
    assert len(found) > 20
    for m in found:
        here, there = (float(text.replace("−", "-")) for text in (m[2], m[4]))
        if m[8]:
            assert here == there
            continue
        steps = [10.0 ** -len(text.partition(".")[2]) for text in (m[2], m[4]) if float(text.replace("−", "-"))]
        told = float(m[6]) * (1.0 if m[5] == "+" else -1.0)
        assert there - here == pytest.approx(told, abs=0.5 * max(steps) + 1e-9), m[0]
        assert len(m[6].partition(".")[2]) <= min(len(m[2].partition(".")[2]), len(m[4].partition(".")[2])) or 0.0 in (
            here,
            there,
        )


def test_times_far_apart_keep_three_digits_each_and_are_never_in_days():
    """By hand: a quarter of an hour and 177 h."""
    told, job = made(task("One", 850, planned_time=0.25 * HOUR), task("Two", 850, planned_time=177 * HOUR))
    text = compare_table(told, job)
    assert re.search(r"^  Trigger held +0\.250 h +177 h +\+177 h$", text, re.MULTILINE)
    water = re.search(r"^  Water +([\d.]+) m³ +([\d.]+) m³", text[text.index("whole task") :], re.MULTILINE)
    assert all(len(number.replace(".", "").lstrip("0")) >= 3 for number in water.groups())
    assert not re.search(r"\d d\b", text)


def test_one_limit_is_shown_against_one_bound():
    """85 % that are kept and 100 % that there are: the worse way was judged by the first."""
    weak = dataclasses.replace(JOB.unit.engine, power=((25.0, 60e3), (35.0, 61e3)))
    unit = dataclasses.replace(JOB.unit, engine=weak)
    told, job = made(task("One", 850), task("Two", 600), unit=unit)
    [pair] = [pair for pair in told.limits if pair.one is not None and pair.one.id == "engine.power"]
    assert (pair.one.verdict, pair.other.verdict) == ("look", "within")
    assert (pair.one.bound, pair.other.bound) == (0.85, 1.0)
    [line] = [line for line in compare_table(told, job).splitlines() if line.startswith("  Engine load  ")]
    assert line.count("at most 85 %") == 2


def test_what_gives_no_time_for_the_whole_task_is_named():
    told, job = made(task("One", 850, extent=Extent(10.0, 2.0)), task("Two", 850))
    text = " ".join(compare_table(told, job).split())
    assert "A: for the whole task nothing is known, because nobody said its time, or task.travel and task.jet." in text
    assert "B: for the whole task nothing is known, because nobody said its time or its extent and travel." in text


def test_the_same_twice_has_no_difference(two_guns):
    text = compare_table(*two_guns)
    differences = {m[8] for line in text.splitlines() if (m := LINE.match(line))}
    assert differences == {"same"}


def test_what_is_not_allowed_is_said_before_any_figure():
    told, job = made(task("One", 850), task("Two", 1500))
    lines = compare_table(told, job).splitlines()
    [place] = [n for n, line in enumerate(lines) if line.startswith("● B is not allowed")]
    assert place < next(n for n, line in enumerate(lines) if re.search(r"\d bar", line) and n > 1)
    assert not any(line.startswith("● A is") for line in lines)
    assert any(re.search(r"^A  1  One +▲ look first$", line) for line in lines)
    assert any(re.search(r"^B  2  Two +● not allowed$", line) for line in lines)


def test_what_is_not_known_is_said_and_never_a_zero():
    told, job = made(task("One", 850, planned_time=HOUR, times=Times(crew=2)), task("Two", 850), prices=COSTED)
    text = compare_table(told, job)
    for label in ("Trigger held", "Time in all", "Hours of the crew", "Cost"):
        assert re.search(rf"^  {label} .* not known$", text, re.MULTILINE), label
    assert "B: for the whole task nothing is known" in text
    assert "A: Not counted in the cost, because nobody said: prices.waste_m3" in text


def test_costs_that_do_not_count_the_same_are_not_set_off():
    timed = {"planned_time": HOUR}
    told, job = made(task("One", 850, **timed, times=Times(crew=2)), task("Two", 600, **timed), prices=COSTED)
    text = " ".join(compare_table(told, job).split())
    assert "The two costs do not count the same things" in text
    told, job = made(task("One", 850, **timed), task("Two", 600, **timed), prices=COSTED)
    assert "do not count the same things" not in " ".join(compare_table(told, job).split())


def test_without_an_engine_it_is_said_and_no_line_stands_for_fuel():
    unit = dataclasses.replace(JOB.unit, engine=None)
    text = compare_table(*made(task("One", 850), task("Two", 600), unit=unit))
    assert "Fuel is not known: no engine is described." in text
    assert re.search(r"^  (Fuel|DEF|CO2|Load) ", text, re.MULTILINE) is None


@pytest.mark.published("NIST SP 811 (2008): 1 ft is 0.3048 m, so 1 m² is 10.7639 ft² and 1 m is 3.28084 ft")
def test_areas_and_what_they_cost():
    """24 m² in 2 h at 80 for two people: 12 m² an hour, 6.67 a square metre; 129.2 ft² an hour, 0.62 a square foot."""
    timed = {"planned_time": 2 * HOUR, "times": Times(crew=2), "extent": Extent(12.0, 2.0)}
    told, job = made(task("One", 850, **timed), task("Two", 600, **timed), prices=Prices("EUR", crew_h=40.0))
    si, us = (compare_table(told, job, system=system) for system in ("si", "us"))
    assert re.search(r"Cleaned +12\.0 m² +12\.0 m² +same", si)
    assert re.search(r"Cost for 1 m² +6\.67 EUR +6\.67 EUR +same", si)
    assert re.search(r"Cleaned +129 ft² +129 ft²", us)
    assert re.search(r"Cost for 1 ft² +0\.62 EUR", us)


def test_tips_of_each_way():
    tips = {"R12": dataclasses.replace(JOB.tips["R12"], life=40 * HOUR), "R14": JOB.tips["R12"]}
    tools = {"gun": JOB.tools["gun"], "other": dataclasses.replace(JOB.tools["gun"], ports=JOB.tools["gun"].ports)}
    timed = {"planned_time": 2 * HOUR}
    told, job = made(task("One", 850, **timed), task("Two", 600, **timed, tool="other"), tips=tips, tools=tools)
    assert re.search(r"^  R12 +5\.0 % of a tip +5\.0 % of a tip +same$", compare_table(told, job), re.MULTILINE)
    assert "R14" not in compare_table(told, job)


def test_speeds_stand_only_where_the_panel_shows_them(shift):
    told, job = shift
    shown = compare_table(told, dataclasses.replace(job, unit=dataclasses.replace(job.unit, shows=("engine speed",))))
    assert "Engine speed" in shown
    assert "Pump speed" not in shown
    assert "Engine speed" not in compare_table(told, job)


def test_colour_changes_no_text(shift):
    plain, coloured = compare_table(*shift), compare_table(*shift, colour=True)
    stripped = [line.rstrip() for line in re.sub(r"\x1b\[[\d;]*m", "", coloured).splitlines()]
    assert stripped == plain.splitlines()


# ---- JSON


def test_json_carries_every_figure_and_its_difference(shift):
    told, _job = shift
    facts = json.loads(compare_json(told))
    assert list(facts) == ["title", "rule_set", "day", "a", "b", "difference", "limits"]
    assert list(KEYS) == list(QUANTITIES)
    for name, (key, factor) in KEYS.items():
        for way, figures in (("a", told.one.figures), ("b", told.other.figures), ("difference", told.difference)):
            value = figures[name]
            assert facts[way][key] == (None if value is None else pytest.approx(value * factor, rel=1e-7, abs=1e-12))
    assert (facts["a"]["place"], facts["b"]["name"]) == (1, told.other.task.name)
    assert (facts["a"]["held_by"], facts["a"]["bypass"]) == ("machine", "closed")


@pytest.mark.published("by hand: 1 h is 60 min and 3600 s, 1 bar is 1e5 Pa, 1 m³ is 1000 L")
def test_json_keys_mean_their_units(shift):
    told, _job = shift
    facts = json.loads(compare_json(told))["a"]
    assert facts["trigger_h"] == 0.25
    assert facts["nozzle_bar"] == pytest.approx(600.0)
    assert facts["water_l_min"] == pytest.approx(facts["flow_l_min"], rel=1e-6)
    assert facts["water_l"] == pytest.approx(0.25 * 60.0 * facts["water_l_min"], rel=1e-6)
    assert facts["crew_h"] == pytest.approx(3 * facts["total_h"])
    assert facts["jet_power_kw"] == pytest.approx(told.one.figures["jet_power"] / 1e3)
    assert facts["pump_speed_rpm"] == pytest.approx(60.0 * told.one.figures["pump_speed"])


def test_json_names_the_limits_of_each_way(shift):
    told, _job = shift
    limits = json.loads(compare_json(told))["limits"]
    assert len(limits) == len(told.limits) > 0
    for said, pair in zip(limits, told.limits, strict=True):
        for letter, limit in (("a", pair.one), ("b", pair.other)):
            if limit is None:
                assert said[letter] is None
            else:
                assert (said[letter]["id"], said[letter]["verdict"]) == (limit.id, limit.verdict)


def test_waste_is_a_share_of_the_water():
    told, _job = made(task("One", 850, planned_time=HOUR), task("Two", 600, planned_time=HOUR), waste=Waste(2.0, 0.25))
    facts = json.loads(compare_json(told))
    for way in ("a", "b"):
        assert facts[way]["waste_l"] == pytest.approx(0.25 * facts[way]["water_l"], rel=1e-6)
        assert facts[way]["waste_fills"] == pytest.approx(facts[way]["waste_l"] / 2000.0, rel=1e-6)
