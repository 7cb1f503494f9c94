"""What a page of draws says, held to the answer it was made from."""

import dataclasses
import datetime
import json
import re

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from jetwright import units
from jetwright.limits.rules import RuleSet
from jetwright.plan.answer import Plan, ProvingPoint, Setting, TaskPlan, Tolerance, ToolState
from jetwright.plan.draws import Draws, InputShare, Percentiles
from jetwright.report.draws_json import draws_json
from jetwright.report.draws_table import draws_table, input_words, measure_words, percents
from jetwright.report.figures import number
from jetwright.report.terminal import GLUE
from jetwright.rig.description import Gauge
from jetwright.rig.example import JOB

BAR, RPM = 1e5, 1.0 / 60.0
GAUGED = dataclasses.replace(JOB, unit=dataclasses.replace(JOB.unit, gauge=Gauge(1600 * BAR, 1.6, 20 * BAR)))
TIP = InputShare("tip", "R12", False, (0.15, 0.85, 0.74, 0.155, 0.687))
PUMP = InputShare("pump_flow", "", True, (0.0, 0.145, 0.116, 0.0, 0.0))
READ = InputShare("gauge", "", False, (0.836, 0.0, 0.144, 0.835, 0.31))
COLD = InputShare("temperature", "", False, (0.001, 0.005, 0.0, 0.001, 0.001))
INLET = InputShare("inlet", "R12", False, (0.6, 0.8, 0.85, 0.6, 0.89))
DRAWS = Draws(
    count=10_000,
    seed=3,
    gauge=Percentiles(987 * BAR, 1021 * BAR, 1063 * BAR),
    speed=Percentiles(131 * RPM, 142 * RPM, 153 * RPM),
    proving=Percentiles(658 * BAR, 750 * BAR, 861 * BAR),
    nozzle=(Percentiles(860 * BAR, 898 * BAR, 931 * BAR),),
    recoil=(Percentiles(228.0, 243.8, 259.7),),
    inputs=(TIP, READ, PUMP, COLD),
    rest=(0.013, 0.0, 0.0, 0.009, 0.002),
)
KNOWN = Tolerance(
    (986 * BAR, 1062 * BAR), (131 * RPM, 153 * RPM), (655 * BAR, 858 * BAR), (260.5,), (932 * BAR,), 25.6 * BAR
)
TOOL = ToolState(1, "gun", 901 * BAR, 898 * BAR, 4e-4, 0.0, 243.8, 0.0, 8e4, ())


def planned(verdict="look", known=KNOWN, band=(655 * BAR, 858 * BAR)):
    setting = Setting(142 * RPM, 1500 * RPM, 1018 * BAR, 6e-4, "closed", 0.0, 0.0)
    proving = ProvingPoint(120 * RPM, 0.0, 748 * BAR, band)
    task = TaskPlan("Bund", verdict, setting, proving, (TOOL,), (), None, None, (), (), tolerance=known)
    return Plan("Bund", RuleSet("no", "1", "Norway", {}), (task,), datetime.date(2026, 3, 2))


def said(draws=DRAWS, plan=None, **options):
    return draws_table(plan or planned(), (draws,), GAUGED, **options)


def line(text, start):
    [found] = [one for one in text.splitlines() if one.strip().startswith(start)]
    return re.split(r"  +", found.strip())


def test_bands_stand_beside_the_plans_no_finer_than_the_gauge():
    """The gauge is read to 10 bar; ends go outward, so that no band reads narrower than it is: 259.7 and 260.5 N."""
    text = said()
    assert "Drawn 10000 times" in text
    assert line(text, "Gauge at the target") == [
        "Gauge at the target",
        "980 to 1070 bar",
        "1020 bar",
        "980 to 1070 bar",
    ]
    assert line(text, "Gauge at the proving") == [
        "Gauge at the proving point",
        "650 to 870 bar",
        "750 bar",
        "650 to 860 bar",
    ]
    assert line(text, "Pump speed") == ["Pump speed", "131 to 153 rpm", "142 rpm", "131 to 153 rpm"]
    assert line(text, "gun: at the tip") == ["gun: at the tip", "860 to 931 bar", "898 bar", "up to 932 bar"]
    assert line(text, "gun: recoil") == ["gun: recoil", "228 to 260 N", "244 N", "up to 261 N"]


def test_inputs_stand_by_what_they_decide_with_what_to_measure():
    text = said()
    assert line(text, "tip R12") == [
        "tip R12",
        "15 %",
        "85 %",
        "74 %",
        "69 %",
        "pin its bore; a flow meter at the inlet",
    ]
    assert line(text, "flow of the pump") == ["flow of the pump", "0 %", "14 %", "12 %", "0 %", "measured already"]
    assert line(text, "the rest") == ["the rest together", "1 %", "1 %", "0 %", "0 %"]
    assert "Less than 1 % of any: water temperature." in text
    assert "Off the plan's band" not in text


@given(st.floats(1e-3, 5e8), st.sampled_from(["bar", "N", "rpm"]), st.sampled_from(["si", "us"]))
def test_an_end_of_a_band_is_never_inside_what_it_ends(value, unit, system):
    low, near, high = (float(number(value, unit, system, up=up)) for up in (False, None, True))
    shown = units.to(value, units.shown(unit, system))
    assert low <= shown + 1e-5
    assert high >= shown - 1e-5
    assert low <= near <= high


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("width", [60, 100])
def test_a_page_fits_and_breaks_no_figure(width, system):
    text = said(width=width, system=system)
    assert max(map(len, text.splitlines())) <= width
    unit, foreign = ("psi", "bar") if system == "us" else ("bar", "psi")
    assert f" {unit}" in text
    assert not re.search(rf"\d {foreign}\b", text)
    assert not re.search(r"\d+ (to|rpm|bar|psi|N|lbf|%)?$(?=\n +(rpm|bar|psi|N|lbf|%)\b)", text, re.MULTILINE)
    assert " ".join(text.split()).count("supports and never replaces") == 1
    assert "a flow meter at the inlet" in " ".join(text.split())


def test_an_unknown_inlet_tells_why_the_plan_goes_farther():
    wide = dataclasses.replace(KNOWN, proving=(568 * BAR, 1592 * BAR), recoil=(276.0,))
    text = " ".join(said(dataclasses.replace(DRAWS, inputs=(INLET, TIP)), planned(known=wide)).split())
    assert "Off the plan's band by more than a tenth of it: gauge at the proving point; recoil." in text
    assert "The plan takes the inlet of R12 at its worse end" in text
    assert "look into the tip: sharp, rounded or a cone" in text
    assert "The plan's band at the proving point ends at the target's gauge" in text


def test_another_difference_takes_the_wider_of_the_two():
    narrow = dataclasses.replace(KNOWN, pump_speed=(131 * RPM, 149 * RPM))
    text = " ".join(said(plan=planned(known=narrow)).split())
    assert "Off the plan's band by more than a tenth of it: speed." in text
    assert "take the wider of the two" in text


def test_a_refused_task_is_not_to_be_set():
    assert "not to be set" in said(plan=planned("not_allowed"))
    assert "not to be set" not in said()


def test_a_target_not_to_be_had_draws_nothing():
    text = draws_table(planned("not_allowed", None), (None,), GAUGED)
    assert "not to be had at any speed: nothing was drawn" in text
    assert "Drawn" not in text
    [task] = json.loads(draws_json(planned("not_allowed", None), (None,)))["tasks"]
    assert task == {"name": "Bund", "verdict": "not_allowed", "draws": None}


def test_what_is_printed_of_a_figure_adds_up_to_all_of_it():
    columns = re.findall(r"^ +(?:tip|the gauge +|flow of|the rest).*", said(), re.MULTILINE)
    cells = [list(map(int, re.findall(r"(\d+) %", row))) for row in columns]
    assert [sum(column) for column in zip(*cells, strict=True)] == [100] * 4


@settings(max_examples=200)
@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=9))
def test_rounded_shares_add_up_and_none_is_off_by_one(raw):
    assume(sum(raw) > 1e-3)
    shares = [share / sum(raw) for share in raw]
    told = [float(text.split(GLUE)[0]) for text in percents(shares)]
    assert sum(told) == 100
    assert max(abs(one - 100.0 * share) for one, share in zip(told, shares, strict=True)) < 1.0 + 1e-9
    assert {text[0] for text in percents([0.0] * len(raw))} == {"0"}


def test_nobody_is_sent_with_a_drum_to_a_jet():
    names = ("tip", "inlet", "hose_bore", "roughness", "tails", "pump_flow", "speed", "temperature", "gauge")
    assert not [name for name in names if "drum" in measure_words(InputShare(name, "R12", False, ()))]


def test_nothing_spread_is_said():
    assert "Nothing: no input is spread." in said(dataclasses.replace(DRAWS, inputs=()))


def test_every_input_has_words_and_a_way_to_measure_it():
    names = ("tip", "inlet", "hose_bore", "roughness", "tails", "pump_flow", "speed", "temperature", "gauge")
    inputs = [InputShare(name, "R12", False, ()) for name in names]
    assert len({input_words(one) for one in inputs}) == len({measure_words(one) for one in inputs}) == len(names)
    assert {measure_words(dataclasses.replace(one, measured=True)) for one in inputs} == {"measured already"}


def test_json_says_the_same_in_bar_rpm_and_newtons():
    [task] = json.loads(draws_json(planned(), (DRAWS,)))["tasks"]
    draws = task["draws"]
    assert (task["name"], task["verdict"], draws["count"], draws["seed"]) == ("Bund", "look", 10_000, 3)
    assert draws["gauge"] == {
        "p5_bar": 987.0,
        "p50_bar": 1021.0,
        "p95_bar": 1063.0,
        "plan_low_bar": 986.0,
        "plan_high_bar": 1062.0,
        "apart": False,
    }
    assert (draws["speed"]["p5_rpm"], draws["proving"]["plan_low_bar"]) == (131.0, 655.0)
    [tool] = draws["tools"]
    assert (tool["branch"], tool["tool"], tool["nozzle"]["plan_high_bar"], tool["recoil"]["p95_n"]) == (
        1,
        "gun",
        932.0,
        259.7,
    )
    assert draws["inputs"][0] == {
        "input": "tip",
        "tip": "R12",
        "measured": False,
        "measure": "pin its bore; a flow meter at the inlet",
        "shares": {"gauge": 0.15, "speed": 0.85, "proving": 0.74, "nozzle": [0.155], "recoil": [0.687]},
    }
    assert draws["together"] == {"gauge": 0.013, "speed": 0.0, "proving": 0.0, "nozzle": [0.009], "recoil": [0.002]}
