"""Multisets of tips, listed by the sums of their sizes, and the search through them: kernels, plain and compiled."""

import math
from collections.abc import MutableSequence, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from jetwright.kernel import kernel

ROWS = 5
"""Sums that a search bounds: area, push, twist; push and twist again, less the area at the last part's weight. [-]"""
EDGE = 1e-3
"""By how much a quotient may be off before it is rounded: more than it ever is, far less than 1. [-]"""
WIDER = 16
"""How much deeper each slab of areas is than the one above it. [-]"""
BRANCH = 16
"""Looks that a choice ahead of the last two parts counts for, and an outlook: about what it takes. [-]"""
PATIENCE = 8
"""Fillings that may fail in a row before the bound that knows the stock is asked. [-]"""
FOUND, LOOKS, LIMIT, FIRST = range(4)
"""Places of `Search.state`: fillings found so far, looks taken, looks that may be taken, found above the slab."""


@dataclass(frozen=True, slots=True)
class Table:
    """A part, that is some places of a class of ports, and where every multiset of tips for them is listed.

    A multiset is one number, its key: the sum of its sizes shifted left by `shift` bits, and below it the tips' indices
    of `width` bits each, rising from the lowest bits up. first, count: where its keys stand, sorted; cells, coarse:
    where its cells stand, and by how many bits a sum's distance from the least is shifted right to find its cell;
    before: the part with the places of this class that take tips of no higher index, or -1; there is a table for each
    index that is the highest taken there, and kin is the first of these.
    """

    first: int
    count: int
    cells: int
    coarse: int
    shift: int
    width: int
    places: int
    jets: int
    weight: int
    twist: int
    least: int
    most: int
    before: int
    kin: int


class Search(NamedTuple):
    """What the search reads and, from `low` on, writes: flat, so that lists and arrays serve alike.

    tables: one a part, in the order of the search, then their kin; keys, cells: of all of them; sizes, stock: of each
    tip, the largest first; rows: for each sum the weight of each part; below, above: for each part the least and the
    most that it and the later ones add to each sum; low, high: bounds of the sums; part: for each part the sums of what
    was chosen before; picks: key chosen; begin, room: where the keys that can be chosen stand, and how many they are;
    tried, stride: how many of them were, and how far apart in turn; used: pieces taken; prices: of push and twist, then
    what an area of each part is worth; order: the parts, dearest first; areas, found: of the fillings found, the keys
    of all parts each; state: see `FOUND`.
    """

    tables: Sequence[Table]
    keys: Sequence[int]
    cells: Sequence[int]
    sizes: Sequence[int]
    stock: Sequence[int]
    rows: Sequence[float]
    below: Sequence[float]
    above: Sequence[float]
    low: MutableSequence[float]
    high: MutableSequence[float]
    part: MutableSequence[float]
    picks: MutableSequence[int]
    begin: MutableSequence[int]
    room: MutableSequence[int]
    tried: MutableSequence[int]
    stride: MutableSequence[int]
    used: MutableSequence[int]
    prices: MutableSequence[float]
    order: MutableSequence[int]
    areas: MutableSequence[float]
    found: MutableSequence[int]
    state: MutableSequence[int]


@kernel
def multisets(
    sizes: Sequence[int],
    copies: Sequence[int],
    lowest: int,
    places: int,
    width: int,
    work: MutableSequence[int],
    keys: MutableSequence[int],
) -> int:
    """List every multiset of tips for some places as keys, unsorted, and say how many there are. [-]

    Parameters
    ----------
    sizes : Sequence of int
        Of each tip. [-]
    copies : Sequence of int
        How often each may stand in it. [-]
    lowest : int
        Index of the first tip that may. [-]
    places : int
        How many tips it holds. [-]
    width : int
        Bits of an index. [-]
    work : MutableSequence of int
        Three numbers a place, and one. [-]
    keys : MutableSequence of int
        Where they are put; room for all of them. [-]

    Examples
    --------
    >>> keys = [0] * 6
    >>> multisets((10, 20, 30), (2, 2, 1), 0, 2, 2, [0] * 7, keys)
    5
    >>> [key >> 4 for key in keys[:5]]
    [20, 30, 40, 40, 50]

    References
    ----------
    Our own convention.
    """
    if places == 0:
        keys[0] = 0
        return 1
    count, last, shift, kinds = 0, places - 1, places * width, len(sizes)
    pick, run, base = 0, places, 2 * places  # where each stands in `work`
    work[pick], work[base] = lowest, 0
    depth = 0
    while depth >= 0:
        index = work[pick + depth]
        again = work[run + depth - 1] if depth > 0 and index == work[pick + depth - 1] else 0
        if depth == last:
            ahead, lift = work[base + depth], last * width
            if index < kinds and again < copies[index]:
                keys[count] = ahead + (sizes[index] << shift) + (index << lift)
                count += 1
            for later in range(index + 1, kinds):
                if copies[later] > 0:
                    keys[count] = ahead + (sizes[later] << shift) + (later << lift)
                    count += 1
            depth -= 1
        elif index == kinds:
            depth -= 1
        elif again < copies[index]:
            work[run + depth] = again + 1
            work[base + depth + 1] = work[base + depth] + (sizes[index] << shift) + (index << (depth * width))
            depth += 1
            work[pick + depth] = index
            continue
        if depth >= 0:
            work[pick + depth] += 1
    return count


@kernel
def fill_cells(table: Table, keys: Sequence[int], cells: MutableSequence[int]) -> int:
    """Note where the keys of each cell of a table begin, and where the last one ends; say how many cells. [-]

    Parameters
    ----------
    table : Table
        The table. [-]
    keys : Sequence of int
        Of all tables. [-]
    cells : MutableSequence of int
        Of all tables. [-]

    Examples
    --------
    >>> table, cells = Table(0, 3, 0, 3, 2, 2, 1, 1, 0, 0, 10, 30, -1, 0), [0] * 4
    >>> fill_cells(table, [10 << 2, 20 << 2 | 1, 30 << 2 | 2], cells), cells
    (3, [0, 1, 2, 3])

    References
    ----------
    Our own convention.
    """
    cell = 0
    for index in range(table.first, table.first + table.count):
        here = ((keys[index] >> table.shift) - table.least) >> table.coarse
        while cell <= here:
            cells[table.cells + cell] = index
            cell += 1
    cells[table.cells + cell] = table.first + table.count
    return cell


@kernel
def _last_within(on: Search, table: Table, total: int) -> int:
    """Where the last key of a sum of at most `total` stands; before the first when there is none."""
    if total < table.least:
        return table.first - 1
    if total >= table.most:
        return table.first + table.count - 1
    cell = table.cells + ((total - table.least) >> table.coarse)
    start, stop = on.cells[cell], on.cells[cell + 1]
    beyond = (total + 1) << table.shift
    while start < stop:
        middle = (start + stop) >> 1
        if on.keys[middle] < beyond:
            start = middle + 1
        else:
            stop = middle
    return start - 1


@kernel
def _table(on: Search, part: int) -> int:
    """Which table serves a part now: where it continues a class, that of the tips no lower than those taken before."""
    table = on.tables[part]
    if table.before < 0:
        return part
    last = (on.tables[table.before].places - 1) * table.width
    return table.kin + ((on.picks[table.before] >> last) & ((1 << table.width) - 1))


@kernel
def _give(on: Search, table: Table, key: int, places: int) -> None:
    """Put the tips of a key's first places back."""
    mask = (1 << table.width) - 1
    for _ in range(places):
        on.used[key & mask] -= table.jets
        key >>= table.width


@kernel
def _take(on: Search, table: Table, key: int) -> bool:
    """Take the tips of a key out of the stock; False, and nothing taken, when there are not enough."""
    mask, rest = (1 << table.width) - 1, key
    for place in range(table.places):
        tip = rest & mask
        on.used[tip] += table.jets
        if on.used[tip] > on.stock[tip]:
            _give(on, table, key, place + 1)
            return False
        rest >>= table.width
    return True


@kernel
def _open(on: Search, part: int) -> bool:
    """Find the keys with which every bound can still be met, whatever the later parts add; whether there are any."""
    table, many = on.tables[_table(on, part)], len(on.picks)
    low, high = float(table.least * table.jets), float(table.most * table.jets)
    for row in range(ROWS):
        weight = on.rows[row * many + part]
        so_far, later = on.part[ROWS * part + row], ROWS * (part + 1) + row
        least, most = on.low[row] - so_far - on.above[later], on.high[row] - so_far - on.below[later]
        if weight > 0.0:
            low, high = max(low, least / weight), min(high, most / weight)
        elif weight < 0.0:
            low, high = max(low, most / weight), min(high, least / weight)
        elif least > 0.0 or most < 0.0:
            return False
    if low > high + EDGE:
        return False
    on.begin[part] = _last_within(on, table, math.ceil(low / table.jets - EDGE) - 1) + 1
    on.room[part] = _last_within(on, table, math.floor(high / table.jets + EDGE)) + 1 - on.begin[part]
    return on.room[part] > 0


@kernel
def _outlook(on: Search, part: int) -> float:
    """An area above which nothing that is left of the stock can lead from this part on; below 0: it cannot be filled.

    Push and twist are priced instead of bounded (Lagrange's multipliers). Besides, jets that share a place may take
    different tips here, and a jet whose area is worth having may take the piece of one whose area is not.
    """
    push, twist, sums = on.prices[0], on.prices[1], ROWS * part
    push_bound = on.low[1] if push > 0.0 else on.high[1]
    twist_bound = on.low[2] if twist > 0.0 else on.high[2]
    value = on.part[sums] + push * (on.part[sums + 1] - push_bound) + twist * (on.part[sums + 2] - twist_bound)
    scale = abs(value) + abs(push * push_bound) + abs(twist * twist_bound)
    kinds, many = len(on.sizes), len(on.picks)
    for side in range(2):  # what is worth having, from the largest tip down; what is not, from the smallest up
        index, left = -1, 0
        for step in range(many):
            number = on.order[step] if side == 0 else on.order[many - 1 - step]
            price = on.prices[2 + number]
            if number < part or (price <= 0.0 if side == 0 else price >= 0.0):
                continue
            need = on.tables[number].jets * on.tables[number].places
            while need > 0:
                while left <= 0:
                    index += 1
                    if index == kinds:
                        return -1.0
                    tip = index if side == 0 else kinds - 1 - index
                    left = on.stock[tip] - on.used[tip]
                some = min(need, left)
                worth = price * some * on.sizes[tip]
                value += worth
                scale += abs(worth)
                need -= some
                left -= some
    return value + 1e-12 * scale + EDGE


@kernel
def _priced(on: Search, push: float, twist: float) -> float:
    """Set the prices, and the order of the parts, dearest first; the outlook of all of them."""
    on.state[LOOKS] += BRANCH
    on.prices[0], on.prices[1] = push, twist
    for number in range(len(on.picks)):
        price = 1.0 + push * on.tables[number].weight + twist * on.tables[number].twist
        on.prices[2 + number] = price
        place = number
        while place > 0 and on.prices[2 + on.order[place - 1]] < price:
            on.order[place] = on.order[place - 1]
            place -= 1
        on.order[place] = number
    return _outlook(on, 0)


@kernel
def _best_priced(on: Search) -> float:
    """Set the prices with which the outlook is lowest, each in turn: it bends only where two parts' areas are worth
    the same, or one's nothing."""
    push = twist = 0.0
    lowest = _priced(on, push, twist)
    for turn in range(4):
        kept = twist if turn % 2 == 0 else push
        for one in range(len(on.picks)):
            for other in range(-1, one):
                if on.tables[one].before >= 0 or (other >= 0 and on.tables[other].before >= 0):
                    continue  # worth what the part of this class is worth that stands before it
                weight, arm = float(on.tables[one].weight), float(on.tables[one].twist)
                if other >= 0:
                    weight, arm = weight - on.tables[other].weight, arm - on.tables[other].twist
                slope, still = (weight, arm) if turn % 2 == 0 else (arm, weight)
                if slope == 0.0:
                    continue
                price = -((1.0 if other < 0 else 0.0) + kept * still) / slope
                outlook = _priced(on, price, kept) if turn % 2 == 0 else _priced(on, kept, price)
                if outlook < lowest:
                    lowest = outlook
                    push, twist = (price, twist) if turn % 2 == 0 else (push, price)
    return _priced(on, push, twist)


@kernel
def _narrow(on: Search, least: float, most: float) -> None:
    """Bound the area, and with it push and twist less the area at the last part's weight."""
    last = on.tables[len(on.picks) - 1]
    on.low[0], on.high[0] = least, most
    for row in range(1, 3):
        weight = float(last.weight if row == 1 else last.twist)
        on.low[row + 2] = on.low[row] - weight * (most if weight > 0.0 else least)
        on.high[row + 2] = on.high[row] - weight * (least if weight > 0.0 else most)


@kernel
def _move(on: Search, start: int, end: int) -> None:
    """Put what was found at one place at another; it counts as a look."""
    many = len(on.picks)
    on.state[LOOKS] += 1
    on.areas[end] = on.areas[start]
    for number in range(many):
        on.found[end * many + number] = on.found[start * many + number]


@kernel
def _keep(on: Search, area: float) -> None:
    """Put the keys chosen among those found, in place of the least once there are enough: then only larger are sought.

    What was found in a slab is a heap with the least area first, so that few of many are moved.
    """
    room, first, many = len(on.areas), on.state[FIRST], len(on.picks)
    if on.state[FOUND] < room:
        place = on.state[FOUND]
        on.state[FOUND] += 1
        while place > first and on.areas[first + (place - first - 1) // 2] > area:
            _move(on, first + (place - first - 1) // 2, place)
            place = first + (place - first - 1) // 2
    else:
        place = first
        while True:
            lesser = 2 * place - first + 1
            if lesser + 1 < room and on.areas[lesser + 1] < on.areas[lesser]:
                lesser += 1
            if lesser >= room or on.areas[lesser] >= area:
                break
            _move(on, lesser, place)
            place = lesser
    on.areas[place] = area
    for number in range(many):
        on.found[place * many + number] = on.picks[number]
    if on.state[FOUND] == room:
        _narrow(on, max(on.low[0], on.areas[first] + 1.0), on.high[0])


@kernel
def _stride(count: int) -> int:
    """A step that visits each of `count` places once, neighbours in time far apart: near the golden section."""
    stride = max(1, count * 55 // 89)
    while math.gcd(stride, count) > 1:
        stride += 1
    return stride


@kernel
def _last_two(on: Search) -> None:
    """Try every key of the last part but one, and look up which of the last one's meet all bounds with it."""
    part, keys = len(on.picks) - 2, on.keys
    one, last = on.tables[_table(on, part)], on.tables[_table(on, part + 1)]
    area0, push0, twist0 = on.part[ROWS * part], on.part[ROWS * part + 1], on.part[ROWS * part + 2]
    low, push_low, twist_low = on.low[0], on.low[1], on.low[2]
    high, push_high, twist_high = on.high[0], on.high[1], on.high[2]
    by_jets = 1.0 / last.jets
    by_push = by_jets / last.weight if last.weight != 0 else 0.0
    by_twist = by_jets / last.twist if last.twist != 0 else 0.0
    looks = on.state[LOOKS]
    for at in range(on.begin[part] + on.room[part] - 1, on.begin[part] - 1, -1):
        if low > high or looks >= on.state[LIMIT]:
            break
        looks += 1
        key = keys[at]
        if last.before == part:
            on.picks[part] = key
            last = on.tables[_table(on, part + 1)]
        here = float((key >> one.shift) * one.jets)
        area, push, twist = area0 + here, push0 + one.weight * here, twist0 + one.twist * here
        least, most = max((low - area) * by_jets, float(last.least)), min((high - area) * by_jets, float(last.most))
        if by_push > 0.0:
            least, most = max(least, (push_low - push) * by_push), min(most, (push_high - push) * by_push)
        elif by_push < 0.0:
            least, most = max(least, (push_high - push) * by_push), min(most, (push_low - push) * by_push)
        if by_twist > 0.0:
            least, most = max(least, (twist_low - twist) * by_twist), min(most, (twist_high - twist) * by_twist)
        elif by_twist < 0.0:
            least, most = max(least, (twist_high - twist) * by_twist), min(most, (twist_low - twist) * by_twist)
        if most < least - EDGE:
            continue
        below = _last_within(on, last, math.floor(most + EDGE))
        if below < last.first or (keys[below] >> last.shift) < least - EDGE or not _take(on, one, key):
            continue
        on.picks[part] = key
        looks += one.places
        failed = 0
        while below >= last.first:
            other = keys[below]
            there = float((other >> last.shift) * last.jets)
            if area + there < low or there * by_jets < least - EDGE:
                break
            below -= 1
            looks += 1
            failed += 1
            if failed == PATIENCE:
                sums = ROWS * (part + 1)
                on.part[sums], on.part[sums + 1], on.part[sums + 2] = area, push, twist
                looks += BRANCH
                if _outlook(on, part + 1) < low:
                    break
            both_push, both_twist = push + last.weight * there, twist + last.twist * there
            within = push_low <= both_push <= push_high and twist_low <= both_twist <= twist_high
            if within and area + there <= high and _take(on, last, other):
                _give(on, last, other, last.places)
                on.picks[part + 1] = other
                on.state[LOOKS] = looks
                _keep(on, area + there)
                low, failed, looks = on.low[0], 0, on.state[LOOKS]
        _give(on, one, key, one.places)
    on.state[LOOKS] = looks


@kernel
def _walk(on: Search) -> None:
    """Try every choice of the parts ahead of the last two that can still meet the bounds, far apart first."""
    many, part = len(on.picks), 0
    for row in range(ROWS):
        on.part[row] = 0.0
    if not _open(on, 0):
        return
    if many == 2:
        _last_two(on)
        return
    on.tried[0], on.stride[0] = 0, _stride(on.room[0])
    while part >= 0:
        table = on.tables[_table(on, part)]
        if on.tried[part] == on.room[part] or on.low[0] > on.high[0] or on.state[LOOKS] >= on.state[LIMIT]:
            part -= 1
            if part >= 0:
                _give(on, on.tables[part], on.picks[part], on.tables[part].places)
            continue
        key = on.keys[on.begin[part] + on.tried[part] * on.stride[part] % on.room[part]]
        on.tried[part] += 1
        on.state[LOOKS] += BRANCH + table.places
        if not _take(on, table, key):
            continue
        on.picks[part] = key
        here = float((key >> table.shift) * table.jets)
        for row in range(ROWS):
            on.part[ROWS * (part + 1) + row] = on.part[ROWS * part + row] + on.rows[row * many + part] * here
        if _open(on, part + 1) and _outlook(on, part + 1) >= on.low[0]:
            if part + 1 < many - 2:
                part += 1
                on.tried[part], on.stride[part] = 0, _stride(on.room[part])
                continue
            _last_two(on)
        _give(on, table, key, table.places)


@kernel
def search(on: Search, step: int, base: int, slab: int, effort: int) -> bool:
    """Put the fillings of largest area into `on`, and say whether it is proven that nothing is better. [-]

    Areas are searched slab by slab, from the highest that can be, each slab deeper than the one above. In a slab, the
    bounds on area, push and twist leave each part an interval of sums, and the last part one look-up.

    Parameters
    ----------
    on : Search
        What to search, and room for what is found. [-]
    step : int
        Areas lie a multiple of it apart; 0: there is one. [-]
    base : int
        One of those areas. [-]
    slab : int
        Depth of the first slab. [-]
    effort : int
        Looks that may be taken, each move of what was found and each price among them: half for the proof, half for
        whatever can be had when that was not enough. [-]

    Examples
    --------
    >>> from jetwright.solve.fill import PortClass, Ports, listed, search_of, sought_of
    >>> sought = sought_of(Ports((3, 4), (9, 9), (PortClass(3, 1, 0),), (0, 11), (0, 0), (0, 0)), largest=True)
    >>> on = search_of(sought, *listed(sought), 1)
    >>> search(on, sought.step, sought.base, 0, 1000), on.areas
    (True, [11.0])

    References
    ----------
    Our own convention.
    """
    for row in range(ROWS):
        on.part[row] = 0.0
    lowest = on.low[0]
    top = min(on.high[0], float(math.floor(max(_best_priced(on), -1.0))))
    if step > 0:
        top -= (int(top) - base) % step
    on.state[LIMIT] = effort // 2
    whole = False
    while top >= lowest:
        least = lowest if whole else max(lowest, top - slab)
        on.state[FIRST] = on.state[FOUND]
        _narrow(on, least, top)
        _walk(on)
        if on.state[LOOKS] >= on.state[LIMIT]:
            if least == lowest:
                return False
            on.state[FOUND], on.state[LIMIT], whole = on.state[FIRST], effort, True
            continue
        if on.state[FOUND] == len(on.areas):
            return True
        top = least - 1.0
        slab = WIDER * (slab + 1)
    return True
