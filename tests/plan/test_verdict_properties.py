"""What a stronger part or a tighter rule may do to a verdict, over whole plans."""

import dataclasses
import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jetwright.actions.plan import basis_for
from jetwright.limits.limit import WORST_LAST, worst
from jetwright.limits.rules import SORTS
from jetwright.plan.assess import assess
from jetwright.rig.check import check
from jetwright.rig.description import Cleaned, Gauge, Operator, Relief, Restraints, Tank
from jetwright.rig.example import JOB

DAY = datetime.date(2026, 5, 4)
BAR = 1e5


def job_with(ratings, bore):
    """The example's rig, every rating in place, near enough to its bounds that each can decide."""
    pump, hose, tool = ratings
    unit = dataclasses.replace(
        JOB.unit,
        pump=dataclasses.replace(JOB.unit.pump, rating=pump, rod_load=60e3),
        relief=(Relief(1250 * BAR, full_flow=3e-3, reseat=0.9),),
        gauge=Gauge(1600 * BAR, 1.6),
        tank=Tank(0.5),
    )
    return dataclasses.replace(
        JOB,
        unit=unit,
        hoses={"S8-20": dataclasses.replace(JOB.hoses["S8-20"], rating=hose, tested=datetime.date(2026, 1, 9))},
        tips={"R12": dataclasses.replace(JOB.tips["R12"], bore=bore)},
        tools={"gun": dataclasses.replace(JOB.tools["gun"], rating=tool, support="body rest", length=1.5)},
        task=(
            dataclasses.replace(
                JOB.task[0], object=Cleaned("plate", 1000 * BAR, "client"), operator=Operator(75.0, "ground")
            ),
        ),
        restraints=Restraints(6, 1),
    )


def verdict(job, basis):
    return WORST_LAST.index(worst(assess(check(job), 0, basis, steps=False).limits))


ratings = st.tuples(*[st.floats(900 * BAR, 1500 * BAR)] * 3)
bores = st.floats(0.9e-3, 1.5e-3)


@settings(max_examples=40, deadline=None)
@given(ratings, bores, st.integers(0, 2), st.floats(1.0, 2.0))
def test_a_higher_rating_never_worsens_a_verdict(ratings, bore, which, factor):
    higher = tuple(value * factor if place == which else value for place, value in enumerate(ratings))
    basis = basis_for(JOB, day=DAY)
    assert verdict(job_with(higher, bore), basis) <= verdict(job_with(ratings, bore), basis)


@settings(max_examples=60, deadline=None)
@given(ratings, bores, st.sampled_from(sorted(SORTS)), st.floats(0.0, 1.0), st.booleans())
def test_a_tighter_bound_never_improves_a_verdict(ratings, bore, name, share, adopted):
    basis = basis_for(JOB, day=DAY)
    bound = basis.rules.bounds[name]
    value = bound.value * share if bound.sense == "most" else bound.value / max(share, 0.1)
    tight = dataclasses.replace(bound, value=value, adopted="the site" if adopted else "")
    rules = dataclasses.replace(basis.rules, bounds=dict(basis.rules.bounds) | {name: tight})
    job = job_with(ratings, bore)
    assert verdict(job, dataclasses.replace(basis, rules=rules)) >= verdict(job, basis)


@pytest.mark.parametrize("bore", [0.9e-3, 1.5e-3])
def test_the_rig_of_these_tests_can_be_refused_and_allowed(bore):
    """Otherwise the properties above would say nothing."""
    basis = basis_for(JOB, day=DAY)
    strong, weak = ((rating * BAR,) * 3 for rating in (1500, 900))
    assert verdict(job_with(weak, bore), basis) == WORST_LAST.index("not_allowed")
    assert verdict(job_with(strong, 1.1e-3), basis) < WORST_LAST.index("not_allowed")
