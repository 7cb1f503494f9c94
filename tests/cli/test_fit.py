"""`jetwright fit` as a crew types it: what it says, what it keeps, what it refuses and how it leaves."""

import json
import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from jetwright.actions.fit import fit_reading, keep_reading
from jetwright.errors import FileError, Problem
from jetwright.report.problems import problem_words
from tests.limits.unit_a import worked

ROOT = Path(__file__).parents[2]
YARD = ROOT / "tests" / "acceptance" / "unit-a.toml"
PLAIN = {"PATH": os.environ["PATH"], "PYTHONPATH": str(ROOT / "src"), "LC_ALL": "C.UTF-8", "LANGUAGE": "en"}
READ = ("--speed", "120 rpm", "--gauge")
JOB = """# Unit A with a 1.4 mm tip
title = "Worked case"
altitude = "40 m"
yard = "unit-a.toml"
date = 2026-05-04

[supply]
pressure = "3.5 bar"
flow = "150 L/min"
temperature = "18 degC"

[tips.T]
bore = "1.4 mm"   # as marked
inlet = "rounded"

[tools.gun]
kind = "hand lance"
support = "body rest"
bore = "6 mm"
loss_k = 3.0
release = "dump"
dump = { bore = "6 mm", cd = 0.7 }
ports = [{ tip = "T", count = 1 }]

[[task]]
name = "It"
hose_run = ["H"]
tool = "gun"
target = { nozzle_pressure = "900 bar" }  # the client's

[spread]   # tips and hoses known well: by itself the task is allowed
cd = "0.3 %"
tip_bore = "0.3 %"
hose_bore = "0.3 %"
roughness = 1.1
"""


REFUSED = JOB[: JOB.index("\n[spread]")]
"""The same with common spreads: 260 of 250 N at its cautious end."""


def jetwright(*args, verb="fit"):
    return subprocess.run(
        [sys.executable, "-m", "jetwright", verb, *map(str, args)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        env=PLAIN,
    )


@pytest.fixture
def job(tmp_path):
    shutil.copy(YARD, tmp_path / "unit-a.toml")
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


def rows(job):
    return tomllib.loads(job.read_text(encoding="utf-8")).get("reading", [])


@worked(13)
def test_seven_per_cent_low_is_adopted_and_not_allowed_by_hand(job):
    done = jetwright(job, *READ, "696 bar", "--json")
    assert (done.returncode, done.stderr) == (3, "")
    [told] = json.loads(done.stdout)["readings"]
    alive = {one["what"]: one for one in told["fit"]["explanations"] if one["alive"]}
    assert set(alive) == {"pump", "tip"}
    assert alive["pump"]["pump_speed_rpm"][1] == pytest.approx(147.4, abs=1.0)
    assert alive["tip"]["pump_speed_rpm"][1] == pytest.approx(148.3, abs=1.0)
    assert told["fit"]["recoil_n"] == [pytest.approx(256, rel=0.01)]
    assert told["fit"]["adopted"]
    assert [(limit["id"], limit["verdict"]) for limit in told["limits"]] == [("recoil.fitted", "not_allowed")]
    assert job.read_text(encoding="utf-8") == JOB


@worked(13)
def test_fifteen_per_cent_low_is_not_adopted(job):
    done = jetwright(job, *READ, "636 bar", "--adopt")
    assert done.returncode == 3
    assert "Explain it first" in done.stdout
    assert "nothing was written" in done.stderr
    assert job.read_text(encoding="utf-8") == JOB


@pytest.mark.rule("recoil.cautious")
@pytest.mark.parametrize("gauge", ["735 bar", "748 bar", "636 bar"])
def test_a_reading_hides_no_refusal(job, gauge):
    """The task is refused whatever was read: verdict and limit on the page, nothing to set, nothing kept."""
    job.write_text(REFUSED, encoding="utf-8")
    done = jetwright(job, *READ, gauge)
    text = " ".join(done.stdout.split())
    assert done.returncode == 3
    assert "● not allowed" in text
    assert "260 of 250 N" in text
    assert "can be adopted" not in text
    assert "--adopt" not in text
    assert done.stdout.count(" rpm") == 1  # the speed that was read
    assert "Next reading" not in text
    for more in ("--adopt", "--diff"):
        kept = jetwright(job, *READ, gauge, more)
        assert kept.returncode == 3
        assert "nothing was written; the task is not allowed, whatever the gauge shows" in kept.stderr
    assert job.read_text(encoding="utf-8") == REFUSED
    [told] = json.loads(jetwright(job, *READ, gauge, "--json").stdout)["readings"]
    assert (told["verdict"], told["holds"]) == ("not_allowed", False)
    assert ("recoil.cautious", "not_allowed") in [(one["id"], one["verdict"]) for one in told["limits"]]


@pytest.mark.rule("release.way_out")
def test_a_dry_shut_off_stays_refused(job):
    job.write_text(
        JOB.replace('release = "dump"\ndump = { bore = "6 mm", cd = 0.7 }', 'release = "dry shut-off"'),
        encoding="utf-8",
    )
    done = jetwright(job, *READ, "745 bar")
    assert done.returncode == 3
    assert "Way out when let go" in done.stdout
    assert "can be adopted" not in done.stdout


def test_a_held_reading_of_a_refused_task_does_not_hold(job):
    jetwright(job, *READ, "748 bar", "--adopt")
    row = job.read_text(encoding="utf-8")[len(JOB) :]
    job.write_text(REFUSED + row, encoding="utf-8")
    done = jetwright(job)
    assert done.returncode == 3
    assert "● not allowed" in done.stdout


def test_the_worst_of_a_held_reading_is_kept_so_that_plans_refuse(job):
    """The reading itself refuses: 256 of 250 N; not to keep it would leave the plan allowed."""
    done = jetwright(job, *READ, "696 bar", "--adopt")
    assert (done.returncode, done.stderr) == (3, f"{job}: the reading is kept\n")
    assert "Speed after it" not in done.stdout
    assert "Kept, its plans refuse it too" in " ".join(done.stdout.split())


def test_nobody_is_sent_with_a_drum_to_a_jet(job):
    said = " ".join(jetwright("--help").stdout.split())
    assert "stopwatch" not in said
    assert "No drum at a jet under pressure" in said


def test_a_reading_as_expected_holds(job):
    done = jetwright(job, *READ, "748 bar")
    assert (done.returncode, done.stderr) == (0, "")
    assert "can be adopted" in done.stdout
    assert "Not kept in the job file" in done.stdout


def test_it_is_kept_as_it_was_typed_and_everything_else_stays(job):
    text = REFUSED.replace("900 bar", "800 bar")
    job.write_text(text, encoding="utf-8")
    done = jetwright(job, *READ, "10850 psi", "--tips", "pinned", "--pin", "1.40 mm", "--flow", "30 L/min", "--adopt")
    assert done.returncode == 0, done.stderr
    assert done.stderr == f"{job}: the reading is kept\n"
    assert "adopted" in done.stdout
    assert job.read_text(encoding="utf-8").startswith(text)
    [row] = rows(job)
    taken = row.pop("taken_with").split()
    assert taken[::2] == ["tip", "hose", "kit", "gauge"]
    assert all(len(digest) == 4 for digest in taken[1::2])
    assert {key: str(value) for key, value in row.items()} == {
        "task": "It",
        "day": "2026-05-04",
        "pump_speed": "120 rpm",
        "gauge": "10850 psi",
        "tips": "pinned",
        "flow": "30 L/min",
        "pin": "1.40 mm",
    }
    assert jetwright("--check", job, verb="fmt").returncode == 0


def test_a_dry_run_shows_the_row_and_writes_nothing(job):
    done = jetwright(job, *READ, "748 bar", "--diff")
    assert done.returncode == 0
    added = [line for line in done.stdout.splitlines() if line.startswith("+") and not line.startswith("+++")]
    assert '+gauge = "748 bar"' in added
    assert [line for line in done.stdout.splitlines() if line.startswith("-") and not line.startswith("---")] == []
    assert "nothing was written" in done.stderr
    assert job.read_text(encoding="utf-8") == JOB


def test_there_are_never_two_of_one_task_and_day(job):
    jetwright(job, *READ, "748 bar", "--adopt")
    again = jetwright(job, *READ, "750 bar", "--adopt")
    assert "in the place of one" in again.stderr
    assert [row["gauge"] for row in rows(job)] == ["750 bar"]
    other_day = jetwright(job, *READ, "745 bar", "--adopt", "--date", "2026-05-05")
    assert other_day.stderr == f"{job}: the reading is kept\n"
    assert [row["gauge"] for row in rows(job)] == ["750 bar", "745 bar"]


def test_without_a_reading_it_shows_what_is_held(job):
    none = jetwright(job)
    assert none.returncode == 0
    assert "No reading is kept here" in none.stdout
    jetwright(job, *READ, "748 bar", "--adopt")
    assert (jetwright(job).returncode, jetwright(job, "--date", "2026-05-05").returncode) == (0, 3)
    assert "no longer holds" in jetwright(job, "--date", "2026-05-05").stdout
    job.write_text(job.read_text(encoding="utf-8").replace('"rounded"', '"cone"'), encoding="utf-8")
    changed = jetwright(job, "--task", "It")
    assert changed.returncode == 3
    assert "described otherwise since: tips" in changed.stdout


@pytest.mark.rule("recoil.fitted")
def test_a_plan_holds_to_what_is_kept(job):
    """256 N of 250 as long as the reading is of this rig and day; the setting stays as planned."""
    before = json.loads(jetwright(job, "--json", verb="plan").stdout)["tasks"][0]
    jetwright(job, *READ, "696 bar", "--adopt")
    after = json.loads(jetwright(job, "--json", verb="plan").stdout)["tasks"][0]
    later = json.loads(jetwright(job, "--json", "--date", "2026-05-05", verb="plan").stdout)["tasks"][0]
    assert before["setting"] == after["setting"] == later["setting"]

    def judged(task):
        return [limit for limit in task["limits"] if limit["id"] == "recoil.fitted"]

    assert [limit["verdict"] for limit in judged(after)] == ["not_allowed"]
    assert judged(after)[0]["value"] == pytest.approx(256, rel=0.01)
    assert "After the reading of 2026-05-04" in judged(after)[0]["remedy"]
    assert judged(before) == judged(later) == []


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("--speed", "120", "--gauge", "696 bar"), "--speed: “120”: a unit is missing"),
        (("--speed", "120 rpm", "--gauge", "nan bar"), "--gauge: “nan bar”: no number"),
        (("--speed", "120 rpm", "--gauge", "4500 bar"), "--gauge: “4500 bar”: out of range"),
        (("--speed", "120 bar", "--gauge", "696 bar"), "--speed: “120 bar”: bar is the unit of a pressure"),
        (("--speed", "600 rpm", "--gauge", "696 bar"), "above the pump's top speed, 500 rpm"),
        (("--speed", "60 rpm", "--gauge", "696 bar"), "below start speed, 120 rpm"),
        (("--speed", "200 rpm", "--gauge", "696 bar"), "read it at the proving point, 120 rpm"),
        (("--speed", "120 rpm", "--gauge", "1200 bar"), "at 1150 bar a relief device may be open"),
        ((*READ, "696 bar", "--flow", "60 L/min"), "--flow: “60 L/min”: more than this pump gives"),
        ((*READ, "696 bar", "--flush", "700 bar"), "--flush: “700 bar”: above what the gauge showed"),
        ((*READ, "696 bar", "--pin", "14 mm"), "--pin: “14 mm”: far from the bore in the file, 1.4 mm"),
        ((*READ, "696 bar", "--task", "Its"), "did you mean “It”?"),
        (("--speed", "120 rpm"), "type --speed and --gauge"),
        (("--tips", "new"), "type --speed and --gauge"),
        (("--adopt",), "--adopt and --diff need a reading"),
        ((*READ, "696 bar", "--diff", "--json"), "--diff shows what would be written and nothing else"),
        ((*READ, "696 bar", "--tips", "worn"), "worn"),
    ],
)
def test_what_tells_nothing_is_refused_with_words(job, typed, said):
    done = jetwright(job, *typed)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in " ".join(done.stderr.split())
    assert job.read_text(encoding="utf-8") == JOB


def test_several_tasks_are_asked_which(job):
    job.write_text(JOB + REFUSED[REFUSED.index("[[task]]") :].replace('"It"', '"Other"'), encoding="utf-8")
    done = jetwright(job, *READ, "748 bar")
    assert done.returncode == 2
    assert "say which one with --task" in done.stderr
    assert "It, Other" in done.stderr
    assert jetwright(job, *READ, "748 bar", "--task", "Other").returncode == 0


def test_a_valve_that_holds_the_gauge_tells_nothing(job):
    """A tip of 1.0 mm on a regulating valve: shut it would stand above 70 % of the relief's set point."""
    yard = job.with_name("unit-a.toml")
    text = yard.read_text(encoding="utf-8").replace(
        'kind = "hand-set"\nfull_open_area = "20 mm2"', 'kind = "regulating"'
    )
    yard.write_text(text, encoding="utf-8")
    job.write_text(JOB.replace('"1.4 mm"', '"1.0 mm"'), encoding="utf-8")
    done = jetwright(job, *READ, "650 bar")
    assert done.returncode == 2
    assert "the valve holds the gauge" in done.stderr


def test_a_part_opening_is_written_with_its_reading(job):
    job.write_text(JOB.replace('"1.4 mm"', '"1.0 mm"'), encoding="utf-8")
    point = json.loads(jetwright(job, "--json", verb="plan").stdout)["tasks"][0]["proving_point"]
    done = jetwright(job, *READ, f"{point['gauge_bar']:.0f} bar", "--adopt")
    assert done.returncode == 0, done.stderr
    [row] = rows(job)
    assert float(row["bypass_area"].split()[0]) == pytest.approx(point["bypass_area_mm2"], rel=1e-3)


def test_a_task_without_a_setting_is_not_compared(job):
    job.write_text(JOB.replace('"900 bar"', '"3990 bar"'), encoding="utf-8")
    done = jetwright(job, *READ, "748 bar")
    assert done.returncode == 2
    assert "no setting to compare with" in done.stderr
    assert f"{job}:" in done.stderr


def test_a_row_that_nobody_could_read_is_refused_with_its_line(job):
    text = JOB + '\n[[reading]]\ntask = "Its"\nday = 2026-05-04\npump_speed = "700 rpm"\ngauge = "696 bar"\n'
    job.write_text(text, encoding="utf-8")
    task, speed = (text.splitlines().index(line) + 1 for line in ('task = "Its"', 'pump_speed = "700 rpm"'))
    for verb in ("fit", "plan"):
        done = jetwright(job, verb=verb)
        assert done.returncode == 2
        first, second = done.stderr.splitlines()
        assert first.startswith(f"{job}:{task}: reading 1, task: “Its”: there is no task")
        assert second.startswith(f"{job}:{speed}: reading 1, pump_speed: ")


def test_one_that_cannot_be_solved_any_more_hides_no_other(job):
    """With a tip of 0.3 mm the rig would stand above 4000 bar at that speed: it is said, and the other is listed."""
    other = REFUSED[REFUSED.index("[tips.T]") :].replace("tips.T]", "tips.U]").replace('"T"', '"U"')
    other = other.replace("tools.gun", "tools.other").replace('"gun"', '"other"').replace('"It"', '"Other"')
    whole = JOB.replace("[spread]", other.replace("900", "800") + "\n[spread]").replace('"900 bar"', '"800 bar"')
    job.write_text(whole, encoding="utf-8")
    for name in ("It", "Other"):
        assert jetwright(job, *READ, "748 bar", "--task", name, "--adopt").returncode == 0
    kept = job.read_text(encoding="utf-8")
    job.write_text(kept.replace('bore = "1.4 mm"', 'bore = "0.3 mm"', 1), encoding="utf-8")
    done = jetwright(job)
    assert (done.returncode, done.stderr) == (3, "")
    assert "described otherwise since: tips" in done.stdout
    told = json.loads(jetwright(job, "--json").stdout)["readings"]
    assert [(one["task"], one["fit"]["expired"], one["fit"]["adopted"]) for one in told] == [
        ("It", ["tip"], False),
        ("Other", [], True),
    ]
    assert (told[0]["fit"]["expected_bar"], told[0]["fit"]["ratio"]) == (None, None)
    planned = json.loads(jetwright(job, "--json", verb="plan").stdout)["tasks"]
    assert planned[0]["fit"]["expired"] == ["tip"]
    assert "is not used: described otherwise since: tips" in " ".join(jetwright(job, verb="plan").stdout.split())
    typed = re.sub(r"taken_with = .*\n", "", job.read_text(encoding="utf-8"))
    job.write_text(typed, encoding="utf-8")
    done = jetwright(job)
    assert (done.returncode, done.stderr) == (3, "")
    assert "Not used: the rig as described could not be there" in done.stdout
    job.write_text(kept.replace('nozzle_pressure = "800 bar"', 'nozzle_pressure = "3990 bar"', 1), encoding="utf-8")
    done = jetwright(job)
    assert (done.returncode, done.stderr) == (3, "")
    assert done.stdout.count("748 bar at 120 rpm") == 2


def test_a_file_that_could_not_be_read_again_is_not_written(job):
    text = JOB + "#" * (256 * 1024 - len(JOB.encode()) - 20) + "\n"
    job.write_text(text, encoding="utf-8")
    for more in ("--adopt", "--diff"):
        done = jetwright(job, *READ, "748 bar", more)
        assert (done.returncode, done.stdout) == (2, "")
        assert "not written: it would be too large for a job file (at most 256 kB)" in done.stderr
    assert job.read_text(encoding="utf-8") == text


def test_what_was_saved_since_it_was_judged_is_not_written_into(job):
    """Its task renamed meanwhile: the row would be of no task, and the file could not be read."""
    fits = fit_reading(job, {"pump_speed": "120 rpm", "gauge": "748 bar"})
    saved = JOB.replace('name = "It"', 'name = "That"')
    job.write_text(saved, encoding="utf-8")
    for write in (True, False):
        with pytest.raises(FileError) as refused:
            keep_reading(fits, write)
        assert [problem.code for problem in refused.value.problems] == ["changed_meanwhile"]
    assert job.read_text(encoding="utf-8") == saved
    assert problem_words(Problem((), "changed_meanwhile")) == "changed meanwhile; nothing was written: try again"


def test_of_six_at_once_none_is_said_to_be_kept_that_is_not(job):
    text = "import sys\nfrom jetwright.cli import main\nmain(sys.argv[1:])\n"
    many = [
        subprocess.Popen(
            [sys.executable, "-c", text, "fit", job, *READ, "748 bar", "--adopt", "--date", f"2026-05-{day:02d}"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            env=PLAIN,
        )
        for day in range(1, 7)
    ]
    said = [one.communicate(timeout=60)[1] for one in many]
    kept = {day for day, words in enumerate(said, start=1) if "the reading is kept" in words}
    assert {row["day"].day for row in rows(job)} == kept != set()
    assert all("changed meanwhile" in words for day, words in enumerate(said, start=1) if day not in kept)
    assert [one.returncode for one in many] == [0 if day in kept else 2 for day in range(1, 7)]


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_everything_else_stays_to_the_byte_and_the_diff_is_true(job, mark):
    """Line ends as they are, a separator of lines inside a comment; only the row is added."""
    raw = mark + JOB.replace("# as marked", "# as\u2028mar\u0085ked").replace("\n", "\r\n").encode()
    raw = raw.replace(b"\r\n", b"\n", 3)
    job.write_bytes(raw)
    dry = subprocess.run(
        [sys.executable, "-m", "jetwright", "fit", job, *READ, "748 bar", "--diff"],
        capture_output=True,
        timeout=60,
        check=True,
        env=PLAIN,
    ).stdout
    assert jetwright(job, *READ, "748 bar", "--adopt").returncode == 0
    new = job.read_bytes()
    assert new.startswith(raw)
    row = new[len(raw) :]
    assert row.count(b"\r\n") == row.count(b"\n") == 7
    lines = dry.split(b"\n")[3:]
    assert b"".join(line[1:] + b"\n" for line in lines if line[:1] == b"+") == row
    assert [line for line in lines if line[:1] == b"-"] == []


def test_help_shows_an_example():
    done = jetwright("--help")
    assert done.returncode == 0
    assert "Example: jetwright fit" in done.stdout


def test_nothing_heavy_is_imported():
    text = (
        "import sys\nfrom jetwright.cli import main\n"
        "try:\n    main(['fit', '--help'])\nexcept SystemExit:\n    pass\n"
        "print('\\n' + ' '.join(sys.modules), file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", text], capture_output=True, text=True, check=True, env=PLAIN)
    assert {"numba", "numpy", "rich", "pydantic_core"} & set(done.stderr.split()) == set()
