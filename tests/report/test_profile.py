"""The pressure profile: what must be read on it is there, nothing overlaps, nothing a person wrote can break it."""

import itertools
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from jetwright.actions.plan import plan
from jetwright.report.figures import figure
from jetwright.report.gauge import gauge_figure
from jetwright.report.profile import DASHES, FAMILY, THEMES, profile_svg
from tests.contract.source import ROOT
from tests.report.letters import known, width

FILES = sorted((ROOT / "examples").glob("**/*.toml"))
JOBS = [path for path in FILES if "[[task]]" in path.read_text(encoding="utf-8")]
SIZES = [(720.0, 12.0), (401.0, 10.0), (860.0, 11.0), (340.0, 12.0)]
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def plans():
    return [(planned, read.job) for answer, read in map(plan, JOBS) for planned in answer.tasks]


@pytest.fixture(scope="module")
def shift():
    answer, read = plan(ROOT / "examples" / "shift" / "job.toml")
    return {planned.name.split(":")[0]: planned for planned in answer.tasks}, read.job


@pytest.fixture(scope="module")
def guns():
    answer, read = plan(ROOT / "examples" / "two-guns.toml")
    return answer.tasks[0], read.job


def texts(svg):
    return [(node.text or "", node) for node in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def words(svg):
    return [text for text, _node in texts(svg)]


def box(text, node):
    size, at = float(node.get("font-size")), float(node.get("x"))
    wide = width(text, size, node.get("font-weight") == "700")
    left = at - {"start": 0.0, "middle": 0.5, "end": 1.0}[node.get("text-anchor")] * wide
    return left, float(node.get("y")) - 0.72 * size, left + wide, float(node.get("y")) + 0.2 * size


@pytest.mark.parametrize(("wide", "size"), SIZES)
@pytest.mark.parametrize("system", ["si", "us"])
def test_no_label_touches_another_or_leaves_the_picture(plans, wide, size, system):
    for task, job in plans:
        svg = profile_svg(task, job, system, width=wide, text=size)
        boxes = [(text, box(text, node)) for text, node in texts(svg)]
        tall = float(ElementTree.fromstring(svg).get("height"))
        outside = [text for text, b in boxes if b[0] < -0.5 or b[1] < 0.0 or b[2] > wide + 0.5 or b[3] > tall]
        assert outside == [], task.name
        touching = [
            (one, other)
            for (one, a), (other, b) in itertools.combinations(boxes, 2)
            if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
        ]
        assert touching == [], (task.name, wide, system)


@pytest.mark.parametrize("theme", THEMES)
def test_the_same_answer_makes_the_same_text(shift, theme):
    tasks, job = shift
    first, second = (profile_svg(tasks["Noon"], job, theme=theme) for _ in range(2))
    assert first == second
    assert ElementTree.fromstring(first).get("font-family").split(",")[0] == FAMILY


def test_gauge_inlet_and_tip_can_be_read(shift):
    tasks, job = shift
    task = tasks["Noon"]
    shown = words(profile_svg(task, job))
    assert gauge_figure(task.setting.pump_pressure, job.unit.gauge) in shown
    assert figure(task.tools[0].inlet, "bar") in shown
    assert figure(task.tools[0].nozzle, "bar") in shown


def test_a_phone_still_reads_gauge_and_tip_and_every_part(shift):
    tasks, job = shift
    task = tasks["Noon"]
    shown = words(profile_svg(task, job, width=340.0))
    assert gauge_figure(task.setting.pump_pressure, job.unit.gauge) in shown
    assert figure(task.tools[0].nozzle, "bar") in shown
    assert {"Supply", "Pump", "Hose run", "gun", "Jet"} <= set(shown)


def test_ratings_are_ceilings_and_the_relief_is_dashed(shift):
    tasks, job = shift
    svg = profile_svg(tasks["Noon"], job)
    shown = words(svg)
    assert any("W13-20 1200 bar" in text for text in shown)
    assert any("relief opens at" in text for text in shown)
    dashed = [node for node in ElementTree.fromstring(svg).iter(f"{SVG}path") if node.get("stroke-dasharray")]
    assert {node.get("stroke") for node in dashed} >= {THEMES["light"]["relief"]}


def test_a_bypass_that_spills_falls_to_the_tank(shift):
    tasks, job = shift
    spilt = figure(tasks["Noon"].setting.bypass_flow, "L/min")
    assert f"bypass to the tank, {spilt}" in words(profile_svg(tasks["Noon"], job))
    assert not any("bypass" in text for text in words(profile_svg(tasks["Afternoon"], job)))


def test_each_branch_has_its_own_kind_of_line(guns):
    task, job = guns
    svg = profile_svg(task, job)
    lines = [
        node for node in ElementTree.fromstring(svg).iter(f"{SVG}path") if float(node.get("stroke-width", 0)) > 2.5
    ]
    kinds = {(node.get("stroke-dasharray") or "", node.get("stroke")) for node in lines}
    assert len({dash for dash, _colour in kinds} & {"", DASHES[1]}) == 2
    assert any(text.startswith("1: ") for text in words(svg))
    assert any(text.startswith("2: ") for text in words(svg))


def test_eight_branches_keep_their_figures_apart(guns):
    task, job = guns
    many = tuple(
        replace(task.tools[0], branch=n, nozzle=task.tools[0].nozzle - n * 31e5, inlet=task.tools[0].inlet - n * 30e5)
        for n in range(1, 9)
    )
    boxes = [box(text, node) for text, node in texts(profile_svg(replace(task, tools=many), job))]
    touching = [
        (a, b)
        for a, b in itertools.combinations(boxes, 2)
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
    ]
    assert touching == []


def test_it_is_told_to_who_cannot_see_it(shift):
    tasks, job = shift
    root = ElementTree.fromstring(profile_svg(tasks["Noon"], job))
    assert root.get("role") == "img"
    assert [child.tag for child in root][:2] == [f"{SVG}title", f"{SVG}desc"]
    assert "S8-20" in root[1].text
    assert "rated 1400 bar" in root[1].text


def test_what_a_person_wrote_cannot_leave_its_text(shift):
    tasks, job = shift
    evil = '</text><script>alert("x")</script>&\x01\ufffe'
    task = replace(tasks["Noon"], name=evil, tools=tuple(replace(t, tool=evil) for t in tasks["Noon"].tools))
    svg = profile_svg(task, replace(job, tools={evil: job.tools["gun"]}), width=2000.0)
    root = ElementTree.fromstring(svg)
    assert {node.tag.removeprefix(SVG) for node in root.iter()} <= {
        "svg",
        "title",
        "desc",
        "rect",
        "path",
        "circle",
        "text",
    }
    assert "<script" not in svg


def test_nothing_in_it_needs_a_style_sheet_or_a_script(plans):
    for task, job in plans:
        svg = profile_svg(task, job, theme="page")
        assert not re.search(r"\sstyle=|<style|<script|\son\w+=|href", svg)
        assert "var(--profile-water" in svg


def test_a_target_out_of_reach_is_still_drawn():
    answer, read = plan(ROOT / "examples" / "shift" / "refused.toml")
    for task in answer.tasks:
        bare = replace(task, setting=replace(task.setting, pump_speed=None, pump_pressure=None))
        assert "Pump" in words(profile_svg(bare, read.job))


def test_the_fonts_hold_what_we_print():
    assert [letter for letter in "ñáéíóúü¿¡²³°≤≥Ω·±×−–“”’…¼½¾&%()" if not known(letter)] == []
