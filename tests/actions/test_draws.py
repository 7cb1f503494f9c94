"""Drawing a job file's inputs, without a terminal."""

from pathlib import Path

import pytest

from jetwright.actions.draws import draws
from jetwright.actions.plan import plan
from jetwright.errors import FileError

SHIFT = Path(__file__).parents[2] / "examples" / "shift" / "job.toml"


def test_each_task_of_the_shift_is_drawn_about_its_plan():
    answer, found, read = draws(SHIFT, count=1000)
    assert [task.name for task in answer.tasks] == [task.name for task in read.job.task]
    assert len(found) == 3
    for task, one in zip(answer.tasks, found, strict=True):
        assert one.count == 1000
        assert one.gauge.low < task.setting.pump_pressure < one.gauge.high
        assert one.proving.low < task.proving_point.gauge < one.proving.high
        assert [tool.recoil for tool in task.tools] == pytest.approx([push.middle for push in one.recoil], rel=0.05)


def test_one_task_alone_is_drawn_as_it_is_among_others():
    _, among, _ = draws(SHIFT, count=1000)
    answer, [alone], _ = draws(SHIFT, task=plan(SHIFT)[0].tasks[1].name, count=1000)
    assert len(answer.tasks) == 1
    assert alone == among[1]


def test_a_target_beyond_every_speed_is_not_drawn(tmp_path):
    for name in ("job.toml", "yard.toml"):
        (tmp_path / name).write_bytes((SHIFT.parent / name).read_bytes())
    path = tmp_path / "job.toml"
    path.write_text(path.read_text().replace('"600 bar"', '"3900 bar"'), encoding="utf-8")
    answer, found, _ = draws(path, task="Morning: hall floor", count=1000)
    assert answer.tasks[0].verdict == "not_allowed"
    assert found == (None,)


def test_what_is_not_a_job_is_refused():
    with pytest.raises(FileError):
        draws("no such job.toml")
