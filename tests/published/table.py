"""The rows of a topic, and what a row may be missed by."""

import csv
import pathlib
import re
from dataclasses import dataclass
from decimal import Decimal

import pytest

FOLDER = pathlib.Path(__file__).parent / "rows"

# What Jetwright promises of water's state, as shares. A row is held to the wider of this and what it prints.
DENSITY = 0.0005
VISCOSITY = 0.01
JET_SPEED = 0.001
SOUND_SPEED = 0.001
VAPOUR_PRESSURE = 0.001
THROTTLING = 0.005
BULK_MODULUS = 0.02

# What rests on two of them: the shares add. Nothing else needs more than its own printed tolerance.
JET_FLOW = JET_SPEED + DENSITY
JET_FORCE = JET_FLOW + JET_SPEED

_NUMBER = r"\s*=\s*([-+0-9.eE]+)"


@dataclass(frozen=True)
class Row:
    """One printed value."""

    id: str
    quantity: str
    inputs: str
    expected: float
    unit: str
    tolerance: str
    source: str
    printed: str

    def given(self, name):
        """The number of one input."""
        return float(re.search(rf"(?<![\w/]){re.escape(name)}{_NUMBER}", self.inputs)[1])

    def holds(self, answer, promised=0.0):
        """Within the row's tolerance, half its last printed digit, or the promise: the widest of them."""
        if self.tolerance.endswith("%"):
            printed = abs(self.expected) * float(self.tolerance.removesuffix("%")) / 100.0
        else:
            printed = float(self.tolerance)
        last_digit = 0.5 * 10.0 ** Decimal(self.printed).as_tuple().exponent
        if "." not in self.printed:
            last_digit = 0.0  # 100 kW is exact, not 100 ± 0.5
        allowed = max(printed, last_digit, promised * abs(self.expected))
        assert abs(answer - self.expected) <= allowed, (
            f"{answer!r} {self.unit}, expected {self.expected} ± {allowed:.3g}"
        )


def read(name):
    """Every row of a file, by id."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["id"]: Row(**row | {"expected": float(row["expected"])}, printed=row["expected"]) for row in rows}


def cases(name, ids):
    """Rows as parameters of a test, their source with each."""
    rows = read(name)
    return [pytest.param(rows[i], id=i, marks=pytest.mark.published(f"{i} {rows[i].source}")) for i in ids]
