"""Worked cases about what the jets do: recoil of rated tips, a hose-fed nozzle's pull, a plugged tube.

Source of every expected number: computed by three independent programs (IAPWS-95 water, exact Colebrook, the equations
of docs/job-file.md) that agree to the digits shown; ±1 %.
"""

import pytest

from jetwright.errors import RigError
from jetwright.plan.jet import jets_at_target
from jetwright.plan.pull import pulls_of
from jetwright.plan.setting import target_of
from jetwright.rig.check import check
from jetwright.solve.steady import reach
from tests.acceptance.crew import Job, case, gun, limit, near, tip


def settled(job):
    """The job's rig, and where it stands when its target is met."""
    rig = check(job.job)
    return rig, reach(rig, *target_of(rig)[:2])


@case(28)
@pytest.mark.parametrize(
    ("rated", "bar", "push"),
    [("120 L/min at 100 bar", 100, 282), ("20 L/min at 1000 bar", 1000, 147), ("21.8 L/min at 2500 bar", 2500, 251),
     ("20 L/min at 2800 bar", 2800, 243)],
)  # fmt: skip
def test_force_of_a_jet_by_what_a_chart_prints(tmp_path, rated, bar, push):
    pump = '[unit.pump]\nflow_per_turn = "0.4 L"\nstart_speed = "50 rpm"\ntop_speed = "600 rpm"\nrating = "3000 bar"\n'
    task = 'tool = "gun"\njet = { standoff = "50 mm" }'
    job = Job(
        tmp_path,
        pump,
        f'[tips.T]\nrated = "{rated}"\n',
        gun(("T", 1, "0 deg")),
        run="[]",
        task=task,
        target=f'nozzle_pressure = "{bar} bar"',
    )
    [jet] = jets_at_target(*settled(job))
    assert jet.force == near(push)


@pytest.mark.acceptance
@pytest.mark.parametrize(("standoff", "taken"), [("1000 mm", True), ("1001 mm", False), ("20 m", False)])
def test_a_stand_off_is_no_distance(tmp_path, standoff, taken):
    task = f'tool = "gun"\njet = {{ standoff = "{standoff}" }}'
    if taken:
        assert Job(tmp_path, tip("T", 1.0), gun(("T", 1, "0 deg")), task=task).plan()["jets_at_target"]
        return
    with pytest.raises(RigError) as refusal:
        Job(tmp_path, tip("T", 1.0), gun(("T", 1, "0 deg")), task=task)
    [problem] = refusal.value.problems
    assert (problem.key[-1], problem.code, problem.facts["at_most"]) == ("standoff", "out_of_range", "1000 mm")


HEAD = """[tools.gun]
kind = "floor head"
bore = "12 mm"
release = "none"
turns = "{} rpm"
ports = [{{ tip = "T", count = 2, radius = "150 mm" }}]
"""


@pytest.mark.acceptance
@pytest.mark.parametrize(("turns", "rate"), [(300, None), (1250, 114.2)])
def test_nothing_is_promised_where_stripes_are_certain(tmp_path, turns, rate):
    """By hand: two tracks of 5 mm less a fifth at 10 m a minute: 1250 rpm; 10·0.305·0.8·0.78·60 = 114.2 m²/h."""
    work = """tool = "gun"
jet = { standoff = "30 mm", footprint = "5 mm" }
travel = { length = "10 m", time = "1 min" }
extent = { length = "10 m", width = "3 m" }"""
    task = Job(tmp_path, tip("T", 1.0), HEAD.format(turns), task=work).plan()
    [cover] = task["coverage"]
    judged = limit(task, "coverage.stripes")
    assert judged["verdict"] == ("look" if rate is None else "within")
    assert judged["bound"] == near(1250)
    if rate is None:
        assert (cover["rate_m2_h"], task["whole_task"]["trigger_h"], task["whole_task"]["water_l"]) == (
            None,
            None,
            None,
        )
        assert "Turn it at 1250 rpm or more, or move on 2.40 m in a minute or less" in judged["remedy"]
    else:
        assert cover["rate_m2_h"] == near(rate)
        assert task["whole_task"]["trigger_h"] == near(30.0 / rate)


def nozzle(angle):
    return gun(("T08", 1, "0 deg"), ("T09", 4, angle), kind="pipe nozzle", release='"none"', more='held_by = "hose"\n')


@case(24)
def test_pull_of_a_hose_fed_nozzle(tmp_path):
    tips = tip("T08", 0.8), tip("T09", 0.9)
    task = 'tool = "gun"\npipe = { bore = "100 mm" }'
    job = Job(tmp_path, *tips, nozzle("30 deg back"), task=task, target='nozzle_pressure = "700 bar"')
    [one] = pulls_of(*settled(job))
    assert one.pull == near(211)
    assert one.reach is None  # nobody said what the hose weighs
    [outward] = pulls_of(
        *settled(
            Job(tmp_path / "o", *tips, nozzle("30 deg"), task=task, target='nozzle_pressure = "700 bar"'),
        )
    )
    assert outward.pull < 0.0


@case(42)
def test_a_plugged_tube_pushes_the_lance_out(tmp_path):
    lance = gun(("T", 1, "0 deg"), kind="flexible lance")
    task = 'tool = "gun"\npipe = { bore = "19 mm", blocked = "10 bar" }'
    [one] = pulls_of(*settled(Job(tmp_path, tip("T", 1.0), lance, task=task)))
    assert one.piston == near(284)
    assert one.blocked == pytest.approx(10e5)
