"""`jetwright tips` as a crew runs it, in a process of its own."""

import json
import re
from pathlib import Path

import pytest

from tests.cli.test_commands import jetwright

EXAMPLES = Path(__file__).parents[2] / "examples"
SHIFT = EXAMPLES / "shift" / "job.toml"
BOX = EXAMPLES / "tip-box.toml"


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("shift/job.toml", 0),
        ("shift/not-allowed.toml", 3),
        ("hose-fed.toml", 0),
        ("two-guns.toml", 0),
        ("tip-box.toml", 0),
    ],
)
def test_every_example_gets_its_tips_or_a_reason(name, code):
    done = jetwright("tips", EXAMPLES / name)
    text = done.stdout.decode()
    assert done.returncode == code, done.stderr.decode()
    assert done.stderr == b""
    assert text.count("supports and never replaces") == 1
    assert ("No tips of this box are allowed" in text) == (code == 3)
    told = json.loads(jetwright("tips", EXAMPLES / name, "--json").stdout)
    assert any(task["verdict"] == "not_allowed" for task in told["tasks"]) == (code == 3)


def test_what_is_pasted_into_the_file_plans_as_it_was_listed(tmp_path):
    text = BOX.read_text(encoding="utf-8")
    [task] = json.loads(jetwright("tips", BOX, "--json", "--task", "Culvert", "--least-pull", "300 N").stdout)["tasks"]
    rows = re.search(r"ports = \[\n  \{ tip = \"C08\" \},\n.*?\n\]", text, re.DOTALL)[0]
    path = tmp_path / "job.toml"
    path.write_text(text.replace(rows, task["ports"]), encoding="utf-8")
    done = jetwright("plan", path, "--json", "--task", "Culvert")
    [planned], best = json.loads(done.stdout)["tasks"], task["best"][0]
    assert planned["verdict"] == best["verdict"] != "not_allowed"
    [tool] = planned["tools"]
    assert tool["jet_power_kw"] == pytest.approx(best["jet_power_kw"], rel=1e-6)
    assert tool["recoil_n"] == pytest.approx(best["recoil_n"], rel=1e-6)
    assert -tool["recoil_n"] >= 300.0
    assert planned["setting"]["pump_pressure_bar"] == pytest.approx(best["pump_pressure_bar"], rel=1e-6)


def test_what_is_pasted_where_it_is_told_to_is_planned(tmp_path):
    """The tools of this job stand in its yard file, under a name that needs quotes: every file of it is a copy."""
    for name in ("job.toml", "yard.toml"):
        text = (SHIFT.parent / name).read_text(encoding="utf-8")
        text = text.replace("[tools.floor-head]", '[tools."Kopf 2"]').replace('"floor-head"', '"Kopf 2"')
        (tmp_path / name).write_text(text, encoding="utf-8")
    job = tmp_path / "job.toml"
    shown = jetwright("tips", job).stdout.decode()
    for task in json.loads(jetwright("tips", job, "--json").stdout)["tasks"]:
        file, table = task["ports_in"]["file"], task["ports_in"]["table"]
        assert file == str(tmp_path / "yard.toml")
        assert f"in [{table}]" in shown
        text = Path(file).read_text(encoding="utf-8")
        start = text.index(f"[{table}]")
        rows = re.compile(r"^ports = \[.*?\]$", re.DOTALL | re.MULTILINE)
        text = text[:start] + rows.sub(lambda _found, new=task["ports"]: new, text[start:], count=1)
        Path(file).write_text(text, encoding="utf-8")
        done = jetwright("plan", job, "--json", "--task", task["name"])
        assert done.returncode == 0, done.stderr.decode()
        [planned], best = json.loads(done.stdout)["tasks"], task["best"][0]
        power = next(tool["jet_power_kw"] for tool in planned["tools"] if tool["tool"] == task["tool"])
        assert power == pytest.approx(best["jet_power_kw"], rel=1e-6)
    assert 'in [tools."Kopf 2"]' in shown


def test_a_hose_as_thin_as_a_hair_is_answered(tmp_path):
    """More is lost in it than water can stand; every command answers or refuses in words."""
    text = BOX.read_text(encoding="utf-8").replace(
        '[hoses.D12-40]\nbore = "12 mm"', '[hoses.D12-40]\nbore = "0.012 mm"'
    )
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    for command in ("tips", "plan", "check"):
        done = jetwright(command, path)
        assert done.returncode in (0, 2, 3)
        assert "Traceback" not in done.stderr.decode()
        assert done.stdout or b"beyond what is known" in done.stderr


def test_wishes_are_kept():
    told = json.loads(jetwright("tips", BOX, "--json", "--task", "Mixing tank", "--least-torque", "4.9 N m").stdout)
    assert [way["torque_n_m"] >= 4.9 for way in told["tasks"][0]["best"]] == [True] * len(told["tasks"][0]["best"])
    assert told["tasks"][0]["least_torque_n_m"] == 4.9
    pounds = json.loads(jetwright("tips", BOX, "--json", "--task", "Culvert", "--least-pull", "80 lbf").stdout)
    assert min(-way["recoil_n"] for way in pounds["tasks"][0]["best"]) >= 355.8


def test_more_than_the_box_gives_is_refused_with_what_it_gives():
    done = jetwright("tips", BOX, "--task", "Culvert", "--least-pull", "900 N")
    assert done.returncode == 3
    text = " ".join(done.stdout.decode().split())
    had = re.search(r"(\d+) N of pull can be had and is allowed", text)
    assert had is not None
    again = jetwright("tips", BOX, "--task", "Culvert", "--least-pull", f"{had[1]} N")
    assert again.returncode == 0


def test_the_help_says_in_what_a_torque_is_asked_for():
    assert "in N m as in '1.5 N m' (1 lbf ft is 1.356 N m)" in " ".join(
        jetwright("tips", "--help").stdout.decode().split()
    )


def test_as_many_as_are_wished():
    told = json.loads(jetwright("tips", BOX, "--json", "--task", "Culvert", "--most", "3").stdout)
    assert len(told["tasks"][0]["best"]) == 3


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--least-pull", "150"), "a unit is missing"),
        (("--least-pull", "150 bar"), "bar is the unit of a pressure, and a force belongs here"),
        (("--least-pull", "-1 N"), "out of range"),
        (("--least-torque", "1,5 N m"), "a comma may be misread"),
        (("--most", "0"), "0"),
        (("--task", "Culverts"), "did you mean “Culvert”?"),
        (("--branch", "2"), "there is 1 branch only"),
        (("--least-torque", "1 N m", "--task", "Culvert"), "no port of this tool has both a radius and a skew"),
        (("--least-pull", "1 N", "--task", "Mixing tank"), "no port of this tool points back"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_words(options, says):
    done = jetwright("tips", BOX, *options)
    assert done.returncode == 2
    assert done.stdout == b""
    assert says in done.stderr.decode()


def test_one_branch_of_several():
    told = json.loads(jetwright("tips", EXAMPLES / "two-guns.toml", "--branch", "2", "--json").stdout)
    assert told["tasks"][0]["branch"] == 2
