"""The inlet side, as a crew writes it down: a suction line from the tank, a booster, a hydrant that was tested."""

import subprocess
import sys

import pytest

from tests.acceptance.crew import Job, gun, limit, near, tip

HEAD = gun(("T14", 2, "0 deg"), ("T12", 2, "0 deg"), kind="floor head", bore="12 mm", release='"none"')
LINE = '[unit.suction]\nbore = "50 mm"\nlength = "3 m"\nloss_k = 2.0\nlevel = "0.4 m"\ncover = "200 mm"\n{}\n'
HYDRANT = '[supply.hydrant]\nstatic = "5 bar"\npressure = "4 bar"\nflow = "{} L/min"\n'
INLET = ("supply.npsh", "supply.vortex", "supply.hydrant")


def floor_head(folder, *tables):
    """107 L/min at 431 rpm, from the tank of Unit A."""
    target = 'nozzle_pressure = "700 bar"'
    return Job(folder, tip("T14", 1.4), tip("T12", 1.2), HEAD, *tables, run='["R12-80"]', target=target)


@pytest.mark.acceptance
@pytest.mark.parametrize(
    ("line", "head", "verdict"),
    [('needed = "3.5 m"', 5.09, "within"), ('needed = "6 m"', 5.09, "look"), ("", 5.09, "not_judged"),
     ('needed = "12 m"', 10.36, "not_allowed"), ('needed = "6 m"\nboost = "2 bar"', 25.11, "within")],
)  # fmt: skip
def test_what_the_pump_finds(tmp_path, line, head, verdict):
    """By hand at 0.910 m/s: 10.09 m of sky, 0.40 m of level or 20.42 m of booster, less 0.13 m and 5.27 m of pulses."""
    judged = limit(floor_head(tmp_path, LINE.format(line)).plan(), "supply.npsh")
    assert judged["value"] == pytest.approx(1000.0 * head, abs=30.0)
    assert (judged["verdict"], judged["unit"]) == (verdict, "mm")
    if verdict == "not_allowed":  # no width of the line gives more than the sky and the level do
        assert {"boost"} <= {cure["kind"] for cure in judged["cures"]}
        assert "booster" in judged["remedy"]
    if verdict == "look":
        assert (judged["source"], judged["verified"]) == ("Hydraulic Institute, from memory", False)


@pytest.mark.acceptance
@pytest.mark.published("ANSI/HI 9.8, as quoted: D(1 + 2.3 Fr)")
def test_water_over_the_tank_s_outlet(tmp_path):
    """107.2 L/min through 50 mm: 0.910 m/s, Fr 1.299, 199 mm."""
    judged = limit(floor_head(tmp_path, LINE.format("")).plan(), "supply.vortex")
    assert judged["bound"] == near(199.4)
    assert (judged["verdict"], judged["value"]) == ("within", near(200))


@pytest.mark.acceptance
@pytest.mark.published("NFPA 291, as quoted: exponent 0.54")
@pytest.mark.parametrize(
    ("flow", "gives", "verdict"), [(150, 186.7, "within"), (100, 124.5, "within"), (80, 99.6, "look")]
)
def test_a_hydrant_that_was_tested(tmp_path, flow, gives, verdict):
    """5 bar still, 4 bar at its test: at 3.5 bar (1.5/1)^0.54 = 1.245 of the test's flow; 107.2 L/min are drawn."""
    task = floor_head(tmp_path, HYDRANT.format(flow)).plan()
    judged = limit(task, "supply.hydrant")
    assert (judged["value"], judged["bound"]) == (near(gives), near(107.2))
    assert judged["verdict"] == limit(task, "supply.water")["verdict"] == verdict
    assert [one["id"] for one in task["limits"] if one["id"] in INLET] == ["supply.hydrant"]


@pytest.mark.acceptance
def test_a_file_that_says_nothing_of_it_is_judged_as_before(tmp_path):
    assert [one["id"] for one in floor_head(tmp_path).plan()["limits"] if one["id"] in INLET] == []


@pytest.mark.acceptance
def test_what_belongs_to_a_tank_is_refused_with_its_line(tmp_path):
    job = floor_head(tmp_path, LINE.format(""))
    yard = tmp_path / "unit-a.toml"
    yard.write_text(yard.read_text(encoding="utf-8").replace('[unit.tank]\nvolume = "600 L"\n', ""), encoding="utf-8")
    command = [sys.executable, "-m", "jetwright", "plan", str(job.path)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    lines = job.path.read_text(encoding="utf-8").splitlines()
    assert done.returncode == 2
    for key in ("level", "cover"):
        at = next(number for number, line in enumerate(lines, start=1) if line.startswith(f"{key} ="))
        assert f"job.toml:{at}: unit.suction.{key}: " in done.stderr
    assert "the unit has no tank" in done.stderr
