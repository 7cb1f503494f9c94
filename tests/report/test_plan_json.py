"""The plan's JSON: the keys of the contract in its order, every number finite and in the unit its key ends in."""

import json
import math
import re

import pytest

from jetwright.plan.answer import Plan
from jetwright.report.plan_json import plan_facts, plan_json
from tests.report.made import part_open, plan, refused

# the keys as they are promised to other programs, in their order
CONTRACT = """
title rule_set tasks
rule_set: name version
tasks: name verdict setting proving_point tools hose_run power use limits taken_as
setting: pump_speed_rpm engine_speed_rpm pump_pressure_bar pump_flow_l_min bypass bypass_flow_l_min bypass_area_mm2 \
bypass_open_share
proving_point: pump_speed_rpm bypass_area_mm2 gauge_bar
tools: branch tool inlet_bar nozzle_bar flow_l_min leak_l_min recoil_n recoil_side_n jet_power_kw jets
jets: tip count bore_mm flow_l_min speed_m_s
hose_run: branch item in_bar out_bar loss_bar speed_m_s
power: hydraulic_kw shaft_kw engine_kw engine_load
use: water_l_min fuel_l_h def_l_h
limits: id verdict value bound unit margin source verified remedy
taken_as: key value why
"""
KEYS = {
    (line.split(": ")[0] if ": " in line else ""): line.split(": ")[-1].split()
    for line in CONTRACT.strip().splitlines()
}
MORE = {
    "tasks": {"reaches"},
    "setting": {"opening_pressure_bar"},
    "use": {"bypass_return_deg_c"},
    "limits": {"cures", "missing"},
}


def tables(value, name=""):
    """Every table of the JSON with the name it stands under."""
    if isinstance(value, dict):
        yield name, value
        for key, inner in value.items():
            yield from tables(inner, key)
    elif isinstance(value, list):
        for inner in value:
            yield from tables(inner, name)


def held_to_the_contract(facts):
    seen = set()
    for name, table in tables(facts):
        if name in KEYS:
            seen.add(name)
            extra = set(table) - set(KEYS[name])
            assert extra <= MORE.get(name, set()), name
            assert [key for key in table if key not in extra] == KEYS[name], name
    return seen


def numbers(value):
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        for inner in value:
            yield from numbers(inner)
    elif isinstance(value, float):
        yield value


def test_keys_and_their_order():
    assert held_to_the_contract(plan_facts(plan(part_open(), refused()))) == set(KEYS)


def test_figures_are_those_of_the_answer_in_the_unit_of_their_key():
    task = plan_facts(plan(part_open()))["tasks"][0]
    setting = task["setting"]
    assert setting["pump_speed_rpm"] == 120.0
    assert setting["pump_pressure_bar"] == 933.1
    assert setting["pump_flow_l_min"] == 29.71
    assert setting["bypass_area_mm2"] == 0.66
    assert setting["bypass"] == "part open"
    assert task["tools"][0]["jets"][0]["bore_mm"] == 1.0
    assert task["tools"][0]["jet_power_kw"] == 26.2
    assert task["power"]["engine_kw"] == 73.0
    assert task["use"]["fuel_l_h"] == 18.2
    assert task["use"]["bypass_return_deg_c"] == pytest.approx(303.7 - 273.15)
    assert [item["loss_bar"] for item in task["hose_run"]] == [10.5, 10.5, 10.5]


def test_what_is_not_known_is_null_and_noise_is_nought():
    task = plan_facts(plan(part_open()))["tasks"][0]
    assert task["use"]["def_l_h"] is None
    assert task["limits"][2]["value"] is None
    assert task["tools"][0]["recoil_side_n"] == 0.0
    assert plan_facts(plan(refused()))["tasks"][0]["tools"][0]["jets"][1]["bore_mm"] is None


def test_limits_carry_bound_unit_and_remedy():
    limits = {limit["id"]: limit for limit in plan_facts(plan(refused()))["tasks"][0]["limits"]}
    speed = limits["pump.speed"]
    assert (speed["value"], speed["bound"], speed["unit"]) == (656.0, 500.0, "rpm")
    assert speed["remedy"].startswith("tip R30: bore 3.00 → 2.45 mm: 900 bar at the tip, 489 rpm, engine 93 %; or ")
    assert [cure["kind"] for cure in speed["cures"]] == ["tip", "hose", "target", "speed"]
    assert speed["cures"][0] == {
        "kind": "tip",
        "key": "tips.R30.bore",
        "from": 3.0,
        "to": 2.45,
        "unit": "mm",
        "nozzle_bar": 900.0,
        "pump_speed_rpm": 489.0,
        "engine_load": 0.93,
    }
    assert limits["bypass.range"]["unit"] == "mm2"
    assert limits["bypass.range"]["remedy"] == ""
    assert plan_facts(plan(refused()))["tasks"][0]["reaches"]["nozzle_bar"] == 543.0


def test_taken_as_a_person_would_write_it():
    taken = plan_facts(plan(part_open()))["tasks"][0]["taken_as"]
    assert taken[0] == {"key": "tips.R10.cd", "value": "0.90", "why": "rounded inlet"}
    assert taken[1]["value"] == "0.01 mm"


def test_no_number_has_a_floats_tail():
    text = plan_json(plan(part_open(), refused()))
    assert [n for n in re.findall(r"-?\d+\.\d+", text) if len(n.strip("-0.").replace(".", "")) > 9] == []
    assert all(math.isfinite(n) for n in numbers(json.loads(text)))


def test_a_number_that_is_none_is_never_printed():
    from dataclasses import replace

    task = part_open()
    broken = replace(task, setting=replace(task.setting, pump_pressure=math.nan))
    with pytest.raises(ValueError, match="JSON"):
        plan_json(plan(broken))


def test_the_text_is_ascii_whatever_the_names():
    text = plan_json(Plan("Çelik · 鋼", "eu-generic", "0.1", ()))
    assert text.isascii()
    assert json.loads(text)["title"] == "Çelik · 鋼"
