"""What a crew reads, on a sheet or a page, is called in words: keys are for the terminal, whose reader writes them."""

import ast
import datetime
import re
from dataclasses import MISSING, fields, is_dataclass, replace

import pytest

from jetwright.actions.plan import basis_for
from jetwright.actions.sign import signed_sheet, to_sign
from jetwright.files.job import read_job
from jetwright.plan.task import plan_job
from jetwright.report.screen import page_facts
from jetwright.report.sheet import Signed, sheet_facts
from jetwright.rig.description import Extent, Free, Pipe, Prices, Travel
from tests.contract.source import PACKAGE, ROOT
from tests.report.keys import keys_in
from tests.report.test_profile import JOBS

DAY = datetime.date(2026, 5, 12)
NOT_READ = {"svg", "id", "verdict", "kind", "lang", "font", "paper"}
"""Of a fact: what no person reads."""
TERMINAL = {"A track measured there is better: task.jet.footprint."}
"""Texts with a key, which the terminal alone prints."""


def told(part):
    """Every text of some facts that a person reads."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, dict):
        for key, inner in part.items():
            yield from told(inner) if key not in NOT_READ else ()
    elif isinstance(part, list | tuple):
        for inner in part:
            yield from told(inner)
    elif is_dataclass(part):
        yield from told({one.name: getattr(part, one.name) for one in fields(part)})


def keys_on(read, place):
    """Keys on the sheet of a task, signed and not, with its back, and among the facts of its page."""
    made = to_sign(read, place, DAY)
    given = [(look.limits, f"Seen, {n}") for n, look in enumerate(made.looks)]
    parts = [
        signed_sheet(made, Signed("Ada", "crew lead", "2026-05-12 06:40", given)),
        sheet_facts(made.plan, made.task, read.job, place=place),
        {**page_facts(made.plan, made.task, read.job, "si", place), "taken": []},  # by their keys: a page calls them
    ]
    return {key for part in parts for text in told(part) for key in keys_in(text)}


def test_keys_are_found():
    found = keys_in("see prices.fuel_l, top_speed (unit.pump.slip), tips.R1.5.price.")
    assert found == {"prices.fuel_l", "top_speed", "unit.pump.slip", "tips.R1.5.price"}
    assert keys_in("W13.5-20 of job.toml at 1.5 bar, ada@mail.org, the unit. This tool") == set()


@pytest.mark.parametrize("path", JOBS, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_no_sheet_and_no_page_of_the_examples_shows_a_key(path):
    read = read_job(path)
    for place in range(len(read.job.task)):
        assert keys_on(read, place) == set()


def bare(part, *kept):
    """A part of which nothing is said that need not be."""
    default = {one.name: one.default for one in fields(part) if one.default is not MISSING and one.name not in kept}
    return replace(part, **default)


def bare_job(job, **asked):
    """A job in which nobody said anything that need not be said, but prices of nothing and what is asked of a task."""
    run = ("hose_run", "tool", "branches")
    return replace(
        bare(job, "hoses", "fittings", "tips", "tools"),
        unit=bare(job.unit, *(("engine",) if job.unit.pump.start_speed is None else ())),
        hoses={name: bare(hose) for name, hose in job.hoses.items()},
        tips={name: bare(tip, "bore", "inlet", "cd", "rated") for name, tip in job.tips.items()},
        tools={name: bare(tool, "dump") for name, tool in job.tools.items()},
        prices=Prices(),
        task=tuple(replace(bare(task, *run), **asked) for task in job.task),
    )


@pytest.mark.parametrize("asked", ["an area", "an area at a stand-off", "a pipe"])
@pytest.mark.parametrize("name", ["shift/job.toml", "two-guns.toml", "hose-fed.toml"])
def test_what_nobody_said_is_asked_for_in_words(name, asked):
    read = read_job(ROOT / "examples" / name)
    more = {
        "an area": {"extent": Extent(10.0, 2.0)},
        "an area at a stand-off": {"extent": Extent(10.0, 2.0), "jet": Free(0.05), "travel": Travel(5.0, 60.0)},
        "a pipe": {"extent": Extent(10.0, 1.0), "pipe": Pipe(0.3)},
    }[asked]
    job = bare_job(read.job, **more)
    made = plan_job(job, basis_for(job))
    for place, task in enumerate(made.tasks):
        facts = [sheet_facts(made, task, job, place=place), page_facts(made, task, job, "si", place) | {"taken": []}]
        assert {key for part in facts for text in told(part) for key in keys_in(text)} == set()


def test_no_text_of_a_sheet_or_a_page_names_a_key():
    found = set()
    for room in ("report", "web"):
        for path in (PACKAGE / room).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("_", "N_", "ngettext"):
                    texts = [arg.value for arg in node.args if isinstance(arg, ast.Constant)]
                    found |= {text for text in texts if keys_in(re.sub(r"\{\w+\}", "", str(text)))}
    assert found == TERMINAL
