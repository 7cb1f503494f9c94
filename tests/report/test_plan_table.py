"""The table: it fits, the numbers come first, every figure is in one system, no verdict stands on colour alone."""

import re
from dataclasses import replace

import pytest
from rich.cells import cell_len

from jetwright.limits.limit import Limit
from jetwright.plan.answer import Setting
from jetwright.report.plan_table import plan_table
from tests.report.made import job, part_open, plan, refused

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
        assert not re.search(r"\d$", line) or re.search(r"eu-generic 0\.1$", line), line
        assert not re.match(r"\s*(bar|rpm|L/min|kW|%|mm²)\b", line), line


def test_the_setting_stands_before_all_else_of_its_task():
    text = table(part_open())
    order = ["Set", "Proving point", "Limits", "Tools", "Hose run", "Power and use", "Taken"]
    places = [text.index(f"\n{title}") for title in order]
    assert places == sorted(places)
    assert re.search(r"Pump speed +120 +rpm", text)
    assert re.search(r"Gauge +933 +bar", text)
    assert "about 0.660 mm² open, 3.3 % of fully open" in " ".join(text.split())


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

    assert gauge("us", "psi") == pytest.approx(933.1 * 14.50377, abs=5.0)
    assert gauge("si", "bar") == pytest.approx(933.1, abs=0.5)


def test_every_verdict_has_a_shape_and_a_word():
    text = table(part_open(), refused())
    for mark in ("■ within limits", "● not allowed"):
        assert mark in text
    assert "▲  Engine load" in text
    assert "□  Engine load" in text
    assert "not judged: unit.engine is not given" in " ".join(text.split())


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


def test_a_bar_runs_past_the_mark_only_when_the_bound_is_passed():
    bars = re.findall(r"[█░]+│[█░]+", table(part_open(), refused()))
    assert [("█" in bar.split("│")[1]) for bar in bars] == [False, False, False, True, True]


def test_what_is_not_judged_and_the_caution_stand_once():
    text = " ".join(table(part_open(), refused()).split())
    assert text.count("This plan supports and never replaces training") == 1
    assert text.count("The gauge is the target; the speed is “about”") == 1
    assert text.count("NOT judged: ratings") == 1


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
    limit = Limit("bypass.range", "not_allowed", 1.65, 4.45, "speed", -0.63, "physics", True)
    text = table(replace(refused(), limits=(limit,)))
    assert re.search(r"99, at least 267 rpm .* 63 % short", text)


def test_a_described_relief_is_never_called_a_way_out():
    assert "relief" not in table(part_open()).split("NOT judged")[0]
