"""The table: it fits, the numbers come first, every figure is in one system, no verdict stands on colour alone."""

import datetime
import re
from dataclasses import replace

import pytest
from rich.cells import cell_len

from jetwright.actions.plan import basis_for
from jetwright.actions.plan import plan as planned
from jetwright.limits.gauge import gauge_scale
from jetwright.limits.limit import Limit
from jetwright.plan.answer import Fit, Reach, Setting, StepAt
from jetwright.plan.task import plan_job
from jetwright.report.plan_table import check_table, plan_table
from jetwright.report.sheet import sheet_facts
from jetwright.rig.check import check
from jetwright.rig.description import Gauge, Target
from jetwright.rig.example import JOB
from jetwright.solve.states import ToolAt, TriggerState
from tests.contract.source import ROOT
from tests.report.made import job, part_open, plan, refused, rpm

METRIC = re.compile(r"\d\S* (bar|L/min|kW|N|kg|mm|mm²|m|m/s|L/h|°C)(?![\w²/])")
OUR_COLOURS = re.compile(r"\x1b\[[\d;]*m")


def table(*tasks, **options):
    return plan_table(plan(*tasks), job(), **options)


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("width", [60, 80, 100])
def test_it_fits(system, width):
    text = table(part_open(), refused(), system=system, width=width)
    assert max(cell_len(line) for line in text.splitlines()) <= width


@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_number_is_cut_from_its_unit(width):
    text = table(part_open(), width=width)
    for line in text.splitlines():
        assert not re.search(r"\d$", line) or re.search(r"(2026-05-12|20-1|1 \+|3|\b1)$", line), line
        assert not re.match(r"\s*(bar|rpm|L/min|kW|%|mm²)\b", line), line


def test_the_setting_stands_before_all_else_of_its_task():
    text = table(part_open())
    order = [
        "Before the tool",
        "Set",
        "Proving point",
        "Run-up",
        "Letting",
        "Limits",
        "Tools",
        "Hose run",
        "Power",
        "Taken",
    ]
    places = [text.index(f"\n{title}") for title in order]
    assert places == sorted(places)
    assert re.search(r"Pump speed +120 +rpm", text)
    assert re.search(r"Gauge +930 +bar", text)
    assert "until the gauge shows the target, by the gauge alone" in " ".join(text.split())


def test_an_opening_is_told_in_turns_of_the_stem_or_not_at_all():
    """0.660 and 0.95 of 20 mm² on six turns; a hand that has no turns to count has a gauge to look at."""
    bare = " ".join(table(part_open()).split("Run-up, and")[0].split())
    assert "mm²" not in bare
    assert "set by the gauge alone" in bare
    assert "count the turns from shut to fully open once" in bare
    assert "the stem too far shut" not in bare
    rig = job()
    turned = replace(rig, unit=replace(rig.unit, bypass=replace(rig.unit.bypass, turns=6.0)))
    told = " ".join(plan_table(plan(part_open()), turned).split())
    assert "0.660 mm² (about 0.20 turns) open; it spills" in told
    assert "bypass 0.950 mm² (about 0.28 turns) open, trigger held" in told
    assert "a plugged or a smaller tip, or the stem too far shut" in told


def test_what_it_does_to_the_man():
    assert "back 125 N (12.7 kg)" in table(part_open())
    assert "back 28.1 lbf" in table(part_open(), system="us")


def test_us_units_throughout():
    text = table(part_open(), refused(), system="us")
    assert METRIC.findall(text) == []
    for unit in ("psi", "gpm", "hp", "lbf", "in", "in²", "ft/s", "gal/h", "°F", "rpm"):
        assert re.search(rf"\d {unit}(?![\w²/])", text), unit


def test_si_shows_no_us_unit():
    assert re.search(r"\d (psi|gpm|hp|lbf|in|ft|ft/s|gal/h|°F)\b", table(part_open(), refused())) is None


@pytest.mark.published("NIST SP 811 (2008), appendix B.8: 1 psi = 6.894757 kPa, so 1 bar = 14.50377 psi")
def test_psi_are_the_bars():
    def gauge(system, unit):
        return float(re.search(rf"Gauge +(\d+) +{unit}", table(part_open(), system=system))[1])

    assert gauge("us", "psi") == pytest.approx(933.1 * 14.50377, abs=50.0)
    assert gauge("si", "bar") == pytest.approx(933.1, abs=5.0)


def test_every_verdict_has_a_shape_and_a_word():
    text = table(part_open(), refused())
    for mark in ("■ within limits", "● not allowed"):
        assert mark in text
    assert "●  Pump speed" in text
    assert "▲  Engine load" in text
    assert "■  Length of the lance" in text
    said = " ".join(text.split())
    assert "□ Not judged, and so to be looked at first, because nobody said: unit.gauge. Not judged" in said
    assert "Not judged, because nobody said: unit.engine." in said


def test_colour_changes_no_text():
    plain, coloured = table(part_open(), refused()), table(part_open(), refused(), colour=True)
    assert "\x1b" not in plain
    assert "\x1b[" in coloured
    stripped = [line.rstrip() for line in OUR_COLOURS.sub("", coloured).splitlines()]
    assert stripped == plain.splitlines()


def test_a_refused_setting_is_no_instruction():
    text = table(refused())
    assert "Asked for, and not to be set" in text
    assert "\nSet\n" not in text
    assert "Proving point" not in text
    assert "543 bar at the tip" in text
    assert "→ tip R30: bore 3.00 → 2.45 mm: 900 bar at the tip, 489 rpm" in text


def test_the_worst_limit_stands_first():
    text = check_table(plan(refused()), job())
    places = [text.index(mark) for mark in ("●  Pump speed", "▲  Engine load", "■  Bypass opening")]
    assert places == sorted(places)
    text = check_table(plan(part_open()), job())
    places = [text.index(mark) for mark in ("▲  Recoil", "□  Engine load", "■  Length of the lance", "■  Pump speed")]
    assert places == sorted(places)


def test_a_bar_runs_past_the_mark_only_when_the_bound_is_passed():
    bars = re.findall(r"[█░]+│[█░]+", check_table(plan(refused()), job()))
    assert [("█" in bar.split("│")[1]) for bar in bars] == [True, True, False]


def test_what_must_stay_above_its_bound_fills_from_the_right():
    text = check_table(plan(part_open()), job())
    line = next(line for line in text.splitlines() if "Length of the lance" in line)
    assert "1.50, at least 1.22 m" in line
    (before, behind) = re.search(r"([█░]+)│([█░]+)", line).groups()
    assert "█" not in before
    assert behind.endswith("█")
    assert len(before) < len(behind)


def test_within_limits_with_much_room_are_folded_but_not_lost():
    text = " ".join(table(part_open()).split())
    assert "Within by half or more:" in text
    assert re.search(r"Pump speed 120 of 500 rpm \[[a-z]\]", text)
    assert "Within by half or more:" not in check_table(plan(part_open()), job())


def test_no_limit_stands_without_its_source():
    text = " ".join(table(part_open()).split())
    for letter in re.findall(r"\[([a-z])\]", text):
        assert re.search(rf"\b{letter} (plate|physics|common practice|Norway)", text), letter


def test_what_to_do_stands_under_what_is_not_within():
    text = " ".join(table(part_open()).split())
    assert "Fit a body rest or take a smaller tip: with the relief fully open it pushes with 168 N (17.1 kg)." in text


@pytest.mark.parametrize("width", [60, 80, 100])
@pytest.mark.parametrize("system", ["si", "us"])
def test_the_limits_alone_fit(system, width):
    text = check_table(plan(part_open(), refused()), job(), system=system, width=width)
    assert max(cell_len(line) for line in text.splitlines()) <= width
    assert "Proving point" not in text
    assert "Hose run" not in text


def test_tolerances_stand_beside_what_is_set():
    text = table(part_open())
    assert re.search(r"Pump speed +120 +rpm ± 8 ", text)
    assert re.search(r"Gauge +930 +bar ± 30 ", text)
    assert "Gauge  610 to 700 bar  at 120 rpm" in text


def test_no_figure_is_finer_than_the_gauge():
    coarse = replace(job(), unit=replace(job().unit, gauge=Gauge(1600e5, 1.6, 20e5)))
    text = plan_table(plan(part_open()), coarse)
    assert re.search(r"Gauge +930 +bar ± 30 ", text)
    assert "Gauge  610 to 700 bar  at 120 rpm" in text
    assert "the gauge falls to 80 bar, not to zero" in text


def test_without_a_gauge_it_says_so_and_what_to_do():
    blind = replace(job(), unit=replace(job().unit, gauge=None))
    text = " ".join(plan_table(plan(replace(part_open(), limits=(gauge_scale(933e5, None, None),))), blind).split())
    assert "no gauge is described" in text
    assert "nobody runs up without one" in text
    assert re.search(r"Gauge 930 bar ± 30 ", text)


def test_the_change_card_comes_first():
    text = " ".join(table(part_open()).split())
    assert "Before the tool is touched: speed to start, bypass open." in text
    assert "Left on from “Floor”: gauge 1260 bar, the relief lifts, 300 N (30.6 kg) at the tool." in text


def test_a_reading_stands_right_after_what_is_set():
    fit = Fit(datetime.date(2026, 5, 12), rpm(120.0), 0.0, 653e5, 560e5, 560 / 653, (), adopted=False)
    text = " ".join(table(replace(part_open(), fit=fit), short=True).split())
    assert "Reading of 2026-05-12: 560 bar at 120 rpm, 14 % below the 653 bar expected." in text
    assert (
        text.index("Set Pump speed") < text.index("Reading at the proving point") < text.index("Proving point, before")
    )
    assert "Reading at the proving point" not in table(part_open())
    assert "Reading at the proving point" not in table(replace(refused(), fit=fit))


def test_the_way_up_only_and_each_step_with_its_gauge():
    text = table(part_open())
    steps = text[text.index("\nRun-up") : text.index("\nLetting go")]
    assert "610 to 700 bar" in steps
    assert "2  " not in steps  # of the planned stop nothing is set on the way up


def test_tip_off_the_stops_and_the_planned_stop_stand_on_the_way_up():
    facts = {"valve": "regulating", "no_trigger": True}

    def step(order, name, bypass="open", gauge=None):
        return StepAt(order, name, "all", "not_none", None, bypass, None, None, gauge, None, facts)

    way = (
        step("before water", "water.bleed"),
        step("before water", "water.open_end", gauge=(0.0, 0.0)),
        step("before water", "water.fit_tip", gauge=(0.0, 0.0)),
        step("before water", "water.stops"),
        step("planned stop", "stop.open", gauge=(0.0, 24e5)),
    )
    text = table(replace(part_open(), run_up=way))
    steps = " ".join(text[text.index("\nRun-up") : text.index("\nLetting go")].split())
    assert "bleed" not in steps
    assert re.search(r"2 Regulator backed off fully. Tip off, the open end tied down. 0 bar 3 ", steps)
    assert "only then fit the tip. 0 bar 4 Prove the stop" in steps
    assert "Numbered as on the job sheet, which has every step." in steps
    assert "5 Planned stop: speed to start, regulator backed off, gauge under 30 bar, drive to zero" in steps
    assert "let go" not in steps.replace("Let go", "")  # it has no trigger
    assert "trigger held" not in " ".join(text[: text.index("\nRun-up")].split())


@pytest.mark.parametrize(
    ("stopped", "words"),
    [
        ("engine", "the fastest the engine turns the pump"),
        ("relief", "faster the relief opens"),
        ("pump", "faster the pump is above its rating"),
        ("bypass", "bypass fully open at start speed"),
    ],
)
def test_the_nearest_it_comes_says_what_stopped_it(stopped, words):
    near = Reach(rpm(150.0), 954.6e5, 9e7, 3e-4, stopped)
    text = " ".join(table(replace(refused(), reach=near)).split())
    assert words in text
    assert "gauge 950 bar" in text


def test_what_start_speed_already_breaks_has_no_nearest():
    many = replace(JOB, task=(replace(JOB.task[0], target=Target(nozzle_pressure=3500e5)),))
    reaches = plan_job(many, basis_for(many)).tasks[0].reach
    assert reaches is not None
    assert reaches.pump_speed >= check(many).start_speed
    assert reaches.stopped in ("relief", "pump", "engine")
    weak = replace(many, unit=replace(many.unit, pump=replace(many.unit.pump, rating=100e5)))
    assert plan_job(weak, basis_for(weak)).tasks[0].reach is None


def test_who_holds_what_and_what_a_hand_may_hold():
    text = " ".join(table(part_open()).split())
    assert "On the person: 125 N (12.7 kg) as planned; at most 168 N (17.1 kg): relief at full flow." in text
    assert "up to 150 N (15.3 kg) (Norway, regulation on the performance of work, 20-1)" in text


def test_what_the_others_feel_stands_where_there_are_several_tools():
    here, there = ToolAt(9e7, 9.1e7, 0.3, 125.0, 0.0), ToolAt(9e7, 9.1e7, 0.3, 0.0, 124.0)
    let_go, lifted = ToolAt(0.0, 1e7, 0.0, 0.0, 0.0), ToolAt(1.1e8, 1.1e8, 0.33, 156.0, 0.0)
    states = (
        TriggerState((True, True), 922e5, 0.0, 0.0, False, (here, there)),
        TriggerState((True, False), 1155e5, 0.1, 0.2, False, (lifted, let_go)),
        TriggerState((False, False), None, 0.0, 0.0, False, (let_go, let_go)),
    )
    text = " ".join(table(replace(refused(), verdict="look", states=states, density=1000.0)).split())
    assert "1, 2 920 bar 0 L/min 1: 125 N, 2: 124 N" in text
    assert "1 1160 bar, relief open 6.00 L/min 1: 156 N" in text
    assert "none nothing holds it" in text
    assert "When triggers are held" not in table(part_open())


def test_minutes_of_water_and_what_holds_the_hoses():
    text = " ".join(table(part_open()).split())
    assert "hydrant and tank last 20 min: 22.2 L/min is short" in text
    assert "4 whip checks, 1 hose shroud" in text


def test_the_rules_and_what_was_not_taken_are_named():
    text = " ".join(table(part_open()).split())
    assert "rules eu-generic + Pier 1 + 3, 50 % read · 2026-05-12" in text
    assert "Judged by eu-generic + Pier 1 + 3: Norway's and Germany's. Read at their source: 50 % of its bounds" in text
    assert (
        "Not used, because looser: 300 N for recoil by hand with a body rest, set by H. Moe. What holds is 250 N"
        in text
    )


def test_the_caution_stands_once_and_nothing_is_left_to_be_judged_by_hand():
    text = " ".join(table(part_open(), refused()).split())
    assert text.count("This plan supports and never replaces training") == 1
    assert text.count("The gauge is the target; the speed is “about”") == 1
    assert "by hand, see" not in text
    assert "NOT judged" not in text


def test_each_step_has_the_number_that_it_has_on_the_sheet():
    """Whoever reads the terminal and whoever holds the sheet mean the same by "step eight"."""
    answer, read = planned(ROOT / "examples" / "shift" / "job.toml", day=datetime.date(2026, 5, 12))
    for place, task in enumerate(answer.tasks):
        said = plan_table(replace(answer, tasks=(task,)), read.job, width=200)
        way = said[said.index("\nRun-up, and") :].split("\n\n")[0]
        shown = dict(re.findall(r"^ +(\d+)  (\S.{20})", way, re.MULTILINE))
        rows = {row["n"]: row["act"] for row in sheet_facts(answer, task, read.job, place=place)["run_up"]["rows"]}
        assert len(shown) > 10
        for number, act in shown.items():
            assert rows[number].replace("\u00a0", " ").startswith(act.replace("\u00a0", " ")), number
        assert max(map(int, shown)) == len(rows)  # the planned stop is the last


def test_no_promise_is_made():
    text = table(part_open(), refused(), part_open()).lower()
    assert re.search(r"\b(safe|go ahead|adjust)\b", text) is None


def test_the_panel_decides_which_speeds_are_settings():
    described = job()
    for shows, wanted in (
        (("pump speed",), {"Pump speed"}),
        (("engine speed",), {"Engine speed"}),
        (("pump speed", "engine speed"), {"Pump speed", "Engine speed"}),
    ):
        shown = replace(described, unit=replace(described.unit, shows=shows))
        text = plan_table(plan(part_open()), shown)
        settings = text[text.index("\nSet\n") : text.index("\nProving")]
        assert set(re.findall(r"(Pump speed|Engine speed)", settings)) == wanted


def test_a_target_out_of_reach_at_any_speed():
    task = refused()
    nothing = Setting(None, None, None, None, "closed", 0.0, 0.0)
    limits = (Limit("pump.speed", "not_allowed", None, 8.0, "speed", None, "plate", True),)
    text = table(replace(task, setting=nothing, limits=limits, power=None, use=None))
    assert "this target is not to be had at any speed" in text
    assert "Tools, at the most this unit gives" in text


def test_markup_in_a_name_is_only_text():
    text = table(replace(part_open(), name="[bold red]Pipe[/] :boom:"))
    assert "[bold red]Pipe[/] :boom:" in text


def test_what_all_tasks_take_alike_is_said_once():
    text = table(part_open(), replace(part_open(), name="Again"))
    assert text.count("hoses.R8-20.roughness") == 1


def test_an_unloader_falls_short_and_is_never_over():
    limit = Limit("bypass.range", "not_allowed", 1.65, 4.45, "speed", -0.63, "physics", True, least=True)
    text = table(replace(refused(), limits=(limit,)))
    assert re.search(r"99, at least 267 rpm .* 63 % short", text)


@pytest.mark.parametrize("told", [plan_table, check_table])
def test_a_cut_search_for_cures_is_told_under_them(told):
    words = "Not every change was tried: this rig is large."
    assert words not in told(plan(refused()), job())
    text = told(plan(replace(refused(), cures_cut=True)), job())
    assert text.count(words) == 1
    assert text.index("What would cure it") < text.index(words)
