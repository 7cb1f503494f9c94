"""Checks of jetwright.plan.judging.hose, person and site: what a whole task gives them."""

import datetime
import math
from dataclasses import replace

import pytest
from hypothesis import assume, given

from jetwright.errors import JetwrightError
from jetwright.files.rules import rule_set
from jetwright.plan.answer import Tolerance
from jetwright.plan.basis import Basis
from jetwright.plan.case import Case
from jetwright.plan.judging import hose, person, site
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import machine_for, target_of
from jetwright.plan.task import run_items
from jetwright.plan.tolerance import tolerance_of
from jetwright.rig.check import check
from jetwright.rig.description import (
    Branch,
    Cleaned,
    Fitting,
    FlowAt,
    Hazards,
    Hose,
    Operator,
    Pipe,
    Port,
    Restraints,
    Target,
    Task,
    Tip,
)
from jetwright.rig.order import Orders
from jetwright.solve.states import trigger_states
from tests.limits.unit_a import GUN, unit_a
from tests.rigs import jobs

DAY = datetime.date(2026, 5, 12)
GOOD = Hose(0.008, 20.0, rating=1400e5, tested=datetime.date(2026, 3, 2), traceable=True)
TASK = Task("It", Target(nozzle_pressure=900e5), ("H", "H"), "gun")


def case_of(job, rules="eu-generic", day=DAY):
    rig = check(job)
    machine = machine_for(rig, *target_of(rig))
    proving = proving_point(rig, machine.state.pump_pressure)
    known, states = tolerance_of(rig, machine, proving), trigger_states(rig, machine.levers)
    return Case(rig, 0, Basis(rule_set(rules), Orders("", {}, {}), day), machine, proving, known, states, (), None)


def job_of(hoses=None, tool=GUN, task=None, unit=None, **job):
    made = unit_a(**(unit or {}))
    more = {"hoses": hoses or {"H": GOOD}, "tools": {"gun": tool}, "fittings": {"tee": Fitting(0.012)}}
    return replace(made, task=(replace(TASK, **(task or {})),), **more, **job)


def judged(topic, identity, *args, case=None, **job):
    found = [limit for limit in topic.limits(case or case_of(job_of(*args, **job))) if limit.id == identity]
    return found[0] if len(found) == 1 else found


# hoses


@pytest.mark.rule("hose.test_age")
@pytest.mark.parametrize(
    ("tested", "verdict"),
    [
        (datetime.date(2025, 5, 11), "within"),  # 366 days
        (datetime.date(2025, 5, 10), "not_allowed"),
        (DAY, "within"),
        (datetime.date(2026, 5, 13), "look"),  # tomorrow
        (None, "not_judged"),
    ],
)
def test_the_day_of_the_job_decides(tested, verdict):
    """Norway, regulation on the performance of work, 20-9: at least every 12 months."""
    limit = judged(hose, "hose.test_age", {"H": replace(GOOD, tested=tested)})
    assert (limit.verdict, limit.about, limit.facts["hose"]) == (verdict, "hoses.H", "H")


@pytest.mark.rule("hose.test_age")
def test_each_hose_in_use_is_judged_once():
    old = replace(GOOD, tested=datetime.date(2024, 1, 1))
    limits = judged(hose, "hose.test_age", {"H": GOOD, "K": old, "in the van": old}, task={"hose_run": ("H", "K", "H")})
    assert [(limit.about, limit.verdict) for limit in limits] == [("hoses.H", "within"), ("hoses.K", "not_allowed")]


@pytest.mark.rule("hose.traceable")
def test_pieces_without_a_tag_are_counted():
    hoses = {"H": GOOD, "K": replace(GOOD, traceable=False)}
    assert judged(hose, "hose.traceable", hoses).verdict == "within"
    limit = judged(hose, "hose.traceable", hoses, task={"hose_run": ("K", "H", "K")})
    assert (limit.verdict, limit.value, limit.about) == ("not_allowed", 2, "hoses.K")


@pytest.mark.rule("hose.traceable")
def test_a_tag_nobody_spoke_of_is_not_judged_unless_another_is_gone():
    hoses = {"H": replace(GOOD, traceable=None), "K": replace(GOOD, traceable=False)}
    limit = judged(hose, "hose.traceable", hoses)
    assert (limit.verdict, limit.value, limit.missing) == ("not_judged", None, "hoses.H.traceable")
    assert judged(hose, "hose.traceable", hoses, task={"hose_run": ("H", "K")}).verdict == "not_allowed"


@pytest.mark.rule("hose.mixed")
@pytest.mark.parametrize(
    ("other", "verdict"),
    [
        (replace(GOOD, rating=1100e5), "look"),
        (replace(GOOD, bore=0.010, rating=1100e5), "within"),
        (replace(GOOD, length=10.0), "within"),
        (replace(GOOD, rating=None), "not_judged"),
    ],
)
def test_pieces_of_one_bore_and_two_ratings(other, verdict):
    limit = judged(hose, "hose.mixed", {"H": GOOD, "K": other}, task={"hose_run": ("H", "K")})
    assert limit.verdict == verdict
    assert limit.missing == ("hoses.K.rating" if verdict == "not_judged" else "")


@pytest.mark.rule("hose.mixed")
def test_two_runs_are_judged_each_by_itself():
    task = {
        "hose_run": ("H", "tee"),
        "tool": None,
        "branches": (Branch("gun", ("H",)), Branch("gun", ("K",))),
        "target": Target(nozzle_pressure=500e5),
    }
    limit = judged(hose, "hose.mixed", {"H": GOOD, "K": replace(GOOD, rating=1100e5)}, task=task)
    assert (limit.verdict, limit.about) == ("look", "branch.2")


@pytest.mark.rule("hose.count")
@pytest.mark.parametrize(("owned", "verdict"), [(4, "within"), (3, "look"), (2, "look"), (1, "look")])
def test_every_piece_of_the_task_is_counted_the_main_run_once(owned, verdict):
    """Two pieces up to the tee, one on each branch: four."""
    task = {
        "hose_run": ("H", "H", "tee"),
        "tool": None,
        "branches": (Branch("gun", ("H",)), Branch("gun", ("H",))),
        "target": Target(nozzle_pressure=500e5),
    }
    limit = judged(hose, "hose.count", {"H": replace(GOOD, count=owned)}, task=task)
    assert (limit.verdict, limit.value, limit.bound, limit.about) == (verdict, 4, owned, "hoses.H")


@pytest.mark.rule("hose.count")
def test_one_piece_of_a_hose_needs_no_count():
    task = {"hose_run": ("H",), "target": Target(nozzle_pressure=500e5)}
    assert "hose.count" not in {limit.id for limit in hose.limits(case_of(job_of(task=task)))}


@pytest.mark.rule("tip.count")
def test_tips_that_nobody_counted_are_not_judged():
    """A count of one is what a yard says that says nothing."""
    job = job_of(tool=replace(GUN, ports=(Port("T", 3),)))
    assert "tip.count" not in {limit.id for limit in hose.limits(case_of(job))}


@pytest.mark.rule("tip.count")
@pytest.mark.parametrize(("owned", "verdict"), [(5, "within"), (4, "look")])
def test_tips_of_every_row_are_counted(owned, verdict):
    job = job_of(tool=replace(GUN, ports=(Port("T", 3), Port("T", 2, math.pi / 4.0))))
    limit = judged(hose, "tip.count", case=case_of(replace(job, tips={"T": Tip(0.6e-3, "rounded", count=owned)})))
    assert (limit.verdict, limit.value, limit.about) == (verdict, 5, "tips.T")


@pytest.mark.rule("hose.speed")
@pytest.mark.parametrize(("bore", "verdict"), [(0.008, "within"), (0.004, "look")])
def test_the_fastest_water_is_the_plans_own(bore, verdict):
    """Continuity: the speed that the plan prints for that hose."""
    case = case_of(job_of({"H": GOOD, "K": Hose(bore, 1.0)}, task={"hose_run": ("H", "K")}))
    limit = judged(hose, "hose.speed", case=case)
    fastest = max(run_items(case.rig, case.machine.state), key=lambda item: item.speed)
    assert (limit.verdict, limit.about, limit.value) == (verdict, f"hoses.{fastest.item}", fastest.speed)


def test_a_tool_on_the_unit_itself_has_no_hose_to_judge():
    limits = hose.limits(case_of(job_of(task={"hose_run": ()})))
    assert [limit.id for limit in limits] == ["supply.filter", "restraint.whip_checks", "restraint.shrouds"]


@pytest.mark.rule("supply.filter")
def test_the_smallest_tip_in_use_counts():
    job = job_of(tool=replace(GUN, ports=(Port("T"), Port("S", 2, math.pi / 4.0))))
    tips = job.tips | {"S": Tip(0.0006, "rounded"), "in the box": Tip(0.0001, "rounded")}
    filtered = replace(job.supply, filter=30e-6)
    limit = judged(hose, "supply.filter", case=case_of(replace(job, tips=tips, supply=filtered)))
    assert (limit.value, limit.about, limit.verdict) == (pytest.approx(0.05), "tips.S", "within")


@pytest.mark.rule("supply.filter")
def test_a_rated_tip_counts_as_small_as_it_can_be():
    """A hole passes no more than Cd 1 lets it: 18.9 L/min at 1000 bar need at least 0.94 mm."""
    job = job_of()
    rated = {"T": Tip(rated=FlowAt(18.9e-3 / 60.0, 1000e5))}
    filtered = replace(job.supply, filter=25e-6)
    limit = judged(hose, "supply.filter", case=case_of(replace(job, tips=rated, supply=filtered)))
    speed = math.sqrt(2.0 * 1000e5 / 998.6)  # Bernoulli, water of one density
    assert limit.facts["bore"] == pytest.approx(math.sqrt(4.0 * 18.9e-3 / 60.0 / speed / math.pi), rel=0.01)


@pytest.mark.rule("restraint.whip_checks")
@pytest.mark.rule("restraint.shrouds")
def test_restraints_at_hand_against_those_needed():
    """Unit, two hoses, gun: three joints."""
    for at_hand, verdicts in (
        (None, ["not_judged", "not_judged"]),
        (Restraints(3, 0), ["within", "look"]),
        (Restraints(2, 1), ["look", "within"]),
    ):
        limits = hose.limits(case_of(job_of(restraints=at_hand)))
        assert [limit.verdict for limit in limits if limit.id.startswith("restraint.")] == verdicts


# people


@pytest.mark.rule("person.lance")
@pytest.mark.parametrize(
    ("length", "pressure", "verdict"), [(0.8, 240e5, "within"), (0.8, 900e5, "look"), (None, 900e5, "not_judged")]
)
def test_the_planned_pressure_chooses_the_bound(length, pressure, verdict):
    target = Target(nozzle_pressure=pressure)
    limit = judged(person, "person.lance", tool=replace(GUN, length=length), task={"target": target})
    assert (limit.verdict, limit.about) == (verdict, "tools.gun")


@pytest.mark.rule("person.lance")
def test_only_a_lance_in_a_hand_is_measured():
    assert judged(person, "person.lance", tool=replace(GUN, held_by="carrier", holder="rail")) == []


@pytest.mark.rule("person.turn")
@pytest.mark.parametrize(
    ("kind", "held_by", "listed"),
    [
        ("pipe nozzle", "hose", True),
        ("flexible lance", "hand", True),
        ("other", "hose", True),
        ("hand lance", "hand", False),
        ("rotating head", "machine", False),
    ],
)
def test_only_what_a_hose_follows_can_turn_round_in_a_pipe(kind, held_by, listed):
    tool = replace(GUN, kind=kind, held_by=held_by, length=0.200)
    limit = judged(person, "person.turn", tool=tool, task={"pipe": Pipe(0.150)})
    assert (limit.verdict if listed else limit) == ("look" if listed else [])
    assert judged(person, "person.turn", tool=tool) == []


@pytest.mark.rule("person.stops")
@pytest.mark.parametrize(
    ("stops", "verdict"),
    [
        ((), "not_judged"),
        (("trigger",), "look"),
        (("trigger", "Trigger "), "look"),  # one way, named twice
        (("trigger", "pump operator"), "within"),
    ],
)
def test_ways_to_stop_are_counted_once(stops, verdict):
    assert judged(person, "person.stops", task={"stops": stops}).verdict == verdict


@pytest.mark.rule("person.rail")
def test_a_place_nobody_told_is_not_listed():
    assert judged(person, "person.rail", task={"operator": Operator(lightest=75.0)}) == []
    assert judged(person, "person.rail", task={"operator": Operator(place="ladder")}).verdict == "not_allowed"


@pytest.mark.rule("person.remote")
def test_a_remote_is_judged_where_there_is_one():
    assert judged(person, "person.remote") == []
    assert judged(person, "person.remote", unit={"remote": True}).missing == "task.remote_tested"
    assert judged(person, "person.remote", unit={"remote": True}, task={"remote_tested": True}).verdict == "within"
    assert judged(person, "person.remote", task={"remote_tested": False}).verdict == "look"


# the place


@pytest.mark.rule("hazard.ignition")
def test_hazards_nobody_spoke_of_are_not_judged():
    limits = [limit for limit in site.limits(case_of(job_of())) if limit.id.startswith("hazard.")]
    assert [limit.verdict for limit in limits] == ["not_judged"] * 4
    told = Hazards(ignition=True, confined_space=False, live_electrical=False, product=False)
    assert judged(site, "hazard.ignition", task={"hazards": told}).verdict == "not_allowed"


@pytest.mark.rule("object.withstands")
@pytest.mark.parametrize(
    ("cleaned", "verdict", "missing", "source"),
    [
        (None, "look", "task.object", "common practice"),
        (Cleaned("steel"), "look", "task.object.withstands", "common practice"),
        (Cleaned("steel", 1200e5, "client"), "within", "", "client"),
        (Cleaned("steel", 1200e5), "within", "", "hearsay"),
        (Cleaned("steel", 900e5), "look", "task.object.source", "hearsay"),
        (Cleaned("steel", 900e5, "drawing 7"), "not_allowed", "", "drawing 7"),  # 900 bar wanted, up to 13 % more had
    ],
)
def test_the_cautious_end_meets_the_object(cleaned, verdict, missing, source):
    case = case_of(job_of(task={"object": cleaned}))
    limit = judged(site, "object.withstands", case=case)
    assert (limit.verdict, limit.missing, limit.source) == (verdict, missing, source)
    assert limit.value == max(case.tolerance.nozzle) > 900e5


@given(jobs())
def test_any_rig_is_judged(job):
    """A missing fact is not judged or looked at; nothing here refuses a rig of which nobody said anything."""
    rig = check(job)
    try:
        machine = machine_for(rig, *target_of(rig))
    except JetwrightError:
        assume(False)
    proving = proving_point(rig, machine.state.pump_pressure)
    nozzles = tuple(line.nozzle for line in machine.state.lines)
    known = Tolerance((proving.gauge, proving.gauge), None, (proving.gauge, proving.gauge), (0.0,), nozzles)
    case = Case(rig, 0, Basis(rule_set("no"), Orders("", {}, {}), DAY), machine, proving, known, (), (), None)
    limits = [limit for topic in (hose, person, site) for limit in topic.limits(case)]
    assert all(limit.verdict != "not_allowed" for limit in limits)
    assert all(limit.missing for limit in limits if limit.verdict == "not_judged")
    assert len({(limit.id, limit.about) for limit in limits}) == len(limits)
