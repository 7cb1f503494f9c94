"""Checks of jetwright.limits.person: each limit on, below and above its bound."""

import pytest

from jetwright.files.rules import rule_set
from jetwright.limits.person import lance, rail, remote, stops, turn

RULES = rule_set("eu-generic")
SHORT, LONG = RULES.bound("person.lance"), RULES.bound("person.lance_high")


@pytest.mark.rule("person.lance")
@pytest.mark.parametrize(
    ("length", "nozzle", "verdict"),
    [
        (0.74, 250e5, "look"),
        (0.75, 250e5, "within"),
        (0.75, 251e5, "look"),
        (1.21, 900e5, "look"),
        (1.22, 900e5, "within"),
    ],
)
def test_a_lance_is_too_long_to_turn_round(length, nozzle, verdict):
    """Dutch guidance up to 250 bar: 0.75 m; above it 48 in, from memory: neither refuses by itself."""
    assert lance(length, nozzle, SHORT, LONG, "tools.gun").verdict == verdict


@pytest.mark.rule("person.lance")
def test_a_lance_nobody_measured_is_not_judged():
    limit = lance(None, 900e5, SHORT, LONG, "tools.gun")
    assert (limit.verdict, limit.missing, limit.about) == ("not_judged", "tools.gun.length", "tools.gun")


@pytest.mark.rule("person.turn")
@pytest.mark.published(
    "Tennessee Public Works, September/October 2023, p. 29: about one and a half diameters, tip to hose"
)
@pytest.mark.parametrize(("length", "verdict"), [(0.224, "look"), (0.225, "within"), (0.400, "within")])
def test_what_a_hose_carries_in_is_too_long_to_turn_round(length, verdict):
    """A pipe of 150 mm asks for 225 mm; trade press alone never refuses."""
    limit = turn(length, 0.150, RULES.bound("person.turn"), "tools.mole")
    assert (limit.verdict, limit.bound) == (verdict, pytest.approx(0.225))
    assert limit.remedy == ("person.turn" if verdict == "look" else "")


@pytest.mark.rule("person.turn")
def test_a_stiff_end_nobody_measured_is_not_judged():
    limit = turn(None, 0.150, RULES.bound("person.turn"), "tools.mole")
    assert (limit.verdict, limit.missing, limit.about) == ("not_judged", "tools.mole.length", "tools.mole")


@pytest.mark.rule("person.stops")
@pytest.mark.parametrize(("count", "verdict"), [(0, "not_judged"), (1, "look"), (2, "within"), (3, "within")])
def test_two_independent_ways_to_stop(count, verdict):
    """European Water Jetting Institute, operational procedures: at least two in every operation."""
    assert stops(count, RULES.bound("person.stops")).verdict == verdict


@pytest.mark.rule("person.rail")
@pytest.mark.parametrize(
    ("place", "there", "verdict", "remedy"),
    [
        ("ground", None, "within", ""),
        ("platform", True, "within", ""),
        ("platform", False, "not_allowed", "person.rail"),
        ("scaffold", True, "within", ""),
        ("scaffold", False, "not_allowed", "person.rail"),
        ("ladder", None, "not_allowed", "person.rail/ladder"),
        ("ladder", True, "not_allowed", "person.rail/ladder"),
    ],
)
def test_a_rail_where_a_fall_is_possible(place, there, verdict, remedy):
    """Norway, regulation on the performance of work, 20-6."""
    limit = rail(place, there, RULES.bound("person.rail"))
    assert (limit.verdict, limit.remedy) == (verdict, remedy)


@pytest.mark.rule("person.rail")
@pytest.mark.parametrize("place", ["platform", "scaffold"])
def test_a_rail_nobody_speaks_of_is_not_judged(place):
    assert rail(place, None, RULES.bound("person.rail")).missing == "task.operator.guard_rail"


@pytest.mark.rule("person.remote")
@pytest.mark.parametrize(("tested", "verdict"), [(True, "within"), (False, "look"), (None, "not_judged")])
def test_a_radio_remote_is_tried_that_day(tested, verdict):
    """Common practice: at the farthest work point, the tool in its place; metres say nothing behind steel."""
    assert remote(tested).verdict == verdict
