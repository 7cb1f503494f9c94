"""Checks of jetwright.plan.jet, and of the limit that rests on it: what arrives where a jet strikes."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.limits.cleaned import threshold
from jetwright.limits.limit import worst
from jetwright.parts.nozzle import round_area
from jetwright.plan.jet import bore_of, jets_at_target, path_of
from jetwright.plan.judging import site
from jetwright.plan.task import tool_states
from jetwright.rig.check import check
from jetwright.rig.description import Cleaned, FlowAt, Free, Port, Target, Tip, Tool
from jetwright.rig.example import JOB
from jetwright.solve.steady import reach
from tests.plan.test_yard_cases import case_of, job_of

LEACH = pytest.mark.published("Leach & Walker: half the pressure is left at about 350 nozzle diameters")


def struck(jet, bar=850.0, tips=None, tool=None):
    """What the example's jets do at a pressure behind the tip."""
    task = replace(JOB.task[0], jet=jet, target=Target(nozzle_pressure=bar * 1e5))
    job = replace(JOB, task=(task,), tips=tips or JOB.tips, tools={"gun": tool or JOB.tools["gun"]})
    rig = check(job)
    return jets_at_target(rig, reach(rig, "nozzle_pressure", bar * 1e5))


@LEACH
def test_half_is_left_at_350_bores():
    [jet] = struck(Free(350 * 0.0012, "straight"))
    assert jet.pressure[1] == pytest.approx(0.5 * 850e5, rel=0.001)  # exponent of three digits


@pytest.mark.published("derived: 1000·(100/200)^0.553 = 681.5 bar")
def test_the_pressure_of_a_good_nozzle_at_200_bores():
    [jet] = struck(Free(0.2, "straight"), 1000.0, {"R12": Tip(0.001, "rounded")})
    assert jet.pressure[1] / 1e5 == pytest.approx(681.5, abs=0.5)


def test_force_and_power_are_those_of_the_jet():
    """Momentum and energy of a free jet: force = 2·power / speed, and force is the gun's recoil."""
    rig = check(replace(JOB, task=(replace(JOB.task[0], jet=Free(0.1)),)))
    state = reach(rig, "nozzle_pressure", 850e5)
    [jet], [tool] = jets_at_target(rig, state), tool_states(rig, state)
    assert jet.force == pytest.approx(tool.recoil, rel=1e-12)
    assert jet.power == pytest.approx(tool.jet_power, rel=1e-12)
    assert jet.force == pytest.approx(2.0 * jet.power / tool.jets[0].speed, rel=1e-12)


def test_nothing_is_said_without_a_stand_off():
    assert struck(None) == ()


def test_a_measured_track_beats_the_estimate():
    [jet] = struck(Free(0.1, footprint=0.006))
    assert (jet.width, jet.estimated) == ((0.006, 0.006, 0.006), False)
    [jet] = struck(Free(0.1))
    assert jet.estimated
    assert jet.width[0] < jet.width[1] < jet.width[2]


def test_a_rated_tip_counts_as_wide_as_its_jet():
    """Geometry: Cd × area of the pair, as a round hole."""
    tips = {"R12": Tip(rated=FlowAt(20e-3 / 60.0, 1000e5))}
    rig = check(replace(JOB, tips=tips))
    [row] = rig.branches[0].rows
    assert round_area(bore_of(row)) == pytest.approx(row.area, rel=1e-12)


def test_each_row_is_told_with_its_own_bore():
    tool = Tool("floor head", 0.012, "none", (Port("A", 2, radius=0.18), Port("B", 2, radius=0.11)))
    jets = struck(Free(0.1, "bend"), tips={"A": Tip(0.0015, "cone"), "B": Tip(0.0013, "cone")}, tool=tool)
    assert [(jet.tip, jet.count) for jet in jets] == [("A", 2), ("B", 2)]
    assert jets[0].pressure[1] > jets[1].pressure[1]  # the smaller bore is farther away, counted in bores


@given(st.floats(0.001, 1.0), st.sampled_from(["straight", "bend", None]), st.floats(50.0, 2500.0))
def test_no_estimate_is_above_the_nozzle_pressure_nor_its_ends_crossed(standoff, approach, bar):
    [jet] = struck(Free(standoff, approach), bar)
    if jet.pressure is None:
        assert jet.width is None
        return
    low, middle, high = jet.pressure
    assert middle >= 40e5
    assert 0.0 < low <= middle <= high <= bar * 1e5 * (1.0 + 1e-9)
    assert 0.0 < jet.width[0] <= jet.width[1] <= jet.width[2]
    assert math.isfinite(jet.width[2])


# ---- a good nozzle alone keeps its pressure


@pytest.mark.published(
    "derived: 1.4 mm at 300 mm are 214.3 bores: 700·(100/214.3)^0.553 = 459.3, 700·20/214.3 = 65.3 bar"
)
@pytest.mark.parametrize(
    ("tip", "bar"),
    [
        (Tip(0.0014, "rounded"), 459.3),
        (Tip(0.0014, "cone"), 459.3),
        (Tip(0.0014, "sharp"), 65.3),
        (Tip(0.0014, "unknown"), 65.3),
        (Tip(0.0014, cd=0.85), 459.3),
        (Tip(0.0014, "sharp", cd=0.90), 459.3),  # measured beats the inlet
        (Tip(0.0014, "rounded", cd=0.84), 65.3),
    ],
)
def test_a_straight_approach_counts_for_a_good_nozzle_alone(tip, bar):
    """Our own convention: a sharp edge makes a ragged jet whatever comes to it."""
    [jet] = struck(Free(0.3, "straight"), 700.0, {"R12": tip})
    assert jet.pressure[1] / 1e5 == pytest.approx(bar, abs=0.05)
    assert jet.ordinary == (bar < 100.0)


def test_a_sharp_tip_is_ordinary_and_an_unknown_one_as_if_nobody_had_said():
    sharp, unknown = Tip(0.0014, "sharp"), Tip(0.0014, "unknown")
    told = {
        (tip.inlet, approach): struck(Free(0.3, approach), 700.0, {"R12": tip})[0].pressure
        for tip in (sharp, unknown)
        for approach in ("straight", "bend", None)
    }
    assert len({told["sharp", approach] for approach in ("straight", "bend", None)}) == 1
    assert told["unknown", "straight"] == told["unknown", None] != told["unknown", "bend"]


# ---- the way to the surface


def angled(degrees, kind="floor head", **tool):
    return Tool(kind, 0.012, "none", (Port("R12", 2, angle=math.radians(degrees)),), **tool)


@pytest.mark.published("Geometry: cos 60° = 1/2, sin 150° = 1/2")
@pytest.mark.parametrize(
    ("tool", "standoff"),
    [(angled(60.0), 0.05), (angled(150.0, "pipe nozzle"), 0.05), (angled(90.0, "flexible lance"), 0.1),
     (angled(0.0, "flexible lance"), 0.1), (angled(90.0, "tank head"), 0.1)],
)  # fmt: skip
def test_a_jet_at_an_angle_flies_farther(tool, standoff):
    [jet] = struck(Free(standoff, "bend"), tool=tool)
    [square] = struck(Free(0.1, "bend"), tool=angled(0.0))
    assert jet.pressure == pytest.approx(square.pressure, rel=1e-12)
    assert jet.width == pytest.approx(square.width, rel=1e-12)
    assert jet.standoff == standoff


@pytest.mark.parametrize("degrees", [90.0, 120.0, 180.0])
def test_what_does_not_point_ahead_strikes_nothing_there(degrees):
    assert path_of(0.1, math.radians(degrees), "ahead") is None
    assert struck(Free(0.1), tool=angled(degrees)) == ()
    assert path_of(0.1, math.pi, "wall") is None


# ---- where no figure may stand


@pytest.mark.published("derived: 700 bar·20/(standoff/1.2 mm) is 42 bar at 400 mm and 39.5 bar at 425 mm")
@pytest.mark.parametrize(("standoff", "told"), [(0.400, True), (0.425, False), (1.0, False)])
def test_below_40_bar_no_pressure_and_no_track_is_told(standoff, told):
    """Skin is penetrated from about 40 bar: a lower figure must not read as a safe place."""
    [jet] = struck(Free(standoff, "bend"), 700.0)
    assert (jet.pressure is not None, jet.width is not None) == (told, told)
    assert jet.force > 100.0  # it holds far longer
    [jet] = struck(Free(standoff, "bend", footprint=0.005), 700.0)
    assert (jet.pressure is not None, jet.width) == (told, (0.005,) * 3)


# ---- the limit

ESTIMATE = (240e5, 400e5, 560e5)


def limited(needed, arrives=ESTIMATE, withstood=None, *, nozzle=700e5, struck=True, borne=True):
    return threshold(
        nozzle, arrives, needed * 1e5, withstood, "client", struck=struck, borne=borne, missing="task.jet", facts={}
    )


@pytest.mark.rule("object.threshold")
@pytest.mark.parametrize(
    ("needed", "verdict", "remedy"),
    [(239.0, "within", ""), (240.0, "within", ""), (241.0, "look", "object.threshold"),
     (399.0, "look", "object.threshold"), (561.0, "look", "object.threshold"),
     (701.0, "look", "object.threshold/tip_unknown")],
)  # fmt: skip
def test_what_may_not_come_off_is_looked_at(needed, verdict, remedy):
    """Common practice: below its threshold next to nothing comes off; inside the spread nobody knows."""
    limit = limited(needed)
    assert (limit.verdict, limit.remedy, limit.source, limit.least) == (verdict, remedy, "client", True)
    assert (limit.facts["least"], limit.facts["greatest"]) == (240e5, 560e5)


@pytest.mark.rule("object.threshold")
@pytest.mark.parametrize(("needed", "verdict"), [(699.0, "not_judged"), (700.0, "not_judged"), (701.0, "look")])
def test_without_a_stand_off_no_more_is_known_than_that_it_may_be_too_little(needed, verdict):
    limit = limited(needed, None, struck=False)
    assert (limit.verdict, limit.missing) == (verdict, "task.jet" if verdict == "not_judged" else "")


@pytest.mark.rule("object.threshold")
def test_a_jet_that_no_longer_cleans_has_no_figure():
    limit = limited(100.0, None)
    assert (limit.verdict, limit.value) == ("look", None)
    assert "least" not in limit.facts


@pytest.mark.rule("object.threshold")
@pytest.mark.parametrize("struck", [True, False])
@pytest.mark.parametrize(
    ("needed", "withstood", "borne", "remedy"),
    [
        (1500.0, 720e5, True, "object.threshold/contrary"),
        (720.0, 720e5, True, "object.threshold/contrary"),
        (100.0, 100e5, True, "object.threshold/contrary"),  # also where enough arrives
        (710.0, 720e5, True, "object.threshold/tip"),
    ],
)
def test_nothing_advises_more_than_the_object_withstands(needed, withstood, borne, remedy, struck):
    limit = limited(needed, withstood=withstood, struck=struck, borne=borne)
    assert (limit.verdict, limit.remedy, limit.missing) == ("look", remedy, "")


@pytest.mark.rule("object.threshold")
def test_no_tip_is_brought_closer_where_what_stands_behind_it_is_too_much():
    assert limited(500.0, withstood=690e5, borne=False).remedy == "object.threshold/other"


@pytest.mark.rule("object.threshold")
@pytest.mark.parametrize(
    ("jet", "verdict", "remedy"),
    [
        (None, "not_judged", ""),  # right behind the tip: 900 bar
        (Free(0.02, "straight"), "within", ""),  # 60 % of 900 is 540
        (Free(0.15, "straight"), "look", "object.threshold"),  # 719 is enough and 432 is not
        (Free(0.35, "straight"), "look", "object.threshold"),  # half of 900 is less than 500
        (Free(0.10, "bend"), "look", "object.threshold"),
    ],
)
def test_the_weakest_jet_against_what_somebody_said(jet, verdict, remedy):
    cleaned = Cleaned("boiler scale", 1200e5, "client", threshold=500e5)
    case = case_of(job_of(task={"object": cleaned, "jet": jet}))
    [limit] = [one for one in site.limits(case) if one.id == "object.threshold"]
    assert (limit.verdict, limit.remedy) == (verdict, remedy)
    assert worst([limit]) != "not_allowed"


@pytest.mark.rule("object.threshold")
def test_a_pressure_behind_the_tip_too_low_says_so_itself():
    cleaned = Cleaned("boiler scale", 1200e5, threshold=1000e5)
    [limit] = [one for one in site.limits(case_of(job_of(task={"object": cleaned}))) if one.id == "object.threshold"]
    assert (limit.verdict, limit.remedy, limit.source, limit.verified) == (
        "look", "object.threshold/tip", "hearsay", False,
    )  # fmt: skip


@pytest.mark.rule("object.threshold")
def test_it_is_listed_only_where_somebody_said():
    ids = {one.id for one in site.limits(case_of(job_of(task={"object": Cleaned("steel", 1200e5, "client")})))}
    assert "object.threshold" not in ids
