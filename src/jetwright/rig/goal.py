"""A published goal: how clean a surface must be, and what an edition calls a pressure, as data that all pages share."""

from dataclasses import dataclass
from typing import Literal

Sort = Literal["visual", "salts", "flash rust", "other"]
"""What a grade speaks of: what is seen on steel, what is dissolved on it, the rust that comes back, or no steel."""


@dataclass(frozen=True, slots=True)
class Grade:
    """One grade of one edition.

    says: key of its words; nearest: the grade of the other system that comes closest, "" for none; source: where its
    words were taken from; verified: whether that was read.
    """

    name: str
    edition: str
    sort: Sort
    says: str
    nearest: str
    source: str
    verified: bool


@dataclass(frozen=True, slots=True)
class PressureClass:
    """What an edition calls a pressure from a border up to the border of its next class.

    border: as the edition prints it, in MPa and in psi, both [Pa]; None: nobody read it; above: the border itself
    belongs to the class below.
    """

    edition: str
    term: str
    border: tuple[float, float] | None
    above: bool
    source: str
    verified: bool


@dataclass(frozen=True, slots=True)
class Goals:
    """Every grade and pressure class, edition by edition; of one grade's editions the latest stands last."""

    version: str
    grades: tuple[Grade, ...]
    classes: tuple[PressureClass, ...]


NONE = Goals("", (), ())
"""Where nobody has read the data."""
