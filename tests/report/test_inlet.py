"""What a page and other programs read of the inlet side: the numbers of the answer, in either system."""

import json
from dataclasses import replace

import pytest
from rich.cells import cell_len

from jetwright.limits.limit import Cure
from jetwright.limits.water import supply_hydrant, supply_npsh, supply_vortex
from jetwright.plan.answer import InletSide, TakenAs
from jetwright.report.inlet import inlet_rows, inlet_section
from jetwright.report.limits import limit_figures
from jetwright.report.remedies import cure_words, remedy_sentence
from jetwright.report.terminal import GLUE, page
from jetwright.report.wording import taken_words
from jetwright.report.work_json import inlet_facts
from jetwright.rig.description import Hydrant, Suction, Tank
from tests.report.made import job, l_min, part_open

SIDE = InletSide(
    pressure=2.3e3,
    speed=0.91,
    npsh=5.09,
    needed=6.0,
    acceleration_head=5.27,
    constant=0.0658,
    cover=0.12,
    cover_needed=0.1994,
    hydrant=l_min(186.7),
)
LINE = Suction(bore=0.05, length=3.0, level=0.4, needed=6.0)
TEST = Hydrant(5e5, 4e5, l_min(150.0))


def described(suction=LINE, tank=None, hydrant=TEST):
    rig = job()
    unit = replace(rig.unit, suction=suction, tank=tank or Tank(0.6))
    return replace(rig, unit=unit, supply=replace(rig.supply, hydrant=hydrant))


def shown(side=SIDE, rig=None, system="si", width=100):
    section = inlet_section(replace(part_open(), inlet=side), described() if rig is None else rig, system)
    return "" if section is None else page([section], width, False)


def flat(text):
    return " ".join(text.split())


def test_every_figure_is_said():
    text = flat(shown())
    for words in (
        "Fed by the unit's tank, its water 0.40 m above the pump",
        "3.00 m of 50.0 mm, the water at 0.9 m/s",
        "5.09 m above boiling, 5.27 m taken off for the plungers' pulses (Hydraulic Institute, from memory); the plate "
        "asks for 6.00 m",
        "keep 199 mm of water or more above it against a vortex; 120 mm are there",
        "by its test 187 L/min at",
    ):
        assert words in text


def test_us_figures_alone():
    text = shown(system="us")
    for metric in ("bar", " m ", "mm", "m/s", "L/min"):
        assert metric not in text.replace("ft/s", "")
    for words in ("16.7 ft above boiling", "49.3 gpm", "3.0 ft/s", "1.97 in"):
        assert words in flat(text)


@pytest.mark.parametrize("width", [60, 80, 100])
def test_it_fits(width):
    assert max(cell_len(line) for line in shown(width=width).splitlines()) <= width


def test_what_feeds_the_line():
    assert "a booster, 2.0 bar" in flat(shown(rig=described(replace(LINE, boost=2e5))))
    assert "its water 1.50 m below the pump" in flat(shown(rig=described(replace(LINE, level=-1.5))))
    bare = described()
    bare = replace(bare, unit=replace(bare.unit, tank=None))
    assert "Fed by the unit's inlet" in flat(shown(rig=bare))


def test_nothing_is_said_where_nothing_is_described():
    assert shown(side=None) == ""
    assert shown(side=InletSide(3e5), rig=job()) == ""
    assert "Hydrant" not in shown(side=replace(SIDE, hydrant=None), rig=described(hydrant=None))
    assert "Line" not in shown(side=InletSide(3e5, hydrant=l_min(100.0)), rig=described(suction=None))
    assert "what the plate asks for is not given" in flat(shown(side=replace(SIDE, needed=None)))


def test_a_sheet_gets_the_same_words():
    text = flat(shown())
    rows = inlet_rows(replace(part_open(), inlet=SIDE), described())
    assert [label for label, _words in rows] == ["Fed by", "Line", "Suction head", "Tank's outlet", "Hydrant"]
    assert all(f"{label} {words.replace(GLUE, ' ')}" in text for label, words in rows)
    assert inlet_rows(replace(part_open(), inlet=InletSide(3e5)), job()) == []


def test_other_programs_get_every_number_with_its_unit():
    facts = inlet_facts(replace(part_open(), inlet=SIDE))
    assert json.loads(json.dumps(facts, allow_nan=False)) == {
        "pressure_bar": 0.023,
        "speed_m_s": 0.91,
        "npsh_available_m": 5.09,
        "npsh_needed_m": 6.0,
        "acceleration_head_m": 5.27,
        "acceleration_constant": 0.0658,
        "cover_mm": 120.0,
        "cover_needed_mm": 199.4,
        "hydrant_l_min": 186.7,
    }
    assert inlet_facts(part_open()) == {}


def test_remedies_name_their_figures():
    pulsed = supply_npsh(5.09, 10.36, 6.0, None, {"needed": 6.0, "pulses": 5.27, "steady": 10.36})
    for words in ("asks for 6.00 m of suction head and finds 10.4 m", "take 5.27 m of it", "Institute, from memory"):
        assert words in remedy_sentence(pulsed)
    assert limit_figures(pulsed) == "5.09, at least 6.00 m"
    starved = supply_npsh(0.1, 5.09, 6.0, None, {"needed": 6.0, "pulses": 4.99, "steady": 5.09})
    assert "even with nothing taken off for the plungers' pulses it finds 0.91 m less" in remedy_sentence(starved)
    assert limit_figures(starved) == "5.09, at least 6.00 m"
    boiling = supply_npsh(-9.8, -0.8, None, None, {"needed": None, "pulses": 9.0})
    assert "0.80 m short" in remedy_sentence(boiling)
    assert limit_figures(boiling) == "boils"
    assert "120 mm of water stand above it, and below 199 mm" in remedy_sentence(supply_vortex(0.12, 0.1994))
    low = supply_hydrant(l_min(120.0), l_min(150.0), {"pressure_left": 3.5e5})
    assert "gives 120 L/min at 3.5 bar, and 150 L/min is drawn" in remedy_sentence(low)


@pytest.mark.parametrize("system", ["si", "us"])
def test_water_that_would_boil_is_said_to_and_never_as_a_head_below_nothing(system):
    """42.5 m short, 53.0 m of it the pulses of a line of 40 m."""
    side = replace(SIDE, npsh=-42.5, acceleration_head=53.0, needed=4.0)
    said = flat(shown(side, described(replace(LINE, length=40.0)), system))
    assert "the water would boil on its way in" in said
    assert "−" not in said
    assert "reckoned for short and stiff lines, up to" in said
    assert "above boiling" not in said
    assert "stiff lines" not in flat(shown(side))
    limit = supply_npsh(-42.5, 10.5, 4.0, None, {"needed": 4.0, "pulses": 53.0, "steady": 10.5})
    assert limit_figures(limit) == "boils, at least 4.00 m"
    assert "−" not in remedy_sentence(limit)


def test_the_less_of_hydrant_and_supply_is_said_to_be_counted_on():
    weak = flat(shown(replace(SIDE, hydrant=l_min(56.8))))
    assert "by its test 56.8 L/min at 3.5 bar: that is counted on, and not the 150 L/min of the supply" in weak
    assert "150 L/min are counted on" in flat(shown())


@pytest.mark.parametrize(
    ("speed", "boost", "told"),
    [(1.0, None, False), (1.1, None, True), (2.0, 2e5, False), (2.1, 2e5, True)],
)
def test_a_line_run_faster_than_is_done_is_named(speed, boost, told):
    """Common practice: 1 m/s from an open tank, 2 m/s under pressure."""
    said = flat(shown(replace(SIDE, pressure=1e5, speed=speed), described(replace(LINE, boost=boost))))
    assert ("that are kept" in said and "(common practice)" in said) is told


@pytest.mark.parametrize(
    ("pressure", "boost", "tank", "told"),
    [(0.49e5, 2e5, True, True), (0.5e5, 2e5, True, False), (0.02e5, None, True, False), (0.49e5, None, False, True)],
)
def test_a_gauge_too_low_for_a_pump_fed_under_pressure_is_named(pressure, boost, tank, told):
    """Common practice: 0.5 bar; an open tank gives next to nothing."""
    rig = described(replace(LINE, boost=boost, level=0.0))
    rig = rig if tank else replace(rig, unit=replace(rig.unit, tank=None))
    assert ("less than the 0.5 bar" in flat(shown(replace(SIDE, pressure=pressure), rig))) is told


def test_cures_and_what_was_taken():

    assert cure_words(Cure("suction", "unit.suction.bore", "length", 0.038, 0.05)) == (
        "a line to the pump of 50.0 mm bore, not 38.0"
    )
    assert cure_words(Cure("boost", "unit.suction.boost", "pressure", 0.0, 2e5)) == (
        "a booster that feeds the pump with 2.0 bar"
    )
    assert taken_words(TakenAs("unit.pump.plungers", "count", 3, "default"))[0] == "3"
    assert taken_words(TakenAs("unit.suction.outlet", "length", 0.05, "suction_bore")) == (
        "50 mm",
        "not given: as wide as the line to the pump",
    )
