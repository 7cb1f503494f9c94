"""What a crew can ask, without a terminal."""

from pathlib import Path

import pytest

from jetwright.actions.format import format_job_file
from jetwright.actions.plan import plan
from jetwright.actions.schema import schema
from jetwright.errors import FileError
from jetwright.plan.answer import Plan

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def job(tmp_path):
    """A copy of the demo shift that a test may spoil."""
    for name in ("job.toml", "yard.toml"):
        (tmp_path / name).write_bytes((EXAMPLES / "shift" / name).read_bytes())
    return tmp_path / "job.toml"


def test_the_demo_shift():
    answer, read = plan(EXAMPLES / "shift" / "job.toml")
    assert isinstance(answer, Plan)
    assert [task.name for task in answer.tasks] == [task.name for task in read.job.task]
    assert [task.setting.bypass for task in answer.tasks] == ["closed", "part open", "closed"]
    assert "not_allowed" not in {task.verdict for task in answer.tasks}


def test_progress_hears_each_task_before_it_is_planned():
    heard = []
    answer, _read = plan(EXAMPLES / "shift" / "job.toml", progress=heard.append)
    assert heard == [task.name for task in answer.tasks]


def test_one_task_alone_is_planned_as_it_is_among_others():
    among, _ = plan(EXAMPLES / "shift" / "job.toml")
    alone, _ = plan(EXAMPLES / "shift" / "job.toml", task=among.tasks[1].name)
    assert alone.tasks == (among.tasks[1],)


def test_what_the_core_refuses_has_its_line(job):
    """A supply hose so thin that the pump starves is found only when the rig is solved."""
    text = job.read_text(encoding="utf-8")
    text = text.replace("\n[[task]]", '\n[supply.hose]\nbore = "8 mm"\nlength = "80 m"\n\n[[task]]', 1)
    job.write_text(text, encoding="utf-8")
    with pytest.raises(FileError) as caught:
        plan(job)
    problem = caught.value.problems[0]
    assert problem.code == "pump_starved"
    assert problem.line == text.splitlines().index("[supply.hose]") + 1


def test_formatting_is_a_dry_run_when_asked(job):
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("\n[[task]]", "\n\n\n\n[[task]]", 1), encoding="utf-8")
    spoilt = job.read_bytes()
    dry = format_job_file(job, write=False)
    assert dry.changed
    assert job.read_bytes() == spoilt
    assert dry.diff().startswith(f"--- {job}\n+++ {job}\n@@ ")
    assert format_job_file(job).changed
    assert job.read_text(encoding="utf-8") == dry.after
    assert not format_job_file(job).changed


def test_windows_line_ends_are_said_to_change(job):
    job.write_bytes(job.read_bytes().replace(b"\n", b"\r\n"))
    assert format_job_file(job).changed
    assert b"\r" not in job.read_bytes()


def test_the_schema_names_what_is_required():
    assert {"title", "supply", "unit", "task"} <= set(schema()["required"]) | set(schema()["properties"])
