"""What counts as "look first" where a fact lacks: of every limit it is decided, and each that does not says why."""

import pytest

from jetwright.limits.limit import COUNTED, counts, judge, worst
from tests.contract.test_docs import RULES

HURTS_NOBODY = {
    "pump.speed": "the machine turns as fast as it can",
    "pump.rod_load": "a rod wears or breaks inside the pump",
    "pump.rod_load_relief": "as the rod load; a relief that is not described counts itself",
    "engine.power": "the engine sags",
    "engine.step": "the engine sags",
    "bypass.range": "the target is not met",
    "bypass.spill": "the seat wears",
    "supply.water": "the pump starves",
    "supply.npsh": "the pump wears",
    "supply.vortex": "the pump wears",
    "supply.hydrant": "the pump starves",
    "supply.filter": "a tip plugs; what a plugged jet does is judged as recoil",
    "heat.tank": "the packings wear",
    "heat.no_flow": "the packings wear",
    "hose.count": "a piece is fetched",
    "hose.mixed": "a rating that lacks counts itself",
    "hose.speed": "the hose wears and costs pressure",
    "tip.count": "a tip is fetched",
    "object.withstands": "what lacks is looked at first by itself: a trial patch",
    "object.threshold": "it does not come clean",
    "coverage.stripes": "stripes stay",
}


def lacking(name):
    return judge(name, None, None, "ratio", "", missing="some.fact")


def test_of_every_limit_it_is_decided_whether_its_lack_counts():
    counted = {name for name in RULES if counts(lacking(name))}
    assert counted & set(HURTS_NOBODY) == set()
    assert counted | set(HURTS_NOBODY) == set(RULES)
    assert all(any(name in (one, one.split(".")[0]) for one in counted) for name in COUNTED)


@pytest.mark.parametrize(
    "name",
    ["hose.test_age", "relief.test_age", "person.stops", "person.lance", "hazard.ignition", "restraint.shrouds"],
)
def test_a_task_that_lacks_what_may_hurt_is_looked_at_first(name):
    within = judge("pump.speed", 2.0, 8.0, "speed", "plate")
    assert worst([within, lacking(name)]) == "look"
    assert worst([within, lacking("supply.filter")]) == "within"
    assert not counts(within)
