"""Which tips fill a tool's ports best: the exact search over whole areas, plain and compiled from one text."""

from dataclasses import dataclass


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
