"""A task's plan from text alone, as a page shows it: the same as the plan of the file."""

import json
import pickle
import tomllib
from pathlib import Path

import pytest

from jetwright.actions.plan import plan_read
from jetwright.actions.shown import beside_shown, plan_shown
from jetwright.errors import FileError
from jetwright.files.tables import as_json, from_json, job_in
from jetwright.report.profile import profile_svg
from jetwright.report.screen import beside_rows, page_facts
from jetwright.report.wording import speaking

EXAMPLES = Path(__file__).parents[2] / "examples"
SIZES = ((720.0, 13.5), (340.0, 12.5))


def whole(name):
    """A job of the demo with its yard in it."""
    tables = tomllib.loads((EXAMPLES / "shift" / name).read_text())
    return job_in({**tomllib.loads((EXAMPLES / "shift" / tables.pop("yard")).read_text()), **tables})


@pytest.fixture(scope="module")
def shift():
    return whole("job.toml")


def text_of(read, **instead):
    return json.dumps({**as_json(read.written), **instead})


@pytest.mark.parametrize(("language", "system"), [("en", "si"), ("es", "us")])
@pytest.mark.parametrize("place", [0, 1, 2])
def test_it_says_what_the_plan_of_the_file_says(shift, place, language, system):
    name = shift.job.task[place].name
    shown = plan_shown(text_of(shift), shift.job.title, name, system, language, SIZES)
    plan = plan_read(shift, name, cures=False)
    with speaking(language):
        assert shown.facts == page_facts(plan, plan.tasks[0], shift.job, system, place)
        pictures = [profile_svg(plan.tasks[0], shift.job, system, wide, 0.0, "page", tall) for wide, tall in SIZES]
    assert list(shown.pictures) == pictures
    assert shown.verdict == plan.tasks[0].verdict
    assert shown.cures == ()


def test_it_can_be_sent_to_another_process_and_back(shift):
    shown = plan_shown(text_of(shift), shift.job.title, shift.job.task[0].name, "si", "en", SIZES)
    assert pickle.loads(pickle.dumps(shown)) == shown


def test_what_cures_a_refusal_is_looked_for_where_it_is_asked():
    read = whole("not-allowed.toml")
    asked = (text_of(read), read.job.title, read.job.task[0].name, "si", "en")
    plain, cured = plan_shown(*asked), plan_shown(*asked, cures=True)
    assert (plain.verdict, plain.cures, plain.cut) == ("not_allowed", (), True)
    task = plan_read(read, read.job.task[0].name).tasks[0]
    told = [cure for limit in task.limits for cure in limit.cures]
    assert cured.cures
    assert all(row.cure in told for row in cured.cures)


def test_two_ways_stand_side_by_side(shift):
    name = shift.job.task[1].name
    other = [
        {**row, "target": {"nozzle_pressure": "700 bar"}} if row["name"] == name else row
        for row in as_json(shift.written)["task"]
    ]
    text = text_of(shift, task=other)
    lower = job_in(from_json(json.loads(text)))
    ways = [(plan_read(read, name, cures=False).tasks[0], read.job) for read in (shift, lower)]
    rows = beside_shown(text_of(shift), text, shift.job.title, name, "si", "en")
    assert rows == beside_rows(*ways, "si")


def test_what_cannot_be_read_is_said():
    with pytest.raises(FileError, match="missing_key"):
        plan_shown('{"title": "Rack"}', "Rack", "Wall", "si", "en")
