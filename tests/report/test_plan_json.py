"""The plan's JSON: the keys of the contract in its order, every number finite and in the unit its key ends in."""

import datetime
import json
import math
import re
from dataclasses import replace

import pytest

from jetwright import units
from jetwright.plan.answer import Fit, Plan
from jetwright.report.plan_json import plan_facts, plan_json
from tests.report.made import RULES, part_open, plan, refused
from tests.report.test_inlet import SIDE
from tests.report.test_usage import COST, USED
from tests.report.test_work import COVER, JET, PULL, goal

# the keys as they are promised to other programs, in their order
CONTRACT = """
title rule_set tasks
rule_set: name version
tasks: name verdict setting proving_point tools hose_run power use run_up release limits taken_as
setting: pump_speed_rpm engine_speed_rpm pump_pressure_bar pump_flow_l_min bypass bypass_flow_l_min bypass_area_mm2 \
bypass_open_share tolerance
tolerance: pump_pressure_bar pump_speed_rpm
proving_point: pump_speed_rpm bypass_area_mm2 gauge_bar band_bar
tools: branch tool inlet_bar nozzle_bar flow_l_min leak_l_min recoil_n recoil_side_n jet_power_kw jets
jets: tip count bore_mm flow_l_min speed_m_s
hose_run: branch item in_bar out_bar loss_bar speed_m_s
power: hydraulic_kw shaft_kw engine_kw engine_load
use: water_l_min fuel_l_h def_l_h
run_up: step why pump_speed_rpm bypass gauge_bar
release: gauge_bar gun_flow_l_min what
limits: id verdict value bound unit margin source verified remedy
taken_as: key value why
"""
KEYS = {
    (line.split(": ")[0] if ": " in line else ""): line.split(": ")[-1].split()
    for line in CONTRACT.strip().splitlines()
}
MORE = {
    "": {"day"},
    "rule_set": {"says", "verified_share", "looser"},
    "tasks": {
        "reaches",
        "states",
        "left",
        "restraints",
        "water",
        "cures_cut",
        "inlet",
        "jets_at_target",
        "coverage",
        "pulls",
        "goal",
        "whole_task",
        "fit",
    },
    "setting": {"opening_pressure_bar"},
    "tolerance": {"gauge_error_bar", "recoil_n", "nozzle_bar"},
    "use": {"bypass_return_deg_c"},
    "run_up": {"id", "order", "who", "bypass_area_mm2", "turns", "push_n", "openings"},
    "release": {"code"},
    "limits": {"cures", "missing", "about", "least", "quantity"},
}


def tables(value, name=""):
    """Every table of the JSON with the name it stands under; the states of triggers have tools of their own."""
    if isinstance(value, dict):
        yield name, value
        for key, inner in value.items():
            if key != "states":
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
        "says": "tip R30: bore 3.00 → 2.45 mm",
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


def test_tolerances_bands_and_steps():
    task = plan_facts(plan(part_open()))["tasks"][0]
    tolerance = task["setting"]["tolerance"]
    assert tolerance["pump_pressure_bar"] == [908.0, 957.0]
    assert tolerance["pump_speed_rpm"] == [112.0, 128.0]
    assert tolerance["recoil_n"] == [139.0]
    assert task["proving_point"]["band_bar"] == [612.0, 697.0]
    prove, stop = task["run_up"]
    assert (prove["id"], prove["order"], prove["gauge_bar"], prove["bypass"]) == (
        "a.prove",
        "run-up A",
        [612.0, 697.0],
        "part open",
    )
    assert prove["step"]
    assert prove["why"]
    assert stop["gauge_bar"] is None
    assert stop["pump_speed_rpm"] == 0.0


def test_letting_go_and_what_each_trigger_does():
    task = plan_facts(plan(part_open()))["tasks"][0]
    assert task["release"]["gauge_bar"] == 81.0
    assert task["release"]["gun_flow_l_min"] == 27.5
    assert "not to zero" in task["release"]["what"]
    held, let_go = task["states"]
    assert held["held"] == [True]
    assert held["bypass_flow_l_min"] == pytest.approx(60e3 * 0.1978 / 998.6)
    assert held["tools"][0]["recoil_n"] == 124.8
    assert held["tools"][0]["flow_l_min"] == pytest.approx(60e3 * 0.297 / 998.6)
    assert let_go["held"] == [False]
    assert not let_go["relief_opens"]
    assert not let_go["unloaded"]


def test_what_is_left_on_what_holds_and_how_long_the_water_lasts():
    task = plan_facts(plan(part_open()))["tasks"][0]
    assert task["left"] == {
        "task": "Floor",
        "pump_speed_rpm": 400.0,
        "bypass_area_mm2": 0.0,
        "gauge_bar": 1265.0,
        "relief_opens": True,
        "recoil_n": [300.0],
    }
    assert task["restraints"] == {"whip_checks": 4, "shrouds": 1}
    assert task["water"]["lasts_min"] == pytest.approx(20.3)
    assert plan_facts(plan(refused()))["tasks"][0]["setting"]["tolerance"] is None


def worked():
    """A task of which everything is known."""
    fit = Fit(datetime.date(2026, 5, 12), units.of(120.0, "rpm"), 0.0, 653e5, 620e5, 620 / 653, (), adopted=False)
    return replace(
        part_open(),
        inlet=SIDE,
        jets=(JET,),
        coverage=(COVER,),
        pulls=(PULL,),
        goal=goal(),
        usage=USED,
        cost=COST,
        fit=fit,
    )


def test_what_the_work_does_and_uses_comes_last():
    task = plan_facts(plan(worked()))["tasks"][0]
    assert list(task)[-7:] == ["inlet", "jets_at_target", "coverage", "pulls", "goal", "whole_task", "fit"]
    assert task["inlet"]["npsh_available_m"] == 5.09
    assert task["jets_at_target"][0]["pressure_bar"] == [184.0, 450.0, 600.0]
    assert task["coverage"][0]["rate_m2_h"] == pytest.approx(67.68)
    assert task["pulls"][0]["pull_n"] == 211.0
    assert task["goal"]["grade"] == "WJ-3"
    assert task["whole_task"]["water_l"] == 1606.0
    assert task["whole_task"]["cost"]["total"] == 289.36
    assert (task["fit"]["seen_bar"], task["fit"]["adopted"]) == (620.0, False)
    assert all(math.isfinite(n) for n in numbers(json.loads(plan_json(plan(worked())))))


def test_what_is_not_known_of_the_work_is_null_or_not_there():
    task = plan_facts(plan(part_open()))["tasks"][0]
    assert list(task)[-3:] == ["inlet", "whole_task", "fit"]
    assert [task[key] for key in ("inlet", "whole_task", "fit")] == [None, None, None]


def test_the_rule_set_says_how_much_of_it_was_read_and_what_was_not_taken():
    facts = plan_facts(plan())
    assert facts["day"] == "2026-05-12"
    rules = facts["rule_set"]
    assert (rules["name"], rules["version"], rules["verified_share"]) == ("eu-generic + Pier", "1 + 3", 0.5)
    (looser,) = rules["looser"]
    assert looser == {
        "id": "recoil.supported",
        "asked": 300.0,
        "kept": 250.0,
        "unit": "N",
        "source": "Norway, regulation on the performance of work, 20-1",
        "by": "H. Moe",
    }


def test_a_cure_of_words_and_what_must_be_done_with_it():
    from dataclasses import replace

    from jetwright.limits.limit import Cure

    also = Cure("tip", "tips.R10.bore", "length", 0.001, 0.0009)
    cure = Cure("release", "tools.gun.release", "", "dry shut-off", "dump", {"nozzle": 9e7}, (also,))
    task = part_open()
    limits = (replace(task.limits[4], verdict="not_allowed", cures=(cure,)),)
    [limit] = plan_facts(plan(replace(task, limits=limits)))["tasks"][0]["limits"]
    assert limit["about"] == "tools.gun"
    [said] = limit["cures"]
    assert (said["from"], said["to"], said["unit"], said["nozzle_bar"]) == ("dry shut-off", "dump", "", 900.0)
    assert said["also"][0]["to"] == 0.9
    assert "together with tip R10: bore 1.00 → 0.90 mm" in limit["remedy"]


def test_the_limits_alone():
    from jetwright.report.plan_json import limits_facts

    facts, whole = limits_facts(plan(part_open(), refused())), plan_facts(plan(part_open(), refused()))
    assert list(facts) == ["title", "rule_set", "day", "tasks"]
    for alone, task in zip(facts["tasks"], whole["tasks"], strict=True):
        assert list(alone) == ["name", "verdict", "limits", "cures_cut"]
        assert all(alone[key] == task[key] for key in alone)


def test_the_text_is_ascii_whatever_the_names():
    text = plan_json(Plan("Çelik · 鋼", RULES, (), datetime.date(2026, 5, 12)))
    assert text.isascii()
    assert json.loads(text)["title"] == "Çelik · 鋼"


@pytest.mark.parametrize("cut", [True, False])
def test_a_cut_search_for_cures_is_told(cut):
    from jetwright.report.plan_json import limits_facts

    answer = plan(replace(refused(), cures_cut=cut))
    assert plan_facts(answer)["tasks"][0]["cures_cut"] is cut
    assert limits_facts(answer)["tasks"][0]["cures_cut"] is cut
