"""Which tips fill a tool's ports best: the exact search over whole areas, plain and compiled from one text."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from jetwright.solve.multisets import FOUND, LOOKS, ROWS, Search, Table, fill_cells, multisets, search

LISTED = 150_000
"""Most multisets of tips that are listed for a class; one with more is listed in parts. [-]"""
EFFORT = 4_000_000
"""Looks that a search may take before it gives up: one to two millionths of a second each in plain Python. [-]"""
KEYS_A_LOOK = 2
"""Multisets that are listed in about the time of a look. [-]"""
TELLING = 8
"""Looks that each filling takes to be told, about. [-]"""
SLAB = 256
"""Fillings in the first slab for each that is asked for, were they spread evenly and without bounds. [-]"""
MOST_TIPS = 512
"""Most sorts of tips. [-]"""
KEY_BITS = 62
"""Bits of a key. [-]"""
LARGEST_SUM = 2**53
"""Sums stay below it, so that floats hold them exactly. [-]"""
LARGEST_AREA = 2**40
"""Areas stay below it, so that quotients of sums are off by less than `EDGE`. [-]"""


@dataclass(frozen=True, slots=True)
class PortClass:
    """Ports that point alike. A place takes one size of tip and fills `jets` ports with it: 2 for an opposed pair.

    places: how many such places; weight: push along the tool's axis of a jet, as a share of its force, in millionths,
    positive pushes back; twist: lever arm of a jet's torque about the axis, in micrometres.
    """

    places: int
    jets: int
    weight: int
    twist: int = 0


@dataclass(frozen=True, slots=True)
class Ports:
    """What is to be filled, with what, and within which bounds (both ends count as within).

    sizes: Cd × area of each tip on offer, in 1e-6 mm²; stock: pieces of each that are at hand; area: least and most
    sum over all jets; push, twist: the same of the sums weighted with the classes' weight and twist.
    """

    sizes: tuple[int, ...]
    stock: tuple[int, ...]
    classes: tuple[PortClass, ...]
    area: tuple[int, int]
    push: tuple[int, int]
    twist: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Filling:
    """One way to fill them: the index of the tip in each place, class by class, and the three sums."""

    tips: tuple[tuple[int, ...], ...]
    area: int
    push: int
    twist: int


@dataclass(frozen=True, slots=True)
class Fillings:
    """The best found, best first; of how many without stock and bounds; whether it is proven that none is better.

    proven is False only where the search gave up after its effort: `best` then holds true fillings, not surely the
    best, and an empty `best` does not say that there is none. looks: what it took, in looks of the search.
    """

    best: tuple[Filling, ...]
    combinations: int
    proven: bool
    looks: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Part:
    """Some places of a class, by its number: all of them, or as many as can be listed.

    bound: how many multisets of tips they can take at most; before: the part that holds the places of this class with
    tips of no higher index, or -1.
    """

    number: int
    places: int
    bound: int
    before: int = -1


@dataclass(frozen=True, slots=True)
class Sought:
    """Ports made ready for the search, which looks for the largest area only: for the smallest, sizes are mirrored.

    tips: indices of the tips, that of the largest size first; sizes, stock: theirs; width: bits of an index; parts: in
    the order of the search, that of most multisets last; low, high: bounds of the sums of these sizes; step, base:
    every area lies a multiple of step from base.
    """

    ports: Ports
    largest: bool
    tips: tuple[int, ...]
    sizes: tuple[int, ...]
    stock: tuple[int, ...]
    width: int
    parts: tuple[Part, ...]
    low: tuple[int, ...]
    high: tuple[int, ...]
    step: int
    base: int

    def copies(self, part: Part) -> list[int]:
        """How often each tip can stand in a multiset for a part. [-]"""
        return [stock // self.ports.classes[part.number].jets for stock in self.stock]


def combinations(ports: Ports) -> int:
    """How many fillings there are without stock and bounds. [-]

    Parameters
    ----------
    ports : Ports
        What is to be filled. [-]

    Examples
    --------
    >>> combinations(Ports((1, 2, 3), (9, 9, 9), (PortClass(2, 1, 0), PortClass(1, 2, 0)), (0, 9), (0, 0), (0, 0)))
    18

    References
    ----------
    Multisets of k out of n, our own count: (n + k - 1) over k.
    """
    return math.prod(_count(len(ports.sizes), one.places) for one in ports.classes)


def sought_of(ports: Ports, *, largest: bool) -> Sought:
    """Ports made ready for the search. [-]

    Parameters
    ----------
    ports : Ports
        What is to be filled. [-]
    largest : bool
        Whether the largest area is looked for, or the smallest. [-]

    Raises
    ------
    ValueError
        When the description makes no sense, or its sums are too large to be told apart.

    Examples
    --------
    >>> sought_of(Ports((3, 4), (9, 9), (PortClass(3, 1, 0),), (0, 11), (0, 0), (0, 0)), largest=False).sizes
    (1, 0)

    References
    ----------
    Our own convention: the smallest sum is the largest of what each size falls short of the largest size.
    """
    sizes, classes, top = ports.sizes, ports.classes, max(ports.sizes, default=0)
    if not 0 < len(sizes) == len(ports.stock) <= MOST_TIPS or min(sizes) < 0 or min(ports.stock) < 0:
        raise ValueError(f"up to {MOST_TIPS} tips, each with a size and a stock that are not below zero")
    if not classes or any(one.places < 1 or one.jets < 1 for one in classes):
        raise ValueError("one class of ports or more, each with a place and a jet or more")
    weights = [[1] * len(classes), [one.weight for one in classes], [one.twist for one in classes]]
    full = [one.places * one.jets * top for one in classes]
    heaviest = max(abs(weight) for row in weights for weight in row)
    if sum(full) >= LARGEST_AREA or 4 * heaviest * sum(full) >= LARGEST_SUM:
        raise ValueError("areas, weights or lever arms are too large")
    bounds = [ports.area, ports.push, ports.twist]
    if not largest:
        sizes = tuple(top - size for size in sizes)
        whole = [sum(weight * area for weight, area in zip(row, full, strict=True)) for row in weights]
        bounds = [(all_ - high, all_ - low) for all_, (low, high) in zip(whole, bounds, strict=True)]
    tips = sorted(range(len(sizes)), key=lambda tip: -sizes[tip])
    return Sought(
        ports,
        largest,
        tips=tuple(tips),
        sizes=tuple(sizes[tip] for tip in tips),
        stock=tuple(ports.stock[tip] for tip in tips),
        width=_width(ports),
        parts=tuple(_parts(ports)),
        low=tuple(min(max(low, -LARGEST_SUM if row else 0), LARGEST_SUM) for row, (low, _) in enumerate(bounds)),
        high=tuple(min(max(high, -LARGEST_SUM), LARGEST_SUM) for _, high in bounds),
        step=math.gcd(*(one.jets * (size - sizes[0]) for one in classes for size in sizes)),
        base=sum(one.places * one.jets * sizes[0] for one in classes),
    )


def _count(kinds: int, places: int) -> int:
    """Multisets of so many places out of so many kinds."""
    return math.comb(kinds + places - 1, places) if kinds else 0


def _width(ports: Ports) -> int:
    return max(1, (len(ports.sizes) - 1).bit_length())


def _parts(ports: Ports) -> list[Part]:
    """The classes in parts that can be listed, two or more, that of most multisets last."""
    parts = []
    for number, one in enumerate(ports.classes):
        kinds = sum(stock >= one.jets for stock in ports.stock)
        pieces = 1
        while not _can_be_listed(ports, kinds, -(-one.places // pieces), pieces > 1):
            pieces += 1
        for piece in range(pieces):
            places = one.places // pieces + (piece < one.places % pieces)
            parts.append(Part(number, places, _count(kinds, places)))
    if len(parts) == 1:
        parts.append(Part(0, 0, 1))
    parts.sort(key=lambda part: part.bound)
    latest: dict[int, int] = {}
    for index, part in enumerate(parts):
        if part.places:
            parts[index] = replace(part, before=latest.get(part.number, -1))
            latest[part.number] = index
    return parts


def _can_be_listed(ports: Ports, kinds: int, places: int, in_parts: bool) -> bool:
    """Whether a key holds so many places, and a list, or those for each index, all multisets of them."""
    bits = places * _width(ports) + (places * max(ports.sizes)).bit_length()
    count = _count(kinds, places + 1) if in_parts else _count(kinds, places)
    return places == 1 or (bits <= KEY_BITS and count <= LISTED)


def lay_out(
    sought: Sought, list_keys: Callable[[list[int], int, int, int], Sequence[int]]
) -> tuple[list[Table], list[Sequence[int]], int]:
    """The tables as `Search` has them, the keys of each list of them, and room for all cells. [-]

    Parameters
    ----------
    sought : Sought
        What is looked for. [-]
    list_keys : Callable
        Sorted keys, given how often each tip may stand in one, the index of the first that may, how many places there
        are and how many keys there can be. [-]

    Examples
    --------
    >>> sought = sought_of(Ports((3, 4), (9, 9), (PortClass(1, 2, 0),), (0, 11), (0, 0), (0, 0)), largest=True)
    >>> lay_out(sought, lambda copies, lowest, places, room: [3 << 1 | 1, 4 << 1] if places else [0])[1]
    [[0], [7, 8]]

    References
    ----------
    Our own convention.
    """
    tables: list[Table] = []
    kin: list[Table] = []
    lists: list[Sequence[int]] = []
    first = cells = 0
    for part in sought.parts:
        one, copies, shift = sought.ports.classes[part.number], sought.copies(part), part.places * sought.width
        own = []
        for lowest in range(len(copies) if part.before >= 0 else 1):
            room = _count(sum(copy > 0 for copy in copies[lowest:]), part.places) if part.places else 1
            keys = list_keys(copies, lowest, part.places, room)
            least, most = (int(keys[0]) >> shift, int(keys[-1]) >> shift) if len(keys) else (1, 0)
            table = Table(
                first=first,
                count=len(keys),
                cells=cells,
                coarse=max(0, (most - least).bit_length() - len(keys).bit_length() - 1),
                shift=shift,
                width=sought.width,
                places=part.places,
                jets=one.jets,
                weight=one.weight,
                twist=one.twist,
                least=least,
                most=most,
                before=part.before,
                kin=len(sought.parts) + len(kin),
            )
            own.append(table)
            lists.append(keys)
            first += table.count
            cells += ((most - least) >> table.coarse) + 2
        tables.append(own[0])
        kin += own if part.before >= 0 else []
    return tables + kin, lists, cells


def listed(sought: Sought) -> tuple[list[Table], list[int], list[int]]:
    """Tables, their keys and their cells, in lists. [-]

    Parameters
    ----------
    sought : Sought
        What is looked for. [-]

    Examples
    --------
    >>> sought = sought_of(Ports((3, 4), (9, 9), (PortClass(1, 2, 0),), (0, 11), (0, 0), (0, 0)), largest=True)
    >>> listed(sought)[1:]
    ([0, 7, 8], [0, 1, 1, 2, 3])

    References
    ----------
    Our own convention.
    """

    def list_keys(copies: list[int], lowest: int, places: int, room: int) -> list[int]:
        keys = [0] * room
        del keys[multisets(sought.sizes, copies, lowest, places, sought.width, [0] * (3 * places + 1), keys) :]
        return sorted(keys)

    tables, lists, room = lay_out(sought, list_keys)
    keys, cells = [key for one in lists for key in one], [0] * room
    for table in tables:
        fill_cells(table, keys, cells)
    return tables, keys, cells


def search_of(sought: Sought, tables: Sequence[Table], keys: Sequence[int], cells: Sequence[int], most: int) -> Search:
    """What the search reads and writes, in lists; keys and cells as they are given. [-]

    Parameters
    ----------
    sought : Sought
        What is looked for. [-]
    tables : Sequence of Table
        From `lay_out`. [-]
    keys : Sequence of int
        Of all tables. [-]
    cells : Sequence of int
        Of all tables, filled. [-]
    most : int
        How many fillings are asked for. [-]

    Examples
    --------
    >>> sought = sought_of(Ports((3, 4), (9, 9), (PortClass(1, 2, 0),), (0, 11), (0, 0), (0, 0)), largest=True)
    >>> search_of(sought, *listed(sought), 1).high[0]
    11.0

    References
    ----------
    Our own convention.
    """
    many = len(sought.parts)
    parts = tables[:many]
    rows = [[1.0] * many, [float(one.weight) for one in parts], [float(one.twist) for one in parts]]
    rows += [[weight - row[-1] for weight in row] for row in rows[1:]]
    below, above = [0.0] * (ROWS * (many + 1)), [0.0] * (ROWS * (many + 1))
    for place in reversed(range(ROWS * many)):
        number, row = divmod(place, ROWS)
        ends = [rows[row][number] * parts[number].jets * end for end in (parts[number].least, parts[number].most)]
        below[place], above[place] = below[place + ROWS] + min(ends), above[place + ROWS] + max(ends)
    return Search(
        tables,
        keys,
        cells,
        sought.sizes,
        sought.stock,
        rows=[weight for row in rows for weight in row],
        below=below,
        above=above,
        low=[*map(float, sought.low), 0.0, 0.0],
        high=[*map(float, sought.high), 0.0, 0.0],
        part=[0.0] * (ROWS * (many + 1)),
        picks=[0] * many,
        begin=[0] * many,
        room=[0] * many,
        tried=[0] * many,
        stride=[0] * many,
        used=[0] * len(sought.sizes),
        prices=[0.0] * (2 + many),
        order=[0] * many,
        areas=[0.0] * most,
        found=[0] * (most * many),
        state=[0, 0, 0, 0],
    )


def answered(
    sought: Sought,
    lists: tuple[Sequence[Table], Sequence[int], Sequence[int]],
    most: int,
    run: Callable[[Search, int], tuple[Search, bool]],
) -> Fillings:
    """The fillings that are sought, whatever the search runs in. [-]

    Parameters
    ----------
    sought : Sought
        What is looked for. [-]
    lists : tuple
        Tables, their keys and their cells. [-]
    most : int
        How many fillings are asked for. [-]
    run : Callable
        `search` of what is given, first slab of this depth: what it has found, whether it is proven. [-]

    Raises
    ------
    ValueError
        When no filling is asked for.

    Examples
    --------
    >>> sought = sought_of(Ports((3, 4), (9, 9), (PortClass(1, 2, 5),), (0, 7), (0, 99), (0, 0)), largest=True)
    >>> run = lambda on, slab: (on, search(on, sought.step, sought.base, slab, 1000))
    >>> answered(sought, listed(sought), 1, run).best
    (Filling(tips=((0,),), area=6, push=30, twist=0),)

    References
    ----------
    Our own convention.
    """
    if most < 1:
        raise ValueError("one filling or more is asked for")
    ports, parts = sought.ports, lists[0][: len(sought.parts)]
    total = combinations(ports)
    if any(part.count == 0 for part in parts):
        return Fillings((), total, True)
    span = sum((part.most - part.least) * part.jets for part in parts)
    on, proven = run(search_of(sought, *lists, most), min(SLAB * most * span // total, LARGEST_AREA))
    found = [_filling(sought, on.found[place * len(parts) :]) for place in range(on.state[FOUND])]
    found.sort(key=lambda one: (-one.area if sought.largest else one.area, one.tips))
    return Fillings(tuple(found), total, proven, int(on.state[LOOKS]) + TELLING * len(found))


def _filling(sought: Sought, keys: Sequence[int]) -> Filling:
    """What the keys of all parts say, in words of the ports."""
    tips: list[list[int]] = [[] for _ in sought.ports.classes]
    for part, key in zip(sought.parts, keys, strict=False):
        for place in range(part.places):
            tips[part.number].append(sought.tips[(int(key) >> place * sought.width) & ((1 << sought.width) - 1)])
    sums = [0, 0, 0]
    for one, those in zip(sought.ports.classes, tips, strict=True):
        area = one.jets * sum(sought.ports.sizes[tip] for tip in those)
        sums = [sums[0] + area, sums[1] + one.weight * area, sums[2] + one.twist * area]
    return Filling(tuple(tuple(sorted(those)) for those in tips), *sums)


def best_fillings(ports: Ports, most: int = 10, *, largest: bool = True, effort: int = EFFORT) -> Fillings:
    """The fillings of largest (or smallest) area within all bounds, best first. [-]

    Fillings that differ only in which place of a class has which tip are one. Equally good ones stand in the order of
    their tips' indices; where more are equally good than were asked for, those found first are told, which depends on
    the ports alone.

    Parameters
    ----------
    ports : Ports
        What is to be filled, with what, and within which bounds. [-]
    most : int
        How many are asked for. [-]
    largest : bool
        Whether the largest are looked for, or the smallest. [-]
    effort : int
        Looks after which the search gives up and says so; bounds must be far narrower than tips are made to. [-]

    Raises
    ------
    ValueError
        When the description makes no sense, or its sums are too large to be told apart.

    Examples
    --------
    A pair of ports ahead, one port that pushes back, two tips of each of four sizes, and no push:

    >>> classes = (PortClass(1, 2, -1), PortClass(1, 1, 1))
    >>> for one in best_fillings(Ports((10, 15, 20, 30), (2, 2, 2, 2), classes, (0, 99), (0, 0), (0, 0))).best:
    ...     print(one)
    Filling(tips=((1,), (3,)), area=60, push=0, twist=0)
    Filling(tips=((0,), (2,)), area=40, push=0, twist=0)

    References
    ----------
    Our own convention; the tests hold it against full enumeration and against an independent solver.
    """
    return PlainFill(ports).best(most, largest, effort)


class PlainFill:
    """Ports with every class's multisets of tips listed and sorted, ready for the plain search. [-]

    Parameters
    ----------
    ports : Ports
        What is to be filled, and with what. [-]

    References
    ----------
    `solve.multisets.search`.
    """

    def __init__(self, ports: Ports) -> None:
        self.ports = ports
        self._listed: dict[bool, tuple[list[Table], list[int], list[int]]] = {}

    def best(self, most: int = 10, largest: bool = True, effort: int = EFFORT, within: Ports | None = None) -> Fillings:
        """What `best_fillings` says; what it takes to list the multisets counts where it was not done before. [-]

        Parameters
        ----------
        most : int
            How many fillings are asked for. [-]
        largest : bool
            Whether the largest are looked for, or the smallest. [-]
        effort : int
            Looks after which the search gives up and says so. [-]
        within : Ports | None
            The same ports within other bounds. [-]
        """
        sought, listing = sought_of(within or self.ports, largest=largest), 0
        if largest not in self._listed:
            self._listed[largest] = listed(sought)
            listing = len(self._listed[largest][1]) // KEYS_A_LOOK
        found = answered(
            sought,
            self._listed[largest],
            most,
            lambda on, slab: (on, search(on, sought.step, sought.base, slab, effort)),
        )
        return replace(found, looks=found.looks + listing)
