"""The pressure profile: what must be read on it is there, nothing overlaps, nothing a person wrote can break it."""

import contextlib
import itertools
import math
import random
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from jetwright.actions.plan import plan, plan_read
from jetwright.errors import JetwrightError
from jetwright.files.job import read_job
from jetwright.report.figures import figure
from jetwright.report.gauge import gauge_figure
from jetwright.report.profile import DASHES, FAMILY, THEMES, profile_svg
from jetwright.report.wording import speaking
from tests.contract.source import ROOT
from tests.independent.rigs import random_job
from tests.report.letters import known, width
from tests.tier import PLANNED_RIGS

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
        assert touching(boxes) == [], (task.name, wide, system)


def touching(boxes):
    return [
        (one, other)
        for (one, a), (other, b) in itertools.combinations(boxes, 2)
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
    ]


def crossed(svg, boxes):
    """Labels on a line of water, a rating or a relief: each line walked in steps of half a pixel, as thick as it is."""
    quiet = {THEMES["light"]["faint"], THEMES["light"]["quiet"]}
    found = []
    for node in ElementTree.fromstring(svg).iter(f"{SVG}path"):
        if node.get("fill") != "none" or node.get("stroke") in quiet:
            continue
        half = 0.5 * float(node.get("stroke-width"))
        points = [tuple(map(float, point.split())) for point in node.get("d").removeprefix("M").split("L")]
        for (x0, y0), (x1, y1) in itertools.pairwise(points):
            steps = max(1, int(2.0 * math.hypot(x1 - x0, y1 - y0)))
            walked = [(x0 + (x1 - x0) * k / steps, y0 + (y1 - y0) * k / steps) for k in range(steps + 1)]
            found += [
                text
                for text, (left, top, right, bottom) in boxes
                if any(left - half < x < right + half and top - half < y < bottom + half for x, y in walked)
            ]
    return found


def rated_otherwise(task, job, dice):
    """The same rig with other ratings and relief settings, mostly near the pressure, where labels crowd."""
    pump = task.setting.pump_pressure or max(tool.inlet for tool in task.tools)

    def rating():
        return pump * (dice.uniform(0.95, 1.7) if dice.random() < 0.9 else dice.uniform(1.5, 6.0))

    unit = replace(
        job.unit,
        pump=replace(job.unit.pump, rating=rating()),
        relief=tuple(replace(relief, set=pump * dice.uniform(1.02, 1.3)) for relief in job.unit.relief),
    )
    hoses = {name: replace(hose, rating=rating() if dice.random() < 0.85 else None) for name, hose in job.hoses.items()}
    tools = {name: replace(tool, rating=rating() if dice.random() < 0.7 else None) for name, tool in job.tools.items()}
    fittings = {name: replace(fitting, rating=rating()) for name, fitting in job.fittings.items()}
    return replace(job, unit=unit, hoses=hoses, fittings=fittings, tools=tools)


@pytest.fixture(scope="module")
def random_plans(tmp_path_factory):
    path = tmp_path_factory.mktemp("rigs") / "job.toml"
    found = []
    for seed in range(PLANNED_RIGS):
        path.write_text(random_job(seed), encoding="utf-8")
        with contextlib.suppress(JetwrightError):  # not every one is physical
            read = read_job(path)
            found += [(planned, read.job) for planned in plan_read(read, cures=False).tasks]
    assert len(found) > PLANNED_RIGS // 2
    return found


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(("wide", "size"), [(720.0, 13.5), (340.0, 12.5)])
def test_no_label_lies_on_another_or_on_a_line(plans, random_plans, wide, size, language):
    """At both widths of a plan's page, as the examples are rated and otherwise."""
    dice = random.Random(f"{wide} {language}")
    for task, job in plans + random_plans:
        for rated in (job, *(rated_otherwise(task, job, dice) for _ in range(3))):
            for system in ("si", "us"):
                with speaking(language):
                    svg = profile_svg(task, rated, system, width=wide, text=size)
                boxes = [(text, box(text, node)) for text, node in texts(svg)]
                assert (touching(boxes), crossed(svg, boxes)) == ([], []), (task.name, system)


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
