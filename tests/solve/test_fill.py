"""Which tips fill a tool's ports best: held against every filling there is, one by one."""

import dataclasses
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jetwright.solve.fill import LISTED, Fillings, PortClass, Ports, best_fillings, combinations, sought_of
from tests.contract.test_alone import BLOCKED, run
from tests.fillings import ANY, every, fillable, is_within, sums
from tests.tier import FILLED_PORTS

ASKED = st.sampled_from((1, 2, 10, 50))


def holds(found, ports, most, largest):
    """The answer is what enumeration gives: the same areas, every filling real, none twice, all of the better ones."""
    truth = every(ports, largest)
    assert found.proven
    assert [one.area for one in found.best] == [one.area for one in truth[:most]]
    assert len(set(found.best)) == len(found.best)
    assert set(found.best) <= set(truth)
    assert list(found.best) == sorted(found.best, key=lambda one: (-one.area if largest else one.area, one.tips))
    if found.best:  # where more are equally good than there is room for, only those better than the last are settled
        last = found.best[-1].area
        assert {one for one in truth[:most] if one.area != last} <= set(found.best)


@settings(max_examples=FILLED_PORTS)
@given(fillable(), ASKED, st.booleans())
def test_the_best_are_those_of_every_filling(ports, most, largest):
    holds(best_fillings(ports, most, largest=largest), ports, most, largest)


@settings(max_examples=FILLED_PORTS)
@given(fillable(), ASKED, st.booleans())
def test_compiled_equals_plain(ports, most, largest):
    """One text of the search: the same fillings in the same order, and the same of them where several are as good."""
    fast = pytest.importorskip("jetwright.solve.fast", reason="no numba here: the plain path serves alone")
    assert fast.CompiledFill(ports).best(most, largest) == best_fillings(ports, most, largest=largest)


@settings(max_examples=FILLED_PORTS // 10)
@given(fillable(), st.integers(10, 3000))
def test_a_search_that_gives_up_says_so_and_tells_true_fillings(ports, effort):
    found = best_fillings(ports, 10, effort=effort)
    assert all(
        is_within(ports, one.tips) and sums(ports, one.tips) == [one.area, one.push, one.twist] for one in found.best
    )
    if found.proven:
        holds(found, ports, 10, True)


# ---- what a crew would meet: a head whose first pair points ahead, the others back

SIZES = (600_000, 800_000, 1_000_000, 1_250_000, 1_500_000)
AHEAD, ASIDE, BACK = PortClass(1, 2, 966_000), PortClass(1, 2, -174_000), PortClass(2, 2, -707_000)


def head(stock=(8,) * 5, **bounds):
    return Ports(SIZES, stock, (AHEAD, ASIDE, BACK), **{"area": ANY, "push": ANY, "twist": ANY} | bounds)


def test_the_largest_tips_where_nothing_bounds_them():
    [best] = best_fillings(head(), 1).best
    assert best.tips == ((4,), (4,), (4, 4))
    assert best.area == 8 * 1_500_000


def test_stock_counts_over_all_classes():
    """Two of each: every pair takes another size; an odd piece is no pair."""
    [best] = best_fillings(head((2, 2, 2, 2, 3)), 1).best
    assert best.area == 2 * (800_000 + 1_000_000 + 1_250_000 + 1_500_000)
    assert sorted(tip for tips in best.tips for tip in tips) == [1, 2, 3, 4]


def test_a_pull_asked_for_is_kept():
    """Negative weights pull: bounds on the push hold at both ends."""
    pull = (-2_600_000_000_000, -2_500_000_000_000)
    found = best_fillings(head(push=pull), 50)
    assert found.best
    assert all(pull[0] <= one.push <= pull[1] for one in found.best)
    holds(found, head(push=pull), 50, True)


def test_the_smallest_are_found_too():
    [best] = best_fillings(head(area=(6_000_000, 12_000_000)), 1, largest=False).best
    assert best.area == every(head(area=(6_000_000, 12_000_000)), largest=False)[0].area


@pytest.mark.parametrize(
    "impossible",
    [
        head((1,) * 5),  # no pair of any size
        head((2, 2, 2, 0, 1)),  # three pairs, four places
        head(area=(12_000_001, 10**30)),
        head(area=(9_000_000, 8_000_000)),
        head(push=(10**13, 10**14)),
        head(twist=(1, 5)),
        head(area=(10_000_001, 10_000_001)),  # areas are even
    ],
)
@pytest.mark.parametrize("largest", [True, False])
def test_what_cannot_be_is_proven_so(impossible, largest):
    found = best_fillings(impossible, largest=largest)
    assert found == Fillings((), combinations(impossible), True)
    assert every(impossible) == []


def test_sizes_that_are_equal_stay_apart():
    ports = Ports((5, 5), (1, 9), (PortClass(2, 1, 0),), ANY, ANY, ANY)
    assert [one.tips for one in best_fillings(ports).best] == [((0, 1),), ((1, 1),)]


def test_classes_alike_stay_apart():
    ports = Ports((3, 5), (1, 9), (PortClass(1, 1, 7), PortClass(1, 1, 7)), ANY, ANY, ANY)
    assert [one.tips for one in best_fillings(ports).best] == [((1,), (1,)), ((0,), (1,)), ((1,), (0,))]


def test_combinations_are_the_multisets_of_each_class():
    """12 ports as one, two and three pairs of 40 sizes: 40 × 820 × 11480."""
    ports = Ports((1,) * 40, (1,) * 40, (PortClass(1, 2, 0), PortClass(2, 2, 0), PortClass(3, 2, 0)), ANY, ANY, ANY)
    assert combinations(ports) == 40 * 820 * 11480


# ---- classes of more multisets than are listed

WIDE = tuple(round(1e6 * (0.4 + 0.13 * number) ** 1.7) for number in range(20))


def test_a_class_too_large_to_be_listed_is_searched_in_parts():
    """Six places of 20 sizes: 177 100 multisets."""
    ports = Ports(WIDE, (6,) * 20, (PortClass(6, 1, 0),), (0, 9_500_000), ANY, ANY)
    assert combinations(ports) > LISTED
    assert len(sought_of(ports, largest=True).parts) == 2
    truth = every(dataclasses.replace(ports, area=(9_490_000, 9_500_000)))
    assert len(truth) > 10
    found = best_fillings(ports)
    assert found.proven
    assert [one.area for one in found.best] == [one.area for one in truth[:10]]
    assert set(found.best) <= set(truth)


@settings(max_examples=FILLED_PORTS // 20)
@given(st.data())
def test_many_places_of_few_sizes_are_searched_in_parts(data):
    """A key holds no more than 62 bits: 30 places of three sizes go into two lists or more."""
    sizes = data.draw(st.tuples(*[st.integers(0, 3_000_000)] * 3))
    classes = (PortClass(data.draw(st.integers(20, 30)), 1, 5), PortClass(data.draw(st.integers(1, 2)), 2, -7))
    stock = data.draw(st.tuples(*[st.integers(0, 30)] * 3))
    middle = sum(sizes) * classes[0].places // 3
    area = (middle * 2 // 3, data.draw(st.integers(middle, middle * 3 // 2)))
    ports = Ports(sizes, stock, classes, area, (-(10**12), data.draw(st.integers(0, 10**9))), ANY)
    holds(best_fillings(ports), ports, 10, True)


# ---- refusals, and no package needed


@pytest.mark.parametrize(
    "ports",
    [
        Ports((), (), (AHEAD,), ANY, ANY, ANY),
        Ports((1, 2), (1,), (AHEAD,), ANY, ANY, ANY),
        Ports((1, -2), (1, 1), (AHEAD,), ANY, ANY, ANY),
        Ports((1, 2), (1, -1), (AHEAD,), ANY, ANY, ANY),
        Ports((1, 2), (1, 1), (), ANY, ANY, ANY),
        Ports((1, 2), (1, 1), (PortClass(0, 1, 0),), ANY, ANY, ANY),
        Ports((1, 2), (1, 1), (PortClass(1, 0, 0),), ANY, ANY, ANY),
        Ports((10**12,), (9,), (PortClass(2, 1, 0),), ANY, ANY, ANY),
        Ports((20_000_000,), (12,), (PortClass(6, 2, 10**8),), ANY, ANY, ANY),
        Ports((20_000_000,), (12,), (PortClass(6, 2, 0, 10**8),), ANY, ANY, ANY),
        Ports((1,) * 513, (1,) * 513, (AHEAD,), ANY, ANY, ANY),
    ],
)
def test_what_makes_no_sense_is_refused(ports):
    with pytest.raises(ValueError, match=r"tips|class|too large"):
        best_fillings(ports)


def test_none_asked_for_is_refused():
    with pytest.raises(ValueError, match="one filling"):
        best_fillings(head(), 0)


def test_twelve_ports_of_20_mm2_are_told_apart():
    """Sums to the last unit, at full weight and a lever arm of 150 mm."""
    classes = (PortClass(6, 1, 1_000_000, 150_000), PortClass(6, 1, -1_000_000, -150_000))
    ports = Ports((20_000_000, 19_999_999), (12, 12), classes, ANY, (1_000_000, 1_000_000), (150_000, 150_000))
    found = best_fillings(ports)
    holds(found, ports, 10, True)
    assert [one.area for one in found.best] == [12 * 20_000_000 - missing for missing in (1, 3, 5, 7, 9, 11)]


def test_no_package_is_needed():
    code = "from jetwright.solve.fill import *\n"
    code += (
        "print(best_fillings(Ports((3, 4), (9, 9), (PortClass(3, 1, 0),), (0, 11), (0, 0), (0, 0)), 1).best[0].area)"
    )
    assert run("-c", BLOCKED + code) == "11\n"


def test_a_usual_tool_takes_a_moment_in_plain_python():
    """The proof does not go through all 376 million fillings: it ends within a small share of the effort."""
    sizes = tuple(round(1e6 * math.pi / 4 * (0.5 + 0.05 * number) ** 2 * 0.9) for number in range(40))
    classes = (PortClass(1, 2, 966_000), PortClass(2, 2, -174_000), PortClass(3, 2, -707_000))
    push = (-9_000_000_000_000, -8_000_000_000_000)
    found = best_fillings(Ports(sizes, (4,) * 40, classes, (0, 16_000_000), push, ANY), effort=100_000)
    assert found.proven
    assert len(found.best) == 10
