"""The job file as a JSON Schema, made from the same dataclasses that the reader is made from."""

import re
from types import MappingProxyType
from typing import Any

from jetwright import units
from jetwright.files import model
from jetwright.files.shapes import JOB, Key, Shape, keys_of
from jetwright.rig.quantity import Quantity

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_NUMBER = r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?"


def schema() -> dict[str, Any]:
    """The JSON Schema of a job file, TOML dates taken as texts. [-]

    What it cannot say, `read_job` still checks: ranges of quantities, names that must exist, keys that exclude each
    other. Keys that a yard file may supply are not required by it.

    Examples
    --------
    >>> schema()["properties"]["supply"]["required"]
    ['pressure', 'flow', 'temperature']

    References
    ----------
    JSON Schema, draft 2020-12.
    """
    whole = {"$schema": DRAFT, "title": "Jetwright job file"} | _of(JOB)
    whole["required"] = [key for key in whole["required"] if key != "unit"]
    unit = whole["properties"]["unit"]
    unit.pop("required")
    return whole


def _of(shape: Shape) -> dict[str, Any]:
    if shape.table is not None:
        keys = keys_of(shape.table).values()
        table: dict[str, Any] = {
            "type": "object",
            "properties": {key.key: _key(key) for key in keys},
            "required": [key.key for key in keys if key.required],
            "additionalProperties": False,
        }
        return table
    if shape.sort == "rows":
        return {"type": "object", "additionalProperties": _of(shape.parts[0])}
    if shape.sort == "list":
        return {"type": "array", "items": _of(shape.parts[0]), "maxItems": model.MOST_ELEMENTS}
    if shape.sort == "pair":
        both = [_of(part) for part in shape.parts]
        return {"type": "array", "prefixItems": both, "items": False, "minItems": 2}
    if shape.quantity is not None:
        return _number(shape.sort, shape.quantity)
    simple: dict[str, dict[str, Any]] = {
        "text": {"type": "string", "minLength": 1, "maxLength": model.LONGEST_TEXT},
        "words": {"enum": list(shape.words)},
        "yes_no": {"type": "boolean"},
        "date": {"type": "string", "format": "date"},
    }
    return simple[shape.sort]


def _key(key: Key) -> dict[str, Any]:
    made = _of(key.shape)
    if key.required and key.shape.sort == "list":
        made["minItems"] = 1
    if not key.required and key.default is not None:
        made["default"] = _default(key)
    return made


def _default(key: Key) -> object:
    quantity = key.shape.quantity
    if quantity is not None and key.shape.sort == "quantity":
        return units.show(float(key.default), quantity.shown, 6)  # type: ignore[arg-type]
    if isinstance(key.default, tuple):
        return list(key.default)
    if isinstance(key.default, (dict, MappingProxyType)):
        return dict(key.default)
    return key.default


def _number(sort: str, quantity: Quantity) -> dict[str, Any]:
    if sort in ("count", "number"):
        bounds = {"exclusiveMinimum": quantity.above, "minimum": quantity.at_least, "maximum": quantity.at_most}
        made: dict[str, Any] = {"type": "integer" if sort == "count" else "number", "description": quantity.says}
        return made | {name: bound for name, bound in bounds.items() if bound is not None}
    one = _pattern(quantity.kind)
    pattern = {
        "rated": f"^{_pattern('flow')} at {_pattern('pressure')}$",
        "quantity": f"^{one}( back)?$" if quantity.kind == "direction" else f"^{one}$",
    }[sort]
    limits = {name: text for name, text in model.bounds(quantity).items() if text}
    words = {"above": "above", "at_least": "at least", "at_most": "at most"}
    said = ", ".join(f"{words[name]} {text}" for name, text in limits.items())
    description = f"{quantity.says}; {said}" if said else quantity.says
    return {"type": "string", "pattern": pattern, "description": description, "examples": [model.example(quantity)]}


def _pattern(kind: str) -> str:
    names = "|".join(re.escape(name).replace(r"\ ", " ") for name in units.units_of(kind))
    return f"{_NUMBER} *({names})"
