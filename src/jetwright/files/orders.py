"""The door for the orders of steps: `data/orders.toml` in, checked word by word."""

from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from itertools import product
from typing import Any, get_args

from jetwright.errors import JetwrightError
from jetwright.files.texts import only_keys, our_tables
from jetwright.rig.description import Bypass, Drive, Tool
from jetwright.rig.order import EVERY, Gauge, Opening, Orders, Speed, Step, Touched, Trigger, Who

NAMES = (
    "before water",
    "run-up A",
    "run-up B",
    "letting go",
    "planned stop",
    "emergency stop",
    "tool change",
    "frost",
)
"""Every order there is."""

KINDS: tuple[tuple[str, ...], ...] = tuple(
    get_args(described.__annotations__[key])
    for described, key in ((Bypass, "kind"), (Drive, "kind"), (Tool, "release"))
)
"""What a rig's bypass, drive and release may be."""

_WORDS = {"who": Who, "speed": Speed, "bypass": Opening, "trigger": Trigger, "gauge": Gauge}
_WHEN = {
    "bypass": KINDS[0],
    "drive": KINDS[1],
    "release": KINDS[2],
    "setting": ("closed", "part open", "open", "regulating"),
    "proving": ("shut", "part open"),
    "touched": get_args(Touched),
}


@lru_cache(maxsize=1)
def orders() -> Orders:
    """The orders that come with Jetwright. [-]

    Raises
    ------
    JetwrightError
        When the data is wrong; a test reads it.

    Examples
    --------
    >>> orders().rows["hand-set", "hydrostatic", "dump"], orders().rows["hand-set", "direct", "dry shut-off"]
    ('run-up A', '')
    >>> orders().steps["run-up A"][0].id
    'a.first_press'

    References
    ----------
    Common practice; `data/orders.toml`.
    """
    return read_orders((files("jetwright") / "data" / "orders.toml").read_text(encoding="utf-8"))


def read_orders(text: str) -> Orders:
    """Orders of steps from TOML, every key and word of it known and every rig served. [-]

    Parameters
    ----------
    text : str
        As `data/orders.toml`. [-]

    Raises
    ------
    JetwrightError
        With what is wrong, in a developer's words.

    Examples
    --------
    >>> read_orders('version = "1"')
    Traceback (most recent call last):
    jetwright.errors.JetwrightError: orders: missing: order, row

    References
    ----------
    Our own convention.
    """
    data = our_tables("orders", text, ("version", "row", "order"))
    steps = {}
    for table in data["order"]:
        only_keys("order", table, ("name", "step"))
        if table["name"] in steps:
            raise JetwrightError(f"orders: {table['name']} stands there twice")
        steps[table["name"]] = tuple(_step(row) for row in table["step"])
    if set(steps) != set(NAMES):
        raise JetwrightError(f"orders: missing or unknown: {', '.join(sorted(set(steps) ^ set(NAMES)))}")
    ids = [step.id for order in steps.values() for step in order]
    if len(ids) != len(set(ids)):
        raise JetwrightError("orders: an id stands there twice")
    return Orders(data["version"], steps, _rows(data["row"]))


def _word(where: str, key: str, word: str, known: tuple[str, ...]) -> None:
    if word not in known:
        raise JetwrightError(f"{where}: {key} is none of {', '.join(known)}: {word!r}")


def _step(row: Mapping[str, Any]) -> Step:
    name = str(row.get("id"))
    only_keys(name, row, ("id", *_WORDS, "why"), ("when",))
    for key, known in _WORDS.items():
        _word(name, key, row[key], get_args(known))
    asked = row.get("when", {})
    only_keys(name, asked, (), tuple(_WHEN))
    for key, words in asked.items():
        for word in words:
            _word(name, f"when.{key}", word, _WHEN[key])
    when = {key: tuple(words) for key, words in asked.items()} if asked else EVERY
    return Step(**{**row, "when": when})


def _rows(tables: list[Mapping[str, Any]]) -> dict[tuple[str, str, str], str]:
    rows: dict[tuple[str, str, str], str] = {}
    for table in tables:
        only_keys("row", table, ("bypass", "drive", "release", "run_up"))
        _word("row", "run_up", table["run_up"], ("", "run-up A", "run-up B"))
        for drive, release in product(table["drive"], table["release"]):
            row = (table["bypass"], drive, release)
            if row in rows:
                raise JetwrightError(f"row: {row} stands there twice")
            rows[row] = table["run_up"]
    every = set(product(*KINDS))
    if set(rows) != every:
        raise JetwrightError(f"row: missing or unknown: {sorted(set(rows) ^ every)}")
    return rows
