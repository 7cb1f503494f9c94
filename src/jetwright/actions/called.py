"""What a key of a job file is called, for whoever reads no file: “S8-20: Highest pressure it may see”."""

import functools
from typing import Any

from jetwright.files.shapes import JOB, Key, Shape, keys_of
from jetwright.report.key_labels import LABELS
from jetwright.report.wording import _


def label(table: type[Any], key: Key) -> str:
    """What a form calls a key of a table. [-]

    Parameters
    ----------
    table : type
        A dataclass of `rig.description`. [-]
    key : Key
        One of its keys. [-]

    Examples
    --------
    >>> from jetwright.rig.description import Hose
    >>> label(Hose, keys_of(Hose)["rating"])
    'Highest pressure it may see'

    References
    ----------
    Our own convention.
    """
    words = LABELS.get(f"{table.__name__}.{key.key}") or LABELS.get(key.key)
    return _(words) if words else key.key.replace("_", " ")


def called(key: str | tuple[str | int, ...]) -> str:
    """What a key of a job file is called on a page or a sheet. [-]

    Parameters
    ----------
    key : str or tuple of str and int
        Its path, in dots or part by part; one that no table has is said as it is written. [-]

    Examples
    --------
    >>> called("hoses.S8-20.bore"), called(("unit", "pump", "slip"))
    ('S8-20: Bore', 'Pump: Share of swept volume lost')

    References
    ----------
    Our own convention.
    """
    parts: list[str | int] = [*key.split(".")] if isinstance(key, str) else [*key]
    shape, words = JOB, list[str]()
    while parts:
        if shape.sort == "rows":
            below = keys_of(shape.parts[0].table) if shape.parts[0].table is not None else {}
            size = next((at for at in range(1, len(parts)) if parts[at] in below), len(parts))
            words[-1:], shape = [".".join(map(str, parts[:size]))], shape.parts[0]
            del parts[:size]
        elif shape.sort == "list":
            number = _counted(parts[0])
            if number:
                if shape.parts[0].table is None:
                    words[-1] = words[-1].partition(",")[0]  # how it is typed is not of one element
                words[-1] = _("{what} {n}").format(what=words[-1], n=number)
                del parts[0]
            shape = shape.parts[0]
        else:
            name = str(parts.pop(0))
            known = keys_of(shape.table) if shape.table is not None else {}
            words.append(label(shape.table, known[name]) if shape.table and name in known else name.replace("_", " "))
            shape = known[name].shape if name in known else Shape("any")
    if len(words) > 1 and str(key[0] if not isinstance(key, str) else key.split(".")[0]) in ("unit", "task"):
        del words[0]
    return functools.reduce(lambda part, what: _("{part}: {what}").format(part=part, what=what), words) if words else ""


def _counted(part: str | int) -> int:
    """Which row of a list it is, as a person counts: from 0 in a path, from 1 in dots; 0: none."""
    if isinstance(part, int):
        return part + 1
    return int(part) if part.isdecimal() else 0
