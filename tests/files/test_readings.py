"""A reading written into a job file: everything else stays, and what cannot take it is left alone."""

import datetime
import os
import stat
import tomllib
from pathlib import Path

import pytest

from jetwright.errors import FileError
from jetwright.files.layout import replace_whole
from jetwright.files.readings import with_reading

ROOT = Path(__file__).parents[2]
DAY = datetime.date(2026, 5, 4)
ROW = {"task": "Pipe “end” \\ 2", "day": DAY, "pump_speed": "120 rpm", "gauge": "696 bar"}


def write_reading(path):
    raw = path.read_bytes()
    replace_whole(path, raw, with_reading(raw.decode(), ROW)[0].encode())


HELD = """title = "Rack"  # the north one

# taken by Ada
[[reading]]  # first
task = "Wall"
day = 2026-05-04
gauge = "700 bar"  # by eye
# the needle trembled
tips = "new"

[[reading]]
task = "Wall"
day = 2026-05-03
gauge = "710 bar"

[supply]  # after them
flow = "1 L/min"
"""


@pytest.mark.parametrize("path", sorted((ROOT / "examples").rglob("*.toml")), ids=lambda path: path.name)
def test_a_new_row_stands_at_the_end_and_nothing_else_changes(path):
    text = path.read_text(encoding="utf-8")
    made, replaced = with_reading(text, ROW)
    assert not replaced
    assert made.startswith(text)
    before, after = tomllib.loads(text), tomllib.loads(made)
    assert after == before | {"reading": [*before.get("reading", []), ROW]}


def test_one_of_that_task_and_day_is_replaced_where_it_stood():
    made, replaced = with_reading(HELD, {"task": "Wall", "day": DAY, "gauge": "696 bar"})
    assert replaced
    assert made == HELD.replace(
        """# taken by Ada
[[reading]]  # first
task = "Wall"
day = 2026-05-04
gauge = "700 bar"  # by eye
# the needle trembled
tips = "new"
""",
        """# taken by Ada
# first
# by eye
# the needle trembled
[[reading]]
task = "Wall"
day = 2026-05-04
gauge = "696 bar"
""",
    )


def test_a_last_row_without_a_line_end_is_replaced_too():
    made, _ = with_reading('[[reading]]\ntask = "A"\nday = 2026-05-04', {"task": "A", "day": DAY, "gauge": "1 bar"})
    assert tomllib.loads(made)["reading"] == [{"task": "A", "day": DAY, "gauge": "1 bar"}]


def test_another_day_or_task_is_another_row():
    for row in ({"task": "Wall", "day": datetime.date(2026, 5, 5)}, {"task": "Roof", "day": DAY}):
        made, replaced = with_reading(HELD, row)
        assert not replaced
        assert len(tomllib.loads(made)["reading"]) == 3


@pytest.mark.parametrize(
    "text", ['reading = [{ task = "A", day = 2026-05-04 }]', "reading = []", 'reading = "none"', "[reading]\nx = 1"]
)
def test_readings_that_stand_otherwise_are_left_alone(text):
    for row in ({"task": "A", "day": DAY, "gauge": "696 bar"}, {"task": "B", "day": DAY}):
        with pytest.raises(FileError) as refused:
            with_reading(text, row)
        assert [problem.code for problem in refused.value.problems] == ["reading_not_written"]


def test_line_ends_and_permissions_stay(tmp_path):
    file = tmp_path / "job.toml"
    file.write_bytes(b'title = "Rack"\r\n')
    file.chmod(0o640)
    write_reading(file)
    assert file.read_bytes().count(b"\n") == file.read_bytes().count(b"\r\n") == 7
    assert stat.S_IMODE(file.stat().st_mode) == 0o640
    assert sorted(path.name for path in tmp_path.iterdir()) == ["job.toml"]


def test_a_link_is_not_written_through(tmp_path):
    file, link = tmp_path / "job.toml", tmp_path / "link.toml"
    file.write_text("", encoding="utf-8")
    link.symlink_to(file)
    with pytest.raises(FileError):
        write_reading(link)
    assert file.read_text(encoding="utf-8") == ""


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing stops the one who may do everything")
def test_a_folder_that_takes_nothing_leaves_the_file_as_it_was(tmp_path):
    file = tmp_path / "job.toml"
    file.write_text(HELD, encoding="utf-8")
    tmp_path.chmod(0o500)
    with pytest.raises(FileError):
        write_reading(file)
    tmp_path.chmod(0o700)
    assert file.read_text(encoding="utf-8") == HELD


def added(end):
    day = f"day = 2026-05-04{end}"
    return f'[[reading]]{end}task = "A"{end}{day}'


@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize(
    ("text", "gap", "end"),
    [
        ("a = 1\n", "\n", "\n"),
        ("a = 1\n\n\n", "", "\n"),
        ("a = 1", "\n\n", "\n"),
        ("a = 1\r\nb = 2\r\nc = 3\n", "\r\n", "\r\n"),
        ("a = 1\nb = 2\r\nc = 3\n", "\n", "\n"),
        ('a = """\r\n\n"""\r\n\r\n', "", "\r\n"),
        ("a = '\u2028\u0085'\n", "\n", "\n"),
    ],
)
def test_every_other_byte_stays(text, gap, end, mark):
    made, replaced = with_reading(mark + text, {"task": "A", "day": DAY})
    assert (made, replaced) == (mark + text + gap + added(end), False)


def test_where_one_is_replaced_every_other_byte_stays():
    old = '[[reading]] # by eye\r\ntask = "A"\nday = 2026-05-04\r\n'
    before, after = "\ufeffa = 1\r\n\n", "\n\r\n[b]\r\n"
    made, replaced = with_reading(before + old + after, {"task": "A", "day": DAY})
    assert replaced
    assert made == before + "# by eye\r\n" + added("\r\n") + after
