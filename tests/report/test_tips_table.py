"""Checks of jetwright.report.tips_table and jetwright.report.tips_json."""

import json
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from jetwright.actions.plan import basis_for
from jetwright.files.job import read_job
from jetwright.limits.limit import Limit
from jetwright.plan.tip_answer import Edge, Instead, Nothing, Refusal, Way
from jetwright.plan.tip_box import places_of
from jetwright.plan.tip_order import Wish
from jetwright.plan.tips import choose_tips, tips_for_job
from jetwright.report.terminal import GLUE
from jetwright.report.tips_json import tips_json
from jetwright.report.tips_table import against_words, ports_lines, refusal_words, tips_table, tips_words, where_words
from jetwright.rig.description import Job, Port, Tip, Tool
from jetwright.rig.example import JOB

EXAMPLES = Path(__file__).parents[2] / "examples"
SHIFT = read_job(EXAMPLES / "shift" / "job.toml")
MORE = replace(JOB, tips=dict(JOB.tips) | {"R10": Tip(1.0e-3, "rounded"), "R30": Tip(3.0e-3, "rounded")})


@pytest.fixture(scope="module")
def shift():
    return tips_for_job(SHIFT.job, basis_for(SHIFT.job), Wish())


def shown(job: Job, choice, width=100, system="si"):
    plan = tips_for_job(JOB, basis_for(JOB), Wish())
    return tips_table(replace(plan, tasks=(choice,)), job, {}, system, width)


def pasted(line):
    """Whether a line is one to paste, which is never broken."""
    return bool(re.match(r" +(\{ tip = |ports = )", line))


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("width", [60, 76, 90, 100])
def test_no_line_but_those_to_paste_is_wider_than_asked(shift, width, system):
    lines = tips_table(shift, SHIFT.job, SHIFT.written, system, width).splitlines()
    assert max(len(line) for line in lines if not pasted(line)) <= width
    foreign = r"\d (bar|L/min|kW|N|m/s)\b" if system == "us" else r"\d (psi|gpm|hp|lbf|ft/s)\b"
    text = "\n".join(line for line in lines if not pasted(line))
    assert re.search(foreign, text) is None


@pytest.mark.parametrize(
    ("ways", "words"),
    [
        (999_999, "999999"),
        (1_000_000_000_000, "1000000 million"),
        (1_000_000_000_001, "a 1 with 13 zeros"),
        (17_000_000_000_000_000_000, "a 1 with 20 zeros"),
        (10**20, "a 1 with 20 zeros"),
    ],
)
def test_no_count_of_ways_is_said_smaller_than_it_is(ways, words):
    choice = choose_tips(MORE, 0, basis_for(MORE), Wish())
    text = " ".join(shown(MORE, replace(choice, ways=ways)).split())
    assert f"of at most {words}, the most jet power first" in text


def test_a_torque_is_told_in_pounds_force_and_feet(shift):
    """4.9 N m are 3.61 lbf ft: NIST SP 811, 1 lbf ft = 1.355818 N m."""
    at, choice = next((at, one) for at, one in enumerate(shift.tasks) if any(places.lever for places in one.places))
    plan = replace(shift, tasks=(replace(choice, wish=Wish(least_torque=4.9)),))
    text = tips_table(plan, SHIFT.job, SHIFT.written, "us")
    assert "with 3.61 lbf ft of torque at least" in " ".join(text.split())
    assert "N m" not in text
    torque = choice.best[0].torque
    assert re.search(rf"{abs(torque) / 1.355818:.3g}\d* lbf ft", text), (at, torque)
    assert "4.90 N m of torque at least" in " ".join(tips_table(plan, SHIFT.job, SHIFT.written).split())


def test_what_of_a_tip_was_not_looked_at_is_said_once(shift):
    text = " ".join(tips_table(shift, SHIFT.job, SHIFT.written).split())
    assert len(shift.tasks) > 1
    assert text.count("not its thread, its seat, nor what pressure it is made for: look that they fit.") == 1


def test_what_the_tools_carry_beyond_the_count_is_said():
    choice = choose_tips(MORE, 0, basis_for(MORE), Wish())
    assert "Counted as carried" not in shown(MORE, choice)
    offers = (replace(choice.offers[0], pieces=3, carried=3), *choice.offers[1:])
    text = " ".join(shown(MORE, replace(choice, offers=offers)).split())
    assert "more than the file says: 3 × R12. Write count for what is owned." in text


def test_the_first_way_within_limits_is_named_where_the_best_is_to_be_looked_at():
    choice = choose_tips(MORE, 0, basis_for(MORE), Wish())
    best = replace(choice.best[0], verdict="look")
    within = replace(best, verdict="within", jet_power=25e3)
    said = "The first that is within limits is 3, with 25.0 kW."
    for ways, told in (((best, best, within, within), True), ((best, best), False), ((within, best), False)):
        text = " ".join(shown(MORE, replace(choice, best=ways)).split())
        assert (said in text) == told
        assert ("The best is to be looked at first." in text) == told


def test_only_what_would_do_is_advised():
    choice = choose_tips(MORE, 0, basis_for(MORE), Wish())
    tips = (("R12",),)
    none = replace(choice, best=(), nothing=Nothing(choice.best[0], (Refusal("pull", 1),), pull=167.0))
    text = " ".join(shown(MORE, none).split())
    assert "167 N of pull can be had and is allowed: ask for no more. The tips that give it do not do" in text
    assert "would do" not in text
    changes = (Instead("area", 1.21, 5e7, tips), Instead("area", 0.9, 5e7, tips), Instead("target", 1.1, 5.5e7, tips))
    text = " ".join(shown(MORE, replace(none, nothing=replace(none.nothing, instead=changes))).split())
    assert "Larger tips would do: of 21 % more area than 1 × R12." in text
    assert "Smaller tips would do: of 10 % less area than 1 × R12." in text
    assert "A target of 550 bar with 1 × R12 would do." in text
    assert "do not do" not in text


@pytest.mark.parametrize("width", [60, 100])
def test_each_page_says_once_what_no_plan_replaces(shift, width):
    text = " ".join(tips_table(shift, SHIFT.job, SHIFT.written, width=width).split())
    assert text.count("supports and never replaces training") == 1
    assert text.count("Judged by eu-generic") == 1


def test_colour_changes_nothing_but_the_colour(shift):
    plain, coloured = (tips_table(shift, SHIFT.job, SHIFT.written, colour=colour) for colour in (False, True))
    bare = re.sub(r"\x1b\[[0-9;]*m", "", coloured)
    assert [line.rstrip() for line in bare.splitlines()] == plain.splitlines()
    assert coloured != plain


def test_what_is_printed_is_what_was_answered(shift):
    text = tips_table(shift, SHIFT.job, SHIFT.written)
    for choice in shift.tasks:
        for number, way in enumerate(choice.best, start=1):
            assert re.search(rf"^ +{number}  .*{way.jet_power / 1e3:.3g}", text, re.MULTILINE)
            assert f"{60 * way.pump_speed:.0f} rpm" in text


def test_the_lines_to_paste_are_the_ports_of_the_best_way(shift):
    for choice in shift.tasks:
        rows = tomllib.loads("\n".join(ports_lines(choice, choice.best[0], SHIFT.written)))["ports"]
        assert [(row["tip"], row.get("count", 1)) for row in rows] == [
            (port.tip, port.count) for port in choice.best[0].ports
        ]
    head = tomllib.loads("\n".join(ports_lines(shift.tasks[0], shift.tasks[0].best[0], SHIFT.written)))["ports"]
    assert {row["angle"] for row in head} == {"20 deg", "0 deg"}  # as they were written
    assert {row["radius"] for row in head} == {"180 mm", "110 mm"}


def test_a_name_with_quotes_can_be_pasted():
    odd = 'R"12\\'
    tool = replace(JOB.tools["gun"], held_by="machine", holder="rail", ports=(Port(odd, angle=0.5),))
    job = replace(JOB, tips={odd: JOB.tips["R12"]}, tools={"gun": tool})
    choice = choose_tips(job, 0, basis_for(job), Wish())
    [row] = tomllib.loads("\n".join(ports_lines(choice, choice.best[0], {})))["ports"]
    assert row == {"tip": odd, "angle": "28.65 deg"}


# ---- reasons ---------------------------------------------------------------------------------------------------------


def look(name, verdict="look"):
    return Limit(name, verdict, 1.0, 0.5, "ratio", -1.0, "physics", True)


def way(power=26e3, recoil=125.0, side=0.0, verdict="within", limits=(), now=False):
    return Way((("A",),), (), 9e7, 2.0, 9e7, 3e-4, 420.0, power, recoil, side, 0.0, verdict, limits, now)


@pytest.mark.parametrize(
    ("other", "words"),
    [
        (way(13e3), "13.0 kW less jet power (50 %)."),
        (way(recoil=135.0), "As much jet power, 10 N more push."),
        (way(recoil=125.2), "As good, with other tips."),
        (way(verdict="look", limits=(look("engine.power"),)), "As good, with other tips. Look first: engine load."),
        (way(25e3, now=True), "1.0 kW less jet power (3.8 %). These are the tips as they are."),
    ],
)
def test_why_a_way_is_no_better(other, words):
    assert against_words(other, way()).replace(GLUE, " ") == words


def test_a_best_that_is_to_be_looked_at_says_why_and_what_the_others_spare():
    best = way(verdict="look", limits=(look("engine.power"), look("gauge.error")))
    assert against_words(best, best) == "The best. Look first: engine load; gauge's error."
    other = way(25e3, verdict="look", limits=(look("gauge.error"),))
    assert against_words(other, best).replace(GLUE, " ").endswith("Within, unlike the best: engine load.")
    assert against_words(way(25e3), best).replace(GLUE, " ").endswith("(3.8 %). But within limits.")


def test_less_pull_is_a_reason():
    assert against_words(way(recoil=-180.0), way(recoil=-211.0)) == f"As much jet power, 31{GLUE}N less pull."


# ---- where tips point, and what refuses them -------------------------------------------------------------------------


def test_places_in_words():
    rows = (Port("A"), Port("A", 4, angle=1.5708), Port("A", 2, angle=2.61799, radius=0.02, skew=-0.2))
    places = places_of(Tool("other", 0.01, "none", rows))
    assert [where_words(one) for one in places] == [
        "front, 0°",
        "side, 90°",
        "rear, 150°, 20.0 mm off the axis, skewed by −11°",
    ]
    assert tips_words(places, (("A",), ("B", "B"), ("C",))) == "1 × A; 4 × B; 2 × C"


def test_what_refuses_in_words():
    assert [refusal_words(Refusal(name, 1)) for name in ("pull", "torque", "starved", "beyond", "recoil.hand")] == [
        "too little pull",
        "too little torque",
        "the water boils at the pump's inlet",
        "beyond what is known of water",
        "recoil as planned",
    ]


def test_nothing_in_the_box():
    """Every refusal says why, and what would do."""
    only = replace(MORE, tips={"R30": MORE.tips["R30"]}, tools={"gun": replace(JOB.tools["gun"], ports=(Port("R30"),))})
    text = " ".join(shown(only, choose_tips(only, 0, basis_for(only), Wish())).split())
    assert "No tips of this box are allowed The nearest: 1 × R30." in text
    assert "What would cure it, each solved again" in text
    assert re.search(r"Tips of 1\.\d\d mm with a rounded inlet \(0\.90\) in every place would be allowed\.", text)
    assert "● not allowed" in text
    assert "For the job file" not in text


def test_a_box_that_fills_nothing():
    choice = choose_tips(JOB, 0, basis_for(JOB), Wish())
    text = " ".join(shown(JOB, replace(choice, best=(), ways=0, judged=0, nothing=Nothing())).split())
    assert "The tips on offer do not fill the places: nothing was judged." in text
    assert "1 tips are needed, and each pair or ring takes one size" in text


def test_what_was_left_out_is_said():
    choice = choose_tips(MORE, 0, basis_for(MORE), Wish())
    told = replace(
        choice,
        small=Edge(("bypass.range",), 1e-4, 8e7),
        large=Edge(("pump.speed", "engine.power"), 9e-4, 8e7),
        cap=150.0,
        ways=1_099_000_001,
        between=3,
        proven=False,
        refused=(Refusal("recoil.cautious", 7),),
    )
    text = " ".join(shown(MORE, told).split())
    assert "of at most 1100 million" in text
    assert "more than 54.0 L/min through the jets (pump speed; engine load)." in text
    assert "less than 6.00 L/min through the jets (bypass opening)." in text
    assert "more than 150 N (15.3 kg) of push by hand." in text
    assert "With more jet power, and not allowed: recoil at its cautious end (7)." in text
    assert "3 more on the way to the last one listed are not allowed." in text
    assert "The search was broken off there: a better way may be left." in text
    assert "So no way to fill" not in text
    turned = " ".join(shown(MORE, replace(told, better="smallest")).split())
    assert "more than 800 bar behind the tips (bypass opening)." in turned


# ---- JSON ------------------------------------------------------------------------------------------------------------

UNITS = ("_bar", "_l_min", "_n", "_n_m", "_rpm", "_mm", "_mm2", "_kw", "_m_s", "_deg")


def numbers(facts, key=""):
    if isinstance(facts, dict):
        for name, value in facts.items():
            yield from numbers(value, name)
    elif isinstance(facts, list):
        for value in facts:
            yield from numbers(value, key)
    elif isinstance(facts, float):
        yield key


def test_every_number_ends_in_its_unit(shift):
    facts = json.loads(tips_json(shift, SHIFT.written))
    assert {name for name in numbers(facts) if not name.endswith(UNITS)} == set()
    assert list(facts) == ["title", "rule_set", "day", "tasks"]


def test_the_json_says_what_was_answered(shift):
    facts = json.loads(tips_json(shift, SHIFT.written))
    for task, choice in zip(facts["tasks"], shift.tasks, strict=True):
        assert task["verdict"] == choice.verdict
        assert task["proven"] is True
        assert [one["jet_power_kw"] for one in task["best"]] == pytest.approx([w.jet_power / 1e3 for w in choice.best])
        assert [one["recoil_n"] for one in task["best"]] == pytest.approx([w.recoil for w in choice.best])
        assert tomllib.loads(task["ports"])["ports"]
    nothing = choose_tips(MORE, 0, basis_for(MORE), Wish(least_pull=None))
    assert nothing.nothing is None


def test_nothing_as_json():
    only = replace(MORE, tips={"R30": MORE.tips["R30"]}, tools={"gun": replace(JOB.tools["gun"], ports=(Port("R30"),))})
    told = json.loads(tips_json(tips_for_job(only, basis_for(only), Wish()), {}))["tasks"][0]
    assert told["best"] == []
    assert told["ports"] == ""
    assert told["nothing"]["nearest"]["tips"] == [["R30"]]
    against = told["nothing"]["nearest"]["against"]
    assert against.startswith("Not allowed: ")
    assert "pump speed" in against
    assert told["nothing"]["instead"] == []
    assert 1.0 < told["nothing"]["bore_mm"] < 3.0
    assert any(limit["remedy"] for limit in told["nothing"]["limits"])
