"""Checks of jetwright.actions.fit: many readings of one task; `tests/cli/test_fit.py` has what a crew sees."""

import datetime
from pathlib import Path

from jetwright.actions.fit import held_readings
from tests.plan.test_fit import calls

EXAMPLE = Path(__file__).parents[2] / "examples" / "two-guns.toml"
DAY = datetime.date(2026, 5, 4)


def job(folder, count):
    rows = [
        f'\n[[reading]]\ntask = "Two guns on the bund wall"\nday = {DAY - datetime.timedelta(days=at)}\n'
        'pump_speed = "300 rpm"\ngauge = "900 bar"\n'
        for at in range(count)
    ]
    path = folder / f"{count}.toml"
    path.write_text(EXAMPLE.read_text(encoding="utf-8") + "".join(rows), encoding="utf-8")
    return path


def test_what_readings_of_a_task_share_is_worked_out_once(tmp_path):
    """Forty readings of other days cost less than one more plan; each used to cost a whole one."""
    one, many = (calls(held_readings, job(tmp_path, count), None, DAY) for count in (1, 41))
    assert many < 2 * one


def test_readings_together_say_what_each_says_alone(tmp_path):
    together = held_readings(job(tmp_path, 3), day=DAY).found
    alone = held_readings(job(tmp_path, 1), day=DAY).found
    assert together[:1] == alone
    assert [one.fit.expired for one in together] == [(), ("shift",), ("shift",)]
    assert together[1].limits == together[2].limits
