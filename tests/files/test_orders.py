"""Checks of jetwright.files.orders: the orders that come with Jetwright, and what is refused in them."""

from importlib.resources import files
from itertools import product

import pytest

from jetwright.errors import JetwrightError
from jetwright.files.orders import KINDS, NAMES, orders, read_orders

TEXT = (files("jetwright") / "data" / "orders.toml").read_text(encoding="utf-8")
FLUSH = 'id = "water.flush", who = "pump operator", speed = "start"'

ROWS = {  # common practice: bypass, drives, releases, run-up
    ("hand-set", "dump"): "run-up A",
    ("hand-set", "none"): "run-up A",
    ("hand-set", "dry shut-off"): "",  # the hole cannot take the whole flow: the relief would open at each release
    **{(valve, release): "run-up B" for valve in ("regulating", "unloader") for release in KINDS[2]},
}


@pytest.mark.parametrize(("bypass", "drive", "release"), product(*KINDS))
def test_every_rig_has_its_run_up(bypass, drive, release):
    assert orders().rows[bypass, drive, release] == ROWS[bypass, release]


def test_every_order_is_there_and_its_steps_are_apart():
    found = orders()
    assert tuple(found.steps) == NAMES
    assert all(found.steps.values())
    ids = [step.id for order in found.steps.values() for step in order]
    assert len(ids) == len(set(ids))


def test_before_water_stands_in_its_order():
    """Common practice: bleed, open the end, packings, engine, flush, fit the tip, hold, prove what stops."""
    ids = [step.id.removeprefix("water.") for step in orders().steps["before water"]]
    expected = ["ready", "bleed", "open_end", "packings", "engine", "flush", "fit_tip", "hold", "release", "stops"]
    assert ids == expected


def test_a_change_begins_with_speed_down_and_bypass_open():
    """Common practice: before the tool is touched."""
    first = orders().steps["tool change"][0]
    assert (first.id, first.speed, first.bypass) == ("change.first", "start", "open")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('version = "1"', 'version = "1"\nnote = "x"', "unknown: note"),
        (FLUSH, FLUSH + ', pressure = "low"', "water.flush: unknown: pressure"),
        (FLUSH, FLUSH.replace('"start"', '"fast"'), "water.flush: speed is none of"),
        (FLUSH, 'id = "water.flush", who = "pump operator"', "water.flush: missing: speed"),
        (FLUSH, FLUSH.replace("pump operator", "someone"), "water.flush: who is none of"),
        (FLUSH, FLUSH.replace("water.flush", "water.bleed"), "an id stands there twice"),
        ('release = ["dump", "none"]', 'release = ["dump"]', "row: missing or unknown"),
        ('release = ["dump", "none"]', 'release = ["dump", "dump", "none"]', "stands there twice"),
        ('release = ["dump", "none"]', 'release = ["dump", "valve"]', "row: missing or unknown"),
        ('run_up = "run-up A"', 'run_up = "run-up C"', "run_up is none of"),
        ('name = "frost"', 'name = "ice"', "missing or unknown: frost, ice"),
        ('name = "frost"', 'name = "tool change"', "stands there twice"),
        ('setting = ["part open", "open"]', 'setting = ["ajar"]', "a.stay: when.setting is none of"),
        ('setting = ["part open", "open"]', 'wind = ["none"]', "a.stay: unknown: wind"),
        ('version = "1"', 'version = "1', "orders: "),
        ('bypass = "hand-set"\ndrive', 'kind = "hand-set"\ndrive', "row: unknown: kind"),
    ],
)
def test_what_is_wrong_in_them_is_told(old, new, told):
    assert old in TEXT
    with pytest.raises(JetwrightError, match=r".") as why:
        read_orders(TEXT.replace(old, new, 1))
    assert told in str(why.value)
