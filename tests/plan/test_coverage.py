"""Checks of jetwright.plan.coverage: heads and guns over a surface, against figures worked out by hand."""

import math
from dataclasses import replace

import pytest

from jetwright.files.shapes import keys_of
from jetwright.limits.cleaned import stripes
from jetwright.limits.limit import worst
from jetwright.plan.coverage import BY_HAND, BY_MACHINE, OVERLAP, at_work_of, coverage_of
from jetwright.plan.jet import jets_at_target
from jetwright.plan.judging import site
from jetwright.plan.task import tool_states
from jetwright.rig.check import check
from jetwright.rig.description import Extent, Free, Pipe, Port, Tip, Tool, Travel
from jetwright.rig.example import JOB
from jetwright.solve.steady import reach
from tests.plan.test_yard_cases import case_of, job_of

BOX = pytest.mark.published("derived: N = 60·v/(Nj·w·(1-o)), v/n, 2π·R·n, P/(v·W), v·W·(1-o)·share")
PAIR = (Port("R12", 2, radius=0.1485, skew=math.radians(20.0)),)


def covered(ports=PAIR, turns=None, kind="floor head", held_by=None, **task):
    """Rig, state and coverage of the example's pump with a head of these ports."""
    tool = Tool(kind, 0.012, "none", ports, held_by=held_by, turns=turns)
    tips = {"R12": Tip(0.0012, "rounded"), "R8": Tip(0.0008, "rounded")}
    job = replace(JOB, tips=tips, tools={"gun": tool}, task=(replace(JOB.task[0], **task),))
    rig = check(job)
    state = reach(rig, "nozzle_pressure", 400e5)
    return rig, state, coverage_of(rig, state, jets_at_target(rig, state))


def one(*args, **task):
    [cover] = covered(*args, **task)[2]
    return cover


@BOX
def test_turns_advance_and_speed_of_a_head():
    """0.1 m/s, two jets on one radius, tracks of 3 mm, overlap 0.3: 1428.6 rpm; 1500 rpm: 4 mm a turn."""
    cover = one(turns=25.0, jet=Free(0.05, footprint=0.003), travel=Travel(6.0, 60.0, overlap=0.3))
    assert cover.tracks == 2
    assert 60.0 * cover.least_turns == pytest.approx(1428.6, abs=0.05)
    assert 1e3 * cover.advance == pytest.approx(4.0, abs=1e-9)
    assert cover.surface_speed == pytest.approx(2.0 * math.pi * 0.1485 * 25.0, abs=1e-9)
    assert cover.fastest == pytest.approx(0.105, abs=1e-9)  # 25·2·0.003·0.7


@BOX
def test_surface_in_an_hour_and_energy():
    """0.1 m/s and a pass of 0.3 m, overlap 0.1, at work 60 %: 58.32 m²/h."""
    travel = Travel(6.0, 60.0, overlap=0.1, at_work=0.6)
    rig, state, [cover] = covered(jet=Free(0.05, footprint=0.003), travel=travel)
    assert cover.width == pytest.approx(0.3, abs=1e-12)
    assert 3600.0 * cover.rate == pytest.approx(58.32, abs=0.005)
    assert not cover.along
    [tool] = tool_states(rig, state)
    assert cover.energy == pytest.approx(tool.jet_power / (0.1 * 0.27), rel=1e-12)


@pytest.mark.published("derived: torque of two jets = 2·F·r·sin(20°); free where v·sin(20°) = 2π·n·r")
def test_what_turns_a_head():
    rig, state, [cover] = covered(turns=25.0)
    [tool] = tool_states(rig, state)
    [jets] = tool.jets
    force = jets.flow * rig.water.reference_density * jets.speed
    assert cover.torque == pytest.approx(2.0 * force * 0.1485 * math.sin(math.radians(20.0)), rel=1e-12)
    assert cover.free_turns == pytest.approx(
        jets.speed * math.sin(math.radians(20.0)) / (2.0 * math.pi * 0.1485), rel=1e-12
    )


def test_a_head_turned_the_other_way_is_driven_as_hard():
    """Symmetry."""
    mirrored = (replace(PAIR[0], skew=-PAIR[0].skew),)
    assert one(mirrored, turns=25.0).torque == pytest.approx(one(turns=25.0).torque, rel=1e-12)


def test_jets_without_skew_turn_nothing():
    cover = one((Port("R12", 2, radius=0.15),), jet=Free(0.05))
    assert (cover.torque, cover.free_turns, cover.least_turns) == (None, None, None)


@pytest.mark.parametrize(
    ("ports", "tracks"),
    [
        ((Port("R12", 2, radius=0.18), Port("R8", 2, radius=0.11)), 2),
        ((Port("R12", 2, radius=0.18), Port("R8", 1, radius=0.18)), 3),
        ((Port("R12", 1),), 1),
    ],
)
def test_the_outermost_jets_alone_clean_the_edge(ports, tracks):
    """Geometry: farther out than an inner row's radius no jet of that row comes."""
    cover = one(ports, turns=25.0, jet=Free(0.05, footprint=0.004), travel=Travel(6.0, 60.0))
    assert cover.tracks == tracks
    assert cover.width == pytest.approx(2.0 * max(port.radius for port in ports) + 0.004)


def test_of_two_tracks_on_one_circle_the_narrower_counts():
    ports = (Port("R12", 1, radius=0.1), Port("R8", 1, radius=0.1))
    rig, state, [cover] = covered(ports, turns=25.0, jet=Free(0.1, "bend"), travel=Travel(6.0, 60.0))
    narrow = min(jet.width[1] for jet in jets_at_target(rig, state))
    assert cover.least_turns == pytest.approx(0.1 / (2.0 * narrow * 0.8), rel=1e-12)


# ---- what angled jets reach


def at_angle(degrees, radius=0.0):
    return (Port("R12", 2, radius=radius, angle=math.radians(degrees)),)


@pytest.mark.published("Geometry: tan 30° = 0.57735: 2·(R + 300·0.57735) + 6 mm")
@pytest.mark.parametrize(
    ("radius", "degrees", "pass_mm", "circle_mm"), [(0.0, 30.0, 352.41, 173.205), (0.015, 30.0, 382.41, 188.205),
                                                    (0.15, 0.0, 306.0, 150.0)]
)  # fmt: skip
def test_a_pass_is_as_wide_as_its_angled_jets_reach(radius, degrees, pass_mm, circle_mm):
    cover = one(at_angle(degrees, radius), turns=25.0, jet=Free(0.3, "straight", 0.006), travel=Travel(3.0, 60.0))
    assert 1e3 * cover.width == pytest.approx(pass_mm, abs=0.005)
    assert cover.surface_speed == pytest.approx(2.0 * math.pi * 25.0 * circle_mm / 1e3, rel=1e-5)
    expected = 3.0 / 60.0 * pass_mm / 1e3 * 0.8 * 0.78  # travel, pass, overlap of a fifth, share of the time
    assert cover.rate == pytest.approx(expected, rel=1e-4)


def test_without_a_stand_off_the_angle_is_left_out():
    assert one(at_angle(30.0, 0.15), travel=Travel(3.0, 60.0)).width == pytest.approx(0.3)


def test_a_jet_that_points_back_cleans_no_edge_and_brings_nothing():
    """The wider row points back: the pass and the energy are those of the row ahead."""
    ahead, back = Port("R8", 2, radius=0.11), Port("R12", 2, radius=0.18, angle=math.radians(120.0))
    work = {"jet": Free(0.05, "bend", 0.004), "travel": Travel(6.0, 60.0)}
    both, alone = (one(ports, turns=25.0, **work) for ports in ((ahead, back), (ahead,)))
    assert (both.width, both.rate, both.tracks) == (alone.width, alone.rate, 2)
    assert both.width == pytest.approx(0.224)
    assert both.energy == pytest.approx(alone.energy, rel=1e-9)


@pytest.mark.parametrize(
    ("ports", "jet"), [(at_angle(120.0, 0.1), Free(0.05)), (at_angle(85.0), Free(0.3, "bend"))]
)  # strikes nothing; 3.4 m away next to nothing is left
def test_what_does_not_clean_has_no_pass_and_no_rate(ports, jet):
    cover = one(ports, turns=25.0, jet=jet, travel=Travel(3.0, 60.0))
    assert (cover.width, cover.rate, cover.least_turns) == (None, None, None)


@pytest.mark.parametrize(
    ("extent", "expected"),
    [(None, 0.1 * 0.5), (Extent(40.0), 0.1 * 0.5), (Extent(4.0, 3.0), 0.1 * 0.5 * math.pi * 0.3)],
)
def test_a_tool_in_a_pipe_has_no_pass_and_cleans_the_wall_all_round(extent, expected):
    """Geometry: a pipe of 0.3 m has 0.942 m² of wall for each metre."""
    ports = (Port("R12", 1), Port("R8", 4, angle=math.radians(150.0)))
    work = {"pipe": Pipe(0.3), "extent": extent, "travel": Travel(6.0, 60.0, at_work=0.5)}
    cover = one(ports, kind="pipe nozzle", held_by="hose", jet=Free(0.1, "bend", 0.004), **work)
    assert cover.width is None
    assert cover.rate == pytest.approx(expected, rel=1e-12)


# ---- stripes

HEAD = (Port("R12", 2, radius=0.15),)
FAST = Travel(10.0, 60.0)  # with two tracks of 5 mm, a fifth of overlap: 1250 rpm; at 300 rpm 2.4 m in a minute


@BOX
@pytest.mark.parametrize(("rpm", "striped"), [(300.0, True), (1249.0, True), (1250.0, False), (1251.0, False)])
def test_no_rate_where_stripes_are_certain(rpm, striped):
    cover = one(HEAD, turns=rpm / 60.0, jet=Free(0.03, footprint=0.005), travel=FAST)
    assert 60.0 * cover.least_turns == pytest.approx(1250.0, abs=0.05)
    assert 60.0 * cover.fastest == pytest.approx(2.4 * rpm / 300.0, rel=1e-9)
    assert (cover.striped, cover.rate is None) == (striped, striped)


def test_an_estimated_track_withholds_nothing():
    cover = one(HEAD, turns=5.0, jet=Free(0.03, "straight"), travel=FAST)
    assert cover.turns < cover.least_turns
    assert not cover.striped
    assert cover.rate is not None


@pytest.mark.rule("coverage.stripes")
@pytest.mark.parametrize(
    ("measured", "source", "verified"), [(True, "physics", True), (False, "common practice", False)]
)
@pytest.mark.parametrize(("turns", "verdict"), [(20.8, "look"), (1250.0 / 60.0, "within"), (25.0, "within")])
def test_too_few_turns_are_looked_at(turns, verdict, measured, source, verified):
    limit = stripes(turns, 1250.0 / 60.0, "tools.head", measured=measured, facts={})
    assert (limit.verdict, limit.source, limit.verified, limit.least) == (verdict, source, verified, True)


def listed(ports=HEAD, turns=5.0, **task):
    tool = Tool("floor head", 0.012, "none", ports, turns=turns)
    job = job_of(tool=tool, task=task, tips={"R12": Tip(0.0008, "rounded")})
    return [limit for limit in site.limits(case_of(job)) if limit.id == "coverage.stripes"]


@pytest.mark.rule("coverage.stripes")
def test_stripes_are_judged_where_turns_travel_and_a_track_are_known():
    jet = Free(0.03, footprint=0.005)
    [limit] = listed(jet=jet, travel=FAST)
    assert (limit.verdict, limit.about, limit.remedy) == ("look", "tools.gun", "coverage.stripes")
    assert 60.0 * limit.bound == pytest.approx(1250.0, abs=0.05)
    assert 60.0 * limit.facts["fastest"] == pytest.approx(2.4, rel=1e-9)
    assert worst([limit]) == "look"
    [limit] = listed(jet=Free(0.03), travel=FAST)
    assert limit.remedy == "coverage.stripes/estimated"
    assert listed(jet=jet, travel=FAST, turns=None) == []
    assert listed(jet=jet) == []
    assert listed(travel=FAST) == []


@pytest.mark.parametrize(
    ("kind", "held_by", "share"),
    [
        ("hand lance", None, BY_HAND),
        ("pipe nozzle", "hose", BY_HAND),
        ("flexible lance", None, BY_HAND),
        ("flexible lance", "machine", BY_MACHINE),
        ("floor head", None, BY_MACHINE),
        ("hand lance", "carrier", BY_MACHINE),
    ],
)
def test_how_much_of_the_time_a_tool_moves(kind, held_by, share):
    """Common practice: 40 to 70 % by hand, 70 to 85 % by machine."""
    assert share in ((0.40, 0.55, 0.70), (0.70, 0.78, 0.85))
    assert at_work_of(Tool(kind, 0.012, "none", PAIR, held_by=held_by)) == share


@pytest.mark.parametrize(
    ("task", "along"),
    [
        ({}, False),
        ({"pipe": Pipe(0.3)}, True),
        ({"extent": Extent(40.0)}, True),
        ({"extent": Extent(4.0, 3.0)}, False),
        ({"pipe": Pipe(0.3), "extent": Extent(4.0, 3.0)}, False),
    ],
)
def test_what_is_asked_for_in_metres_is_told_in_metres(task, along):
    cover = one(travel=Travel(6.0, 60.0, at_work=0.5), jet=Free(0.05, footprint=0.003), **task)
    assert cover.along is along
    expected = 0.1 * 0.5 if along else 0.1 * 0.3 * 0.8 * 0.5
    assert cover.rate == pytest.approx(expected, rel=1e-12)


def test_a_gun_without_a_track_is_told_along():
    """No radius and no stand-off: nothing is known of its width."""
    cover = one((Port("R12"),), kind="hand lance", travel=Travel(6.0, 60.0))
    assert (cover.width, cover.along, cover.energy) == (None, True, None)
    assert cover.rate == pytest.approx(0.055)


def test_nothing_is_said_where_nothing_is_asked():
    assert covered()[2] == ()


def test_the_overlap_is_the_job_files():
    assert keys_of(Travel)["overlap"].default == OVERLAP
