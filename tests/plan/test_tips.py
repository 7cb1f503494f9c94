"""Checks of jetwright.plan.tips and jetwright.plan.tip_order: against trying every way, and against worked cases."""

import importlib.util
import itertools
import math
import random
import subprocess
import sys
from collections import Counter
from dataclasses import replace

import pytest

from jetwright.actions.plan import basis_for
from jetwright.errors import NotServedError, RigError
from jetwright.limits.limit import worst
from jetwright.parts.nozzle import recoil
from jetwright.plan.assess import assess
from jetwright.plan.task import plan_job, tool_states
from jetwright.plan.tip_answer import PULL, STARVED, TORQUE
from jetwright.plan.tip_box import box_of, places_of, ports_of
from jetwright.plan.tip_order import Wish
from jetwright.plan.tip_window import window_of
from jetwright.plan.tips import choose_tips, tips_for_job
from jetwright.rig.check import check
from jetwright.rig.description import Branch, Bypass, FlowAt, Hose, Port, Relief, SupplyHose, Target, Task, Tip, Tool
from jetwright.rig.example import JOB
from tests.acceptance.crew import DAY, Job, case, gun, near, rpm, tip
from tests.limits.unit_a import BAR, GUN, LITRES_A_MINUTE, RPM, unit_a
from tests.tier import PLANNED_RIGS

BACK = math.radians(150.0)


# ---- every way, tried ------------------------------------------------------------------------------------------------


def all_ways(job, name):
    """Port rows of every way to fill a tool with what is owned; an even row is opposed pairs, an odd one a ring."""
    slots = []
    for port in job.tools[name].ports:
        pairs = port.count % 2 == 0
        slots += [(port, 2 if pairs else port.count)] * (port.count // 2 if pairs else 1)
    seen = set()
    for chosen in itertools.product(job.tips, repeat=len(slots)):
        used = Counter()
        for (_port, jets), tip_name in zip(slots, chosen, strict=True):
            used[tip_name] += jets
        if any(count > job.tips[tip_name].count for tip_name, count in used.items()):
            continue
        rows = tuple(
            replace(port, tip=tip_name, count=jets) for (port, jets), tip_name in zip(slots, chosen, strict=True)
        )
        key = frozenset(Counter((row.tip, row.count, row.angle, row.radius, row.skew) for row in rows).items())
        if key not in seen:
            seen.add(key)
            yield rows


def tried(job, index, name, number, wish):
    """Jet power, pull, torque and verdict of each way that no limit and no wish refuses, the most power first."""
    basis, found = basis_for(job, day=DAY), []
    for rows in all_ways(job, name):
        changed = replace(job, tools=dict(job.tools) | {name: replace(job.tools[name], ports=rows)})
        rig = check(changed, index)
        try:
            assessed = assess(rig, index, basis, steps=False)
        except NotServedError:
            continue
        if assessed.refused or assessed.machine is None:
            continue
        tool = tool_states(rig, assessed.machine.state)[number - 1]
        pull = turning = 0.0
        for row, jet in zip(rows, tool.jets, strict=True):
            mass_flow = jet.flow * rig.water.reference_density
            pull -= recoil(mass_flow, jet.speed, row.count, row.angle, row.skew)[0]
            turning += row.count * mass_flow * jet.speed * row.radius * math.sin(row.skew)
        if wish.least_pull is not None and pull < wish.least_pull:
            continue
        if wish.least_torque is not None and abs(turning) < wish.least_torque:
            continue
        found.append((tool.jet_power, pull, abs(turning), worst(assessed.limits)))
    return sorted(found, key=lambda one: -one[0])


def random_job(dice):
    """Unit A with a random tool, a random box and a random target; and what is wished."""
    ports, wish = dice.choice(
        [
            ((Port("T0"),), "none"),
            ((Port("T0"), Port("T0", angle=math.radians(15.0))), "none"),
            ((Port("T0", 2), Port("T0", 4, angle=0.3, radius=0.1, skew=0.2)), "torque"),
            ((Port("T0", 2, radius=0.1, skew=0.3), Port("T0", 2, radius=0.15, skew=-0.2)), "torque"),
            ((Port("T0"), Port("T0", 4, angle=BACK)), "pull"),
            ((Port("T0"), Port("T0", 3, angle=BACK), Port("T0", 2, angle=2.0)), "pull"),
        ]
    )
    kind, held_by, support = {
        "none": ("hand lance", "hand", dice.choice(["none", "body rest", None])),
        "torque": ("rotating head", "machine", None),
        "pull": ("pipe nozzle", "hose", None),
    }[wish]
    release = dice.choice(["dump", "dump", "dry shut-off"]) if kind == "hand lance" else "none"
    tool = replace(GUN, kind=kind, held_by=held_by, support=support, release=release, ports=ports, bore=0.008)
    tips = {}
    for number in range(dice.randint(2, 6)):
        bore = dice.uniform(0.5, 1.3 if kind == "hand lance" else 1.7) * 1e-3
        more = {"cd": dice.uniform(0.6, 0.95)} if dice.random() < 0.2 else {}
        tips[f"T{number}"] = Tip(
            bore, dice.choice(["sharp", "rounded", "cone", "unknown"]), count=dice.randint(2, 9), **more
        )
    if dice.random() < 0.3:
        tips["R"] = Tip(rated=FlowAt(dice.uniform(8.0, 30.0) * LITRES_A_MINUTE, 1000 * BAR), count=dice.randint(2, 6))
    target = dice.choice(
        [
            Target(nozzle_pressure=dice.uniform(300.0, 800.0) * BAR),
            Target(pump_pressure=dice.uniform(300.0, 950.0) * BAR),
            Target(flow=dice.uniform(15.0, 70.0) * LITRES_A_MINUTE),
        ]
    )
    bypass = dice.choice(
        [
            Bypass("hand-set", returns_to="tank", full_open_area=dice.choice([1e-6, 20e-6, 20e-6])),
            Bypass("regulating", returns_to="tank"),
            Bypass("unloader", returns_to="tank", set=1100 * BAR),
        ]
    )
    job = unit_a(hose=Hose(dice.choice([0.008, 0.012]), dice.uniform(5.0, 80.0)), tool=tool, bypass=bypass)
    job = replace(job, tips=tips, task=(replace(job.task[0], target=target),))
    least_pull = dice.uniform(20.0, 250.0) if wish == "pull" and dice.random() < 0.6 else None
    least_torque = dice.uniform(2.0, 25.0) if wish == "torque" and dice.random() < 0.6 else None
    return job, Wish(10, least_pull, least_torque)


@pytest.mark.parametrize("seed", range(PLANNED_RIGS))
def test_the_first_ten_are_those_of_trying_every_way(seed):
    job, wish = random_job(random.Random(seed))
    expected = tried(job, 0, "gun", 1, wish)
    choice = choose_tips(job, 0, basis_for(job, day=DAY), wish)
    assert choice.proven
    assert [way.jet_power for way in choice.best] == pytest.approx([one[0] for one in expected[:10]], rel=1e-6)
    for way in choice.best:  # each is one that was tried, with its push, torque and verdict
        assert any(
            way.jet_power == pytest.approx(power, rel=1e-9)
            and -way.recoil == pytest.approx(pull, rel=1e-9, abs=1e-6)
            and abs(way.torque) == pytest.approx(turning, rel=1e-9, abs=1e-9)
            and way.verdict == verdict
            for power, pull, turning, verdict in expected
        )
    assert (choice.nothing is None) == bool(expected)


def test_random_jobs_are_worth_trying():
    """Among them are large and small boxes, each kind of target, some with nothing allowed, and wishes that bite."""
    jobs = [random_job(random.Random(seed)) for seed in range(24)]
    choices = [choose_tips(job, 0, basis_for(job, day=DAY), wish) for job, wish in jobs]
    assert {choice.better for choice in choices} == {"largest", "smallest", "between"}
    assert any(choice.ways > 100 for choice in choices)
    assert any(choice.nothing for choice in choices)
    assert sum(bool(choice.best) for choice in choices) > len(choices) // 2
    assert any(choice.large or choice.small for choice in choices)


# ---- worked cases ----------------------------------------------------------------------------------------------------

EXACT = """[spread]
cd = "0 %"
tip_bore = "0 %"
hose_bore = "0 %"
roughness = 1.0
pump_flow = "0 %"
speed = "0 %"
supply_temperature = "0 K"
"""
BORDERS = [tip(f"T{round(100 * bore)}", bore) for bore in (1.09, 1.10, 1.41, 1.42)]


def chosen(job, **wish):
    return choose_tips(job.job, 0, basis_for(job.job, day=DAY), Wish(**wish))


def at_the_borders(folder, support, *tables):
    held = gun(("T109", 1, "0 deg"), more=f'support = "{support}"\n')
    return chosen(Job(folder, *BORDERS, held, *tables, run="[]"))


def ids(choice):
    return [refusal.id for refusal in choice.refused]


@case(8)
@pytest.mark.parametrize(
    ("support", "best", "push", "refused"), [("none", "T109", 148.3, 3), ("body rest", "T141", 248.2, 1)]
)
def test_planned_recoil_alone_lets_the_smaller_of_two_pass(tmp_path, support, best, push, refused):
    """Nothing uncertain is left, so that the cautious end is the planned one."""
    choice = at_the_borders(tmp_path, support, EXACT)
    assert choice.best[0].tips == ((best,),)
    assert choice.best[0].recoil == near(push)
    assert {refusal.id: refusal.ways for refusal in choice.refused}["recoil.hand"] == refused
    assert choice.proven


@case(8)
def test_with_the_common_spreads_the_cautious_end_decides(tmp_path):
    """148.3 N is within 150 N, and its end of 95 in 100 is not: without support none of the four is allowed."""
    choice = at_the_borders(tmp_path, "none")
    assert choice.best == ()
    assert choice.verdict == "not_allowed"
    assert choice.nothing.way.tips == (("T109",),)
    assert choice.nothing.way.recoil == near(148.3)
    assert [refusal.id for refusal in choice.nothing.refusals] == ["recoil.cautious"]
    assert {cure.kind for limit in choice.nothing.limits for cure in limit.cures} >= {"support", "tip", "target"}
    rested = at_the_borders(tmp_path / "rest", "body rest")
    assert [way.tips for way in rested.best] == [(("T110",),), (("T109",),)]


@case(8)
def test_the_bore_that_would_do_is_allowed_and_a_wider_one_is_not(tmp_path):
    choice = at_the_borders(tmp_path, "none")
    millimetres = round(1e3 * choice.nothing.bore, 2)
    assert 1.0 < millimetres < 1.09
    verdicts = []
    for bore in (millimetres, millimetres + 0.01):
        job = Job(
            tmp_path / str(bore), tip("T", f"{bore:.2f}"), gun(("T", 1, "0 deg"), more='support = "none"\n'), run="[]"
        )
        verdicts.append(job.plan()["verdict"])
    assert verdicts[0] != "not_allowed"
    assert verdicts[1] == "not_allowed"


def counted(name, bore, count):
    return tip(name, bore) + f"count = {count}\n"


def floor_head(folder, *tips):
    head = gun(("T14", 2, "0 deg"), ("T12", 2, "0 deg"), kind="floor head", bore="12 mm")
    return chosen(Job(folder, *tips, head, run='["R12-80"]', target='nozzle_pressure = "700 bar"'))


@case(19)
def test_the_floor_head_takes_two_pairs_of_two_sizes(tmp_path):
    """Three of 1.4 mm are one pair, for an opposed pair is of one size; with a fourth there would be two."""
    three = floor_head(tmp_path / "three", counted("T14", 1.4, 3), counted("T12", 1.2, 4))
    assert [(places.count, places.jets, places.where) for places in three.places] == [(2, 2, "front")]
    [best, next_one] = three.best
    assert sorted(best.tips[0]) == ["T12", "T14"]
    assert best.as_now
    assert best.flow * 60e3 == near(107.2)
    assert best.pump_pressure / BAR == near(868)
    assert best.pump_speed * 60.0 == rpm(431.5)
    assert "engine.power" in [limit.id for limit in best.limits]  # 92 % of the curve: look first
    assert next_one.tips == (("T12", "T12"),)
    assert next_one.jet_power / best.jet_power == near(2.0 * 1.2**2 / (1.4**2 + 1.2**2))  # at one pressure as the area
    four = floor_head(tmp_path / "four", counted("T14", 1.4, 4), counted("T12", 1.2, 4))
    assert four.best[0].tips == (("T14", "T14"),)
    assert [way.jet_power for way in four.best][1:] == pytest.approx([best.jet_power, next_one.jet_power])


@case(19)
def test_a_box_that_does_not_fill_the_tool(tmp_path):
    head = gun(("T14", 4, "0 deg"), kind="floor head", bore="12 mm")
    job = Job(tmp_path, counted("T14", 1.4, 3), tip("T12", 1.2), head, run='["R12-80"]')
    choice = chosen(job)
    assert choice.best == ()
    assert choice.nothing.way is None
    assert (choice.ways, choice.judged) == (0, 0)


def mole(folder, *tips, **wish):
    nozzle = gun(
        ("T08", 1, "0 deg"),
        ("T09", 4, "30 deg back"),
        kind="pipe nozzle",
        release='"none"',
        more='held_by = "hose"\n',
    )
    job = Job(folder, *tips, nozzle, target='nozzle_pressure = "700 bar"')
    return chosen(job, **wish)


MOLE = (counted("T08", 0.8, 2), counted("T09", 0.9, 4), tip("T10", 1.0))


@case(24)
def test_a_hose_fed_nozzle_that_must_pull(tmp_path):
    """Pull goes as the rear bores squared times cos 30°, less the front one's squared: by that rule from 211 N.

    Four of 0.9 mm with 1.0 mm in front ask for more than the pump's rating, two of them with two of 0.8 mm do not.
    """
    free, held = mole(tmp_path / "free", *MOLE), mole(tmp_path / "held", *MOLE, least_pull=200.0)
    assert free.best[0].tips == (("T10",), ("T08", "T09"))
    cosine = math.cos(math.radians(30.0))
    one_mm2 = 211.0 / (4 * 0.9**2 * cosine - 0.8**2)
    assert -free.best[0].recoil == near(one_mm2 * (2 * (0.9**2 + 0.8**2) * cosine - 1.0**2))
    assert held.best[0].tips == (("T08",), ("T09", "T09"))
    assert -held.best[0].recoil == near(211)
    assert held.best[0].flow * 60e3 == near(61.2)
    assert {refusal.id: refusal.ways for refusal in held.refused}[PULL] >= 1
    assert [(places.where, places.jets, places.count) for places in held.places] == [("front", 1, 1), ("rear", 2, 2)]


@case(24)
def test_more_pull_than_there_is(tmp_path):
    choice = mole(tmp_path, *MOLE, least_pull=300.0)
    assert choice.best == ()
    assert [refusal.id for refusal in choice.nothing.refusals] == [PULL]
    assert choice.nothing.pull == near(211)


@case(24)
@pytest.mark.parametrize("target", ['nozzle_pressure = "700 bar"', 'pump_pressure = "800 bar"', 'flow = "50 L/min"'])
@pytest.mark.parametrize("more", [1.03, 1.6])
def test_what_would_do_instead_does_and_goes_the_way_that_the_target_allows(tmp_path, target, more):
    """At a fixed pressure pull goes as the area, at a fixed flow against it; each advice is planned again by itself."""
    nozzle = gun(
        ("T08", 1, "0 deg"), ("T09", 4, "30 deg back"), kind="pipe nozzle", release='"none"', more='held_by = "hose"\n'
    )
    job = Job(tmp_path, *MOLE[:2], nozzle, target=target)
    pull = 1.0 + max(-way.recoil for way in chosen(job, least_pull=1.0).best)
    wish = Wish(least_pull=more * pull)
    nothing = choose_tips(job.job, 0, basis_for(job.job, day=DAY), wish).nothing
    kind = target.split()[0]
    for one in nothing.instead:
        tips = dict(job.job.tips)
        if one.what == "area":
            tips = {name: replace(tip, bore=tip.bore * math.sqrt(one.by)) for name, tip in tips.items()}
        task = replace(job.job.task[0], target=Target(**{kind: one.target}))
        ports = ports_of(places_of(job.job.tools["gun"]), one.tips)
        tools = {"gun": replace(job.job.tools["gun"], ports=ports)}
        changed = replace(job.job, tips=tips, tools=tools, task=(task,))
        rig, basis = check(changed), basis_for(changed, day=DAY)
        assessed = assess(rig, 0, basis, steps=False)
        assert not assessed.refused
        assert -tool_states(rig, assessed.machine.state)[0].recoil >= wish.least_pull
    areas = {one.by > 1.0 for one in nothing.instead if one.what == "area"}
    if kind == "flow":
        assert True not in areas  # larger tips pull less
    elif kind == "nozzle_pressure":
        assert False not in areas  # smaller ones do
    assert bool(nothing.instead) == (more < 1.5)  # 60 % more is beyond what the pump's rating allows


@pytest.mark.parametrize("numba", [True, False])
def test_the_compiled_search_is_taken_for_what_takes_long_and_says_the_same(numba):
    """In a process of its own: easy ports load nothing, hard ones load numba, where it is, and find the same."""
    program = """
def loaded():
    return sys.modules.get("numba") is not None
from jetwright.plan.tip_box import ANY
from jetwright.plan.tip_order import FIRST_EFFORT, Filler
from jetwright.solve.fill import PortClass, Ports, best_fillings
sizes = tuple(200_003 + 17_389 * step + step * step for step in range(40))
classes = tuple(PortClass(1, 1, -(866_025 - 9_001 * one)) for one in range(12))
hard = Ports(sizes, (3,) * 40, classes, (0, 5_568_068), ANY, ANY)
easy = Ports(sizes, (3,) * 40, classes[:2], (0, 700_000), ANY, ANY)
assert Filler(easy).best(easy, 10, largest=True, effort=2 * FIRST_EFFORT).proven and not loaded()
found = Filler(hard).best(hard, 16, largest=True, effort=2 * FIRST_EFFORT)
assert not found.proven and found == best_fillings(hard, 16, largest=True, effort=2 * FIRST_EFFORT)
print(loaded())
"""
    program = ("import sys\n" if numba else "import sys\nsys.modules['numba'] = None\n") + program
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == str(numba and importlib.util.find_spec("numba") is not None)


# ---- what is on offer ------------------------------------------------------------------------------------------------


def test_what_other_branches_use_is_not_on_offer():
    tools = {"one": GUN, "two": replace(GUN, ports=(Port("T"), Port("U", angle=0.2)))}
    task = Task("It", Target(nozzle_pressure=500 * BAR), ("H",), branches=(Branch("one"), Branch("two"), Branch("one")))
    tips = {"T": Tip(0.8e-3, "rounded", count=6), "U": Tip(0.7e-3, "cone"), "W": Tip(7e-3, "cone")}
    job = replace(unit_a(), tools=tools, tips=tips, task=(task,))
    box = box_of(job, 0)
    assert box.tool == "one"
    assert [(offer.name, offer.pieces) for offer in box.offers] == [("T", 2)]  # 6 less 1, for two guns alike
    assert [(one.name, one.why) for one in box.left_out] == [("U", "used"), ("W", "wide")]
    other = box_of(job, 0, 2)
    assert other.tool == "two"
    assert [(offer.name, offer.pieces) for offer in other.offers] == [("T", 4), ("U", 1)]
    choice = choose_tips(job, 0, basis_for(job, day=DAY), Wish())
    assert choice.branches == (1, 3)


def test_tips_that_nobody_counted_are_there_as_often_as_the_tool_carries_them():
    job = unit_a(tool=replace(GUN, kind="floor head", ports=(Port("T", 4),)))
    assert [offer.pieces for offer in box_of(job, 0).offers] == [4]
    job = replace(job, tips=dict(job.tips) | {"U": Tip(1e-3, "cone")})
    assert [(offer.pieces, offer.carried) for offer in box_of(job, 0).offers] == [(4, 4), (1, 0)]


@pytest.mark.parametrize(("count", "pieces", "carried"), [(1, 2, 2), (2, 2, 0), (3, 3, 0)])
def test_no_more_are_offered_than_are_counted_or_carried(count, pieces, carried):
    """A count of 1 cannot be told from none; what the tool carries is there, and nothing beyond."""
    job = unit_a(tool=replace(GUN, kind="floor head", ports=(Port("T", 2),)))
    job = replace(job, tips={"T": replace(job.tips["T"], count=count), "U": Tip(1e-3, "cone", count=count)})
    assert [(one.pieces, one.carried) for one in box_of(job, 0).offers] == [(pieces, carried), (count, 0)]


def test_rows_that_point_alike_are_places_of_one_kind():
    rows = (Port("A", 2), Port("B", 2), Port("A"), Port("A", 3), Port("B", 2, angle=BACK))
    places = places_of(Tool("other", 0.01, "none", rows))
    assert [(one.count, one.jets, one.where, one.row) for one in places] == [
        (2, 2, "front", 0),
        (1, 1, "front", 2),
        (1, 3, "front", 3),
        (1, 2, "rear", 4),
    ]
    back = ports_of(places, (("A", "B"), ("C",), ("D",), ("B",)))
    assert [(port.tip, port.count, port.angle) for port in back] == [
        ("A", 2, 0.0), ("B", 2, 0.0), ("C", 1, 0.0), ("D", 3, 0.0), ("B", 2, BACK),
    ]  # fmt: skip


def test_an_unknown_inlet_is_judged_at_its_cautious_end():
    """Planned at 0.90 it pushes 148 N at most; at 0.97 it is past 150 N, and refused."""
    known = replace(unit_a(1.05e-3, tool=replace(GUN, support="none")), spread=None)
    unknown = replace(known, tips={"T": Tip(1.05e-3, "unknown")})
    basis = basis_for(known, day=DAY)
    assert choose_tips(known, 0, basis, Wish()).best
    refused = choose_tips(unknown, 0, basis, Wish())
    assert refused.best == ()
    assert "recoil.cautious" in [refusal.id for refusal in refused.nothing.refusals]


# ---- what cannot be asked --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ({"wish": Wish(least_pull=10.0)}, "nothing_points_back"),
        ({"wish": Wish(least_torque=1.0)}, "nothing_turns"),
        ({"wish": Wish(), "branch": 2}, "no_such_branch"),
        ({"wish": Wish(), "task": "Plate"}, "unknown_name"),
    ],
)
def test_what_no_tips_can_do_is_refused(options, code):
    with pytest.raises(RigError) as caught:
        tips_for_job(JOB, basis_for(JOB), **options)
    assert [problem.code for problem in caught.value.problems] == [code]


# ---- the order of worth ----------------------------------------------------------------------------------------------


def many_tips(target, count=8, **changed):
    """A head of one and two pairs, and a box of sizes from 0.6 mm up."""
    tool = replace(GUN, kind="floor head", release="none", bore=0.012, ports=(Port("T0", 2), Port("T0", 4, angle=0.3)))
    tips = {f"T{step}": Tip((0.6 + 0.07 * step) * 1e-3, "rounded", count=6) for step in range(count)}
    job = unit_a(hose=Hose(0.012, 80.0), tool=tool, **changed)
    return replace(job, tips=tips, task=(replace(job.task[0], target=target),))


@pytest.mark.parametrize(
    ("target", "better"),
    [
        (Target(nozzle_pressure=700 * BAR), "largest"),
        (Target(pump_pressure=800 * BAR), "between"),
        (Target(flow=80 * LITRES_A_MINUTE), "smallest"),
    ],
)
def test_each_way_listed_has_no_more_jet_power_than_the_one_before(target, better):
    job = many_tips(target)
    choice = choose_tips(job, 0, basis_for(job, day=DAY), Wish(most=20))
    powers = [way.jet_power for way in choice.best]
    assert choice.better == better
    assert len(powers) == 20
    assert all(later <= earlier * (1.0 + 1e-6) for earlier, later in itertools.pairwise(powers))
    assert choice.proven


def test_beyond_an_edge_everything_is_refused():
    """What the window leaves out is refused, at the very next area, by the limit that it names."""
    job = many_tips(Target(nozzle_pressure=700 * BAR), count=16)
    basis = basis_for(job, day=DAY)
    box = box_of(job, 0)
    window = window_of(box, basis)
    assert window.small is None
    beyond, inside = window.large.area, window.large.area - 1
    for area, refuses in ((beyond, True), (inside, False)):
        assessed = assess(check(box.of_area(area), 0), 0, basis, steps=False)
        assert (window.large.ids[0] in {name for name, _about in assessed.refused}) == refuses
    speed = assess(check(box.of_area(beyond), 0), 0, basis).machine.speed
    assert speed >= 500 * RPM
    choice = choose_tips(job, 0, basis, Wish())
    assert choice.large.ids == window.large.ids
    assert choice.large.flow >= choice.best[0].flow


def test_what_refuses_whatever_the_tips_is_said_so():
    """A hose that is rated below the relief is refused with every tip; other hoses are what cures it."""
    weak = {"H": Hose(0.008, 60.0, rating=1000 * BAR)}
    job = replace(many_tips(Target(nozzle_pressure=500 * BAR), relief=(Relief(1150 * BAR),)), hoses=weak)
    choice = choose_tips(job, 0, basis_for(job, day=DAY), Wish())
    assert choice.best == ()
    assert choice.judged == 0
    assert choice.proven
    assert "rating.relief_set" in [refusal.id for refusal in choice.nothing.refusals]
    assert choice.nothing.bore is None
    assert {cure.kind for limit in choice.nothing.limits for cure in limit.cures} & {"rating", "relief"}


def test_the_same_tips_with_more_pull_stand_first():
    rows = (Port("A", 2), Port("A", 2, angle=BACK))
    tool = replace(GUN, kind="pipe nozzle", held_by="hose", release="none", ports=rows)
    tips = {"A": Tip(0.7e-3, "rounded", count=2), "B": Tip(0.9e-3, "rounded", count=2)}
    job = replace(unit_a(pressure=700 * BAR, tool=tool), tips=tips)
    first, second = choose_tips(job, 0, basis_for(job, day=DAY), Wish()).best
    assert first.jet_power == pytest.approx(second.jet_power, rel=1e-12)
    assert first.tips == (("A",), ("B",))
    assert first.recoil < second.recoil


def test_a_torque_may_go_either_way_round():
    rows = (Port("A", 2, radius=0.1, skew=-0.3),)
    tool = replace(GUN, kind="rotating head", release="none", ports=rows, bore=0.012)
    tips = {"A": Tip(0.7e-3, "rounded", count=2), "B": Tip(0.9e-3, "rounded", count=2)}
    job = replace(unit_a(tool=tool), tips=tips)
    basis = basis_for(job, day=DAY)
    free = choose_tips(job, 0, basis, Wish())
    assert all(way.torque < 0.0 for way in free.best)
    less = -free.best[1].torque
    assert len(choose_tips(job, 0, basis, Wish(least_torque=less * 1.001)).best) == 1
    none = choose_tips(job, 0, basis, Wish(least_torque=1e4))
    assert [refusal.id for refusal in none.nothing.refusals] == [TORQUE]
    assert none.nothing.torque == pytest.approx(-free.best[0].torque, rel=0.01)


def test_other_tasks_of_the_tool_are_told():
    job = replace(unit_a(), task=(unit_a().task[0], replace(unit_a().task[0], name="Other")))
    assert [choice.also_in for choice in tips_for_job(job, basis_for(job, day=DAY), Wish()).tasks] == [
        ("Other",),
        ("It",),
    ]


def test_a_tip_as_wide_as_its_tool_may_be_taken():
    tool = replace(GUN, kind="floor head", release="none", bore=3.3e-3)
    tips = {"T": Tip(3.3e-3, cd=1.0, count=2), "U": Tip(1e-9, cd=0.5, count=2)}
    job = replace(unit_a(pressure=100 * BAR, hose=Hose(0.012, 5.0), tool=tool), tips=tips)
    choice = choose_tips(job, 0, basis_for(job, day=DAY), Wish())
    assert [offer.name for offer in choice.offers] == ["T", "U"]
    assert choice.best[0].tips == (("T",),)


def test_tips_that_starve_the_pump_are_refused():
    """A thin supply hose lets a little water through and not much; what a file would be refused for is refused here."""
    head = replace(GUN, kind="floor head", release="none")
    job = unit_a(pressure=500 * BAR, tool=head)
    job = replace(job, supply=replace(job.supply, hose=SupplyHose(0.012, 20.0)))
    job = replace(job, tips={"T": Tip(1.0e-3, "rounded"), "U": Tip(2.2e-3, "rounded")})
    choice = choose_tips(job, 0, basis_for(job, day=DAY), Wish())
    assert [way.tips for way in choice.best] == [(("T",),)]
    assert STARVED in ids(choice)
    wide = replace(job, tools={"gun": replace(head, ports=(Port("U"),))})
    with pytest.raises(RigError, match="pump_starved"):
        plan_job(wide, basis_for(job, day=DAY))
