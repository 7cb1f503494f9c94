"""Random ports to be filled, and every way to fill them by plain enumeration, written apart from the search."""

import collections
import itertools
import math

from hypothesis import strategies as st

from jetwright.solve.fill import Filling, PortClass, Ports

ANY = (-(10**30), 10**30)
"""No bound."""
ENUMERATED = 4000
"""Most fillings of a random case, without stock and bounds."""


def sums(ports, tips):
    """Area, push and twist of a filling."""
    found = [0, 0, 0]
    for one, those in zip(ports.classes, tips, strict=True):
        area = sum(one.jets * ports.sizes[tip] for tip in those)
        for row, weight in enumerate((1, one.weight, one.twist)):
            found[row] += weight * area
    return found


def is_within(ports, tips):
    """Whether stock and bounds are kept."""
    taken = collections.Counter()
    for one, those in zip(ports.classes, tips, strict=True):
        for tip in those:
            taken[tip] += one.jets
    bounds = (ports.area, ports.push, ports.twist)
    return all(taken[tip] <= ports.stock[tip] for tip in taken) and all(
        low <= value <= high for value, (low, high) in zip(sums(ports, tips), bounds, strict=True)
    )


def every(ports, largest=True):
    """Every filling within stock and bounds, best first."""
    kinds = range(len(ports.sizes))
    choices = [itertools.combinations_with_replacement(kinds, one.places) for one in ports.classes]
    found = [Filling(tips, *sums(ports, tips)) for tips in itertools.product(*choices) if is_within(ports, tips)]
    return sorted(found, key=lambda one: (-one.area if largest else one.area, one.tips))


@st.composite
def fillable(draw):
    """Ports of few fillings: many tips on few places, few tips on many, bounds near what a filling would have."""
    scale = draw(st.sampled_from((3, 20, 1000, 4_000_000)))
    sizes = tuple(draw(st.lists(st.integers(0, scale), min_size=draw(st.sampled_from((1, 3, 5))), max_size=6)))
    weights = st.sampled_from((0, -1, 2)) | st.integers(-1_000_000, 1_000_000)
    twists = st.just(0) | st.integers(-3, 3) | st.integers(-60_000, 60_000)
    classes, ways = [], 1
    for _ in range(draw(st.sampled_from((1, 2, 3, 3, 4)))):
        room = ENUMERATED // ways
        most = next(p for p in itertools.count(1) if p == 40 or math.comb(len(sizes) + p, p + 1) > room)
        places = draw(st.integers(1, min(most, 3)) | st.integers(1, most))
        jets = draw(st.integers(1, 3))
        classes.append(PortClass(places, jets, draw(weights), draw(twists)))
        ways *= math.comb(len(sizes) + places - 1, places)
        if ways * len(sizes) > ENUMERATED:
            break
    tip = st.integers(0, len(sizes) - 1)
    like = [draw(st.lists(tip, min_size=one.places, max_size=one.places)) for one in classes]
    needs = collections.Counter()
    for one, those in zip(classes, like, strict=True):
        for number in those:
            needs[number] += one.jets
    spare = st.integers(draw(st.sampled_from((0, 0, 0, -1))), draw(st.sampled_from((0, 2, 9))))
    stock = tuple(max(0, needs[number] + draw(spare)) for number in range(len(sizes)))
    ports = Ports(sizes, stock, tuple(classes), ANY, ANY, ANY)
    bounds = []
    for value in sums(ports, like):
        low, high = (draw(st.sampled_from((0, abs(value) // 9, abs(value) // 2, *[10**30] * 3))) for _ in range(2))
        bounds.append((value - low, value + high))
    return Ports(sizes, stock, tuple(classes), *bounds)
