"""The change card: its first line first, nothing said twice, every figure in one system, and no line too wide."""

import datetime
import json
import re
from dataclasses import replace

import hypothesis
import pytest
from rich.cells import cell_len

from jetwright.errors import RigError
from jetwright.plan.answer import LeftOver
from jetwright.report.change_json import change_facts, change_json
from jetwright.report.change_table import change_rows, change_table
from jetwright.report.terminal import GLUE
from jetwright.report.wording import caution, left_words
from jetwright.rig.description import Bypass, Cleaned, Hazards, Operator, Reading, Target
from tests.limits.unit_a import BAR, GUN, RPM, UNIT
from tests.plan.test_change import FLOOR, HEAD, WALL, card_of, pair, shift, two_tasks
from tests.plan.test_run_up import GUNS
from tests.tier import PLANNED_RIGS

METRIC = re.compile(r"\d\S* (bar|L/min|kW|N|kg|mm|mm²|m)(?![\w²/])")
US = re.compile(r"\d (psi|gpm|hp|lbf|in|ft|lb)\b")
NAMED = replace(
    WALL,
    object=Cleaned("steel", 1200 * BAR, "client"),
    operator=Operator(78.0, "scaffold", guard_rail=True),
    stops=("trigger: Bo", "unit: Ada"),
    hazards=Hazards(ignition=False),
)
TURNED = replace(UNIT, bypass=replace(UNIT.bypass, turns=6.0))
REFUSED = {"head": HEAD, "gun": GUNS["dry shut-off"]}


def card_and_job(*tasks, before=0, after=1, **parts):
    job = shift(*tasks, **parts)
    return card_of(job, before, after), job


def told(*tasks, system="si", **parts):
    """The card as one line of text."""
    return " ".join(change_table(*card_and_job(*tasks, **parts), system=system).split())


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("width", [60, 80, 100])
def test_it_fits(system, width):
    for card, job in (card_and_job(FLOOR, NAMED), card_and_job(FLOOR, NAMED, tools=REFUSED)):
        text = change_table(card, job, system, width)
        assert max(cell_len(line) for line in text.splitlines()) <= width
        assert GLUE not in text


def test_what_must_not_be_left_on_comes_first_and_large():
    lines = change_table(*card_and_job()).splitlines()
    assert lines[0] == "SPEED TO START, BYPASS OPEN, BEFORE THE TOOL IS TOUCHED."
    assert set(lines[1]) == {"─"}
    assert lines[2].startswith("Start speed is 120 rpm; the gauge then shows ")
    assert change_table(*card_and_job(), colour=True).startswith("\x1b[1mSPEED TO START")


def test_the_other_valves_have_their_own_first_line():
    for bypass, first in (
        ("regulating", "SPEED TO START, REGULATOR BACKED OFF, BEFORE THE TOOL IS TOUCHED."),
        ("unloader", "SPEED TO START, ENGINE OFF, VENTED, BEFORE THE TOOL IS TOUCHED."),
    ):
        job = pair(bypass, "direct", "dump", (1.4e-3, 1.35e-3))
        text = change_table(card_of(job), job)
        assert text.splitlines()[0] == first
        assert "Engine at 1500 rpm." in text


def test_what_the_old_setting_would_do_is_told_with_what_a_hand_may_hold():
    card, job = card_and_job()
    text = told()
    [hold] = card.holds
    assert f"gauge {round(card.left.gauge / BAR, -1):.0f} bar, the relief lifts, {hold.push:.0f} N" in text
    assert "rpm with the bypass shut" in text
    assert f"gun: {hold.push:.0f} N ({hold.push / 9.80665:.1f} kg), more than the 150 N (15.3 kg) that a hand" in text
    assert "Rated below that gauge: pump 1100 bar." in text
    gentle = told(before=1, after=0)
    assert "below the relief's 1150 bar, as far as the plan knows" in gentle
    assert "a hand may hold" not in gentle
    assert "Rating not known: hose H, gun." in text
    assert "It may have been 4" in text
    free = told(unit=replace(job.unit, relief=()))
    assert re.search(r"gauge above 1\d\d0 bar, for nothing described holds it, more than 1\d\d N", free)
    assert "4010 bar" not in free
    assert "No relief is described" in told(before=1, after=0, unit=replace(job.unit, relief=()))


def test_without_an_opening_by_hand_no_gauge_is_promised():
    unit = replace(shift().unit, bypass=Bypass("unloader", "tank", set=1100 * BAR))
    lines = change_table(*card_and_job(before=1, after=0, unit=unit)).splitlines()
    assert lines[0] == "SPEED TO START, DRIVE TO ZERO, ENGINE OFF, VENTED, BEFORE THE TOOL IS TOUCHED."
    assert lines[2] == "Start speed is 120 rpm. It may stand above 7.0 bar, and then breaks skin."


def test_what_the_object_bears_is_held_against_the_tip():
    text = told(FLOOR, replace(WALL, object=Cleaned("plaster", withstands=400 * BAR)))
    assert re.search(r"The object withstands 400 bar; at the tip it would be 1\d\d\d bar or more\.", text)


def test_the_push_says_when_it_comes():
    words = left_words(LeftOver("A", 2.0, 0.0, 94e6, False, (255.0, 181.0), when=("kick", "alone")))[1]
    assert "255 N (26.0 kg) at tool 1 as it is pressed" in words
    assert "181 N (18.5 kg) at tool 2 pressed alone" in words


def test_a_support_and_an_operator_bear_on_what_may_be_held():
    rest = {"head": HEAD, "gun": replace(GUN, support="body rest")}
    text = told(FLOOR, replace(WALL, operator=Operator(lightest=40.0)), tools=rest)
    assert "and a hand may hold 250 N (25.5 kg) like this" in text
    assert "more than the 131 N (13.3 kg) that the lightest operator may hold" in text


def test_only_what_differs_is_told_and_the_rest_named_once():
    card, job = card_and_job(NAMED, replace(NAMED, name="Door", rise=3.0))
    *rows, (stays,) = dict(change_rows(card, job))["What changes"]
    assert [what for what, _before, _after in rows] == ["Tool above the pump"]
    stays, silent = stays.split(" Not said in full for either task: ")
    for name in ("tool", "tips", "hoses", "fittings", "hose run", "recoil", "operator", "stops"):
        assert f" {name}" in stays
    assert silent == "hazards."
    text = change_table(card, job)
    assert text.count("1. trigger: Bo, 2. unit: Ada") == 0
    changed = dict(change_rows(*card_and_job(FLOOR, NAMED)))["What changes"]
    assert ("Hoses", "take out W", "put in H") in changed
    assert ("Stops", "not named", "1. trigger: Bo, 2. unit: Ada") in changed
    assert ("Operator", "not said", "78.0 kg or heavier, on a scaffold, with a guard rail") in changed
    assert ("Object", "not said", "steel, withstands 1200 bar (client)") in changed
    assert any(row[-1] == "not said: confined space, live electrical parts, dangerous product" for row in changed)
    there = replace(NAMED, hazards=Hazards(ignition=False, confined_space=True))
    changed = dict(change_rows(*card_and_job(FLOOR, there)))["What changes"]
    assert any(row[-1].startswith("confined space; not said: live electrical parts, ") for row in changed)


def test_what_nobody_said_is_not_said_to_stay():
    """Two tasks of which nothing is said but their heights: who stands there, and what is there, may be anything."""
    tools = {"head": HEAD, "gun": replace(GUN, support=None, held_by=None)}
    [*_rows, (told,)] = dict(change_rows(*card_and_job(WALL, replace(WALL, name="Far", rise=8.0), tools=tools)))[
        "What changes"
    ]
    stays, silent = told.split(" Not said in full for either task: ")
    assert silent == "held by, operator, stops, object, hazards."
    assert not any(name in stays for name in silent.rstrip(".").split(", "))
    all_said = replace(NAMED, hazards=Hazards(False, False, False, False))
    [*_rows, (told,)] = dict(change_rows(*card_and_job(all_said, replace(all_said, name="Far", rise=8.0))))[
        "What changes"
    ]
    assert told.endswith("held by, operator, stops, restraints, object, hazards.")


def test_all_that_a_change_fits_is_named_after_the_new_plan_is_taken():
    acts = [row[1] for row in dict(change_rows(*card_and_job()))["Change over"] if len(row) == 4]
    assert acts[0].startswith("Take the new tool's plan: ")
    assert acts[1] == "Change what is listed above, restraints too."


def test_each_step_says_what_the_gauge_must_show():
    parts = dict(change_rows(*card_and_job()))
    titles = list(parts)
    assert titles[2:5] == [
        "Stop “Floor”, with the gauge to expect",
        "Change over",
        "Run up “Wall”, with the gauge to expect",
    ]
    steps = [row for title in titles[2:5] for row in parts[title] if len(row) == 4]
    assert [letter for letter, *_others in steps] == list("ABCDEFGHJKLMNPQRSTUVWXYZ")[: len(steps)]
    [(_letter, act, speed, gauge)] = [row for row in steps if row[1].startswith("Proving point")]
    assert speed.replace(GLUE, " ") == "120 rpm"
    assert re.fullmatch(r"\d+ to \d+ bar", gauge)
    assert "Outside the band nobody goes on." in act
    [agreed] = parts[titles[4]][-1]
    assert agreed.startswith("Pressure is changed only by agreement with the operator (Norway, regulation")


def test_no_step_of_a_card_is_called_as_a_step_of_the_way_up():
    """A figure names a step of the sheet; neither a letter nor the same letter twice can be taken for it."""
    for tasks in ((0, 1), (1, 0)):
        card, job = card_and_job(before=tasks[0], after=tasks[1])
        names = [row[0] for _title, rows in change_rows(card, job) for row in rows if len(row) == 4]
        assert len(names) == len(set(names)) == len(card.steps)
        assert all(re.fullmatch("[A-HJ-NP-Z]+", name) for name in names)
        text = change_table(card, job)
        assert [name for name in names if not re.search(rf"^ +{name}  \S", text, re.MULTILINE)] == []


def test_the_openings_on_the_way_up_are_left_to_the_plan():
    """Close the bypass slowly: openings from 20.0 mm² on, in the card and not among its rows."""
    card, job = card_and_job(unit=TURNED)
    acts = [row[1] for _title, rows in change_rows(card, job) for row in rows if len(row) == 4]
    [slowly] = [act for act in acts if act.startswith("Close the bypass slowly")]
    assert "mm²" not in slowly
    assert "20.0 mm² 120 rpm" in told(unit=TURNED)
    assert "(about 6.0 turns) under 10 bar; 12.0 mm²" in told(unit=TURNED)


def test_an_opening_is_told_in_turns_of_the_stem_or_not_at_all():
    """The wall's bypass stands part open: nobody sees a hole, and a hand counts turns or reads a gauge."""
    for before, after in ((0, 1), (1, 0)):
        assert "mm²" not in told(before=before, after=after)
    assert "part open, set by the gauge alone" in told()
    assert "with the bypass part open, as it was set" in told(before=1, after=0)
    assert "at 120 rpm, set by the gauge alone" in told()
    assert "part open, 0.660 mm² (about 0.20 turns)" in told(unit=TURNED)
    assert re.search(r"at 120 rpm, bypass 1\.0\d mm² \(about 0\.30 turns\) open", told(unit=TURNED))
    assert re.search(r"with the bypass 0\.6\d\d mm² \(about 0\.\d\d turns\) open", told(before=1, after=0, unit=TURNED))


def test_a_bypass_that_is_set_by_the_gauge_is_not_said_to_stay():
    """The words may be the same and the opening another: it was open in between, and is set anew."""
    far = replace(WALL, name="Far wall", rise=8.0)
    assert "All else stays" in told(WALL, far)
    stays = told(WALL, far).split("All else stays")[1].split(".")[0]
    assert "bypass" not in stays


def test_nothing_is_set_where_the_task_to_come_is_not_allowed():
    card, job = card_and_job(tools=REFUSED)
    parts = dict(change_rows(card, job))
    assert not any(title.startswith(("Change over", "Run up")) for title in parts)
    [locked] = parts["Stop “Floor”, with the gauge to expect"][-1]
    assert locked.startswith("“Wall” is not allowed: it stays locked.")
    assert "not to be set" in {row[-1] for row in parts["What changes"]}
    assert "take out" not in json.dumps(change_rows(card, job))
    assert "put in" not in json.dumps(change_rows(card, job))
    assert "→" not in json.dumps(change_rows(card, job), ensure_ascii=False)
    assert "● not allowed" in change_table(card, job)


def test_a_refused_task_before_is_told_and_still_stopped():
    text = told(before=1, after=0, tools=REFUSED)
    assert "“Wall” is not allowed, and its setting belongs on no machine; should it stand there all the same:" in text
    assert "Lock it" in text
    tips = card_and_job()[1].tips
    tiny = {**tips, "T": replace(tips["T"], bore=0.15e-3)}
    lost = told(replace(WALL, target=Target(flow=1e-3)), FLOOR, tips=tiny)
    assert lost.startswith("SPEED TO START, BYPASS OPEN, BEFORE THE TOOL IS TOUCHED.")
    assert "no speed serves it: what stands on the machine is not known" in lost


def test_a_reading_that_does_not_hold_is_one_line():
    day = datetime.date(2026, 5, 4)
    reading = (Reading("Floor", day, 120 * RPM, 60 * BAR),)
    [(line,)] = dict(change_rows(*card_and_job(reading=reading)))["Readings"]
    assert line.startswith("The reading of 2026-05-04 on “Floor”, 60 bar at 120 rpm, does not hold for “Wall”:")
    assert "other tips, other hoses, another tool" in line
    assert "Readings" not in dict(change_rows(*card_and_job()))


def test_one_system_throughout():
    assert METRIC.findall(told(FLOOR, NAMED, system="us")) == []
    assert US.findall(told(FLOOR, NAMED)) == []
    lines = change_rows(*card_and_job(FLOOR, NAMED), system="us")
    assert METRIC.findall(json.dumps(lines, ensure_ascii=False)) == []


def test_the_caution_stands_once():
    assert told().count(caution()) == 1


def test_the_json_carries_its_units():
    card, _job = card_and_job(FLOOR, NAMED)
    facts = json.loads(change_json(card))
    assert facts["first"]["step"] == "Speed to start, bypass open, BEFORE the tool is touched."
    assert facts["left"]["gauge_bar"] == pytest.approx(card.left.gauge / BAR)
    assert facts["left"]["tools"][0]["may_hold"][0]["bound_n"] == 150.0
    assert facts["left"]["rated_below"] == [{"part": "unit.pump", "rating_bar": 1100.0}]
    assert (facts["before"]["place"], facts["after"]["place"]) == (1, 2)
    [along], [across] = facts["after"]["recoil_n"], facts["after"]["recoil_side_n"]
    assert (along, across) == pytest.approx(card.after.recoil[0], rel=1e-7)  # eight digits
    assert facts["differs"] == list(card.differs)
    assert [step["id"] for step in facts["steps"]] == [step.id for step in card.steps]
    assert facts["task"]["verdict"] == card.task.verdict
    assert "run_up" not in facts["task"]
    refused = change_facts(card_and_job(tools=REFUSED)[0])
    assert refused["after"]["setting"] is None


@hypothesis.settings(max_examples=PLANNED_RIGS // 2)
@hypothesis.given(two_tasks())
def test_any_card_can_be_written_and_begins_with_its_first_line(job):
    job = replace(job, task=tuple(job.task))
    try:
        card = card_of(job)
    except RigError:
        return
    for width in (60, 100):
        text = change_table(card, job, "us", width)
        assert text.startswith("SPEED TO START")
        assert max(cell_len(line) for line in text.splitlines()) <= width
    assert change_rows(card, job)[0][0].startswith("Speed to start")
    assert change_facts(card)["first"]["pump_speed_rpm"] > 0.0
