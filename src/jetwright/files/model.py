"""pydantic's engine over the rig's dataclasses: tables as written in, frozen descriptions or every problem out.

The validators are made from the type hints and `Quantity`s of `rig.description`, and from nothing else, so that a key
is defined once. They are built for `pydantic_core`, the engine that pydantic's own models run on: importing pydantic
itself and creating a model for each table took 0.23 s of a 0.45 s budget, this takes 0.07 s. Its English never leaves
this module.
"""

import datetime
import difflib
import functools
import math
import types
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pydantic_core import PydanticCustomError, SchemaValidator, ValidationError, core_schema

from jetwright import units
from jetwright.errors import UnitError
from jetwright.files.shapes import JOB, Shape, keys_of
from jetwright.rig.description import FlowAt
from jetwright.rig.quantity import Quantity

LONGEST_TEXT = 200
"""Most signs of a text or a name."""

MOST_COMPARED = 200
"""Most names that a written one is compared with, to say which was meant."""

MOST_ELEMENTS = 1000
"""Most elements of a list."""

RATED_AT_MOST = 400e6
"""Highest pressure of a rated pair. [Pa]"""

Loc = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Taken:
    """A value already in SI, put where none can be read, so that the rest can still be checked."""

    value: Any


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong at a place: a code and its facts; of_name: with the name that a row was given."""

    key: Loc
    code: str
    facts: dict[str, object]
    of_name: bool = False


def parse(data: object, shape: Shape = JOB) -> tuple[Any, list[Fault]]:
    """The job in tables as written, or everything that is wrong with them. [-]

    Parameters
    ----------
    data : object
        As `tomllib` gives it. [-]
    shape : Shape
        What may stand there, if it is not a job. [-]

    Examples
    --------
    >>> parse({"titel": "Rack"})[1][0]
    Fault(key=('title',), code='missing_key', facts={}, of_name=False)

    References
    ----------
    Our own convention.
    """
    try:
        return _validator(shape).validate_python(data), []
    except ValidationError as error:
        return None, [_fault(line) for line in error.errors(include_url=False, include_input=False)]


def placeholder(shape: Shape, high: bool) -> object:
    """Something that may stand in a place: the least of what is allowed, or the most. [-]

    Parameters
    ----------
    shape : Shape
        What may stand there. [-]
    high : bool
        The most rather than the least. [-]

    Examples
    --------
    >>> placeholder(Shape("words", words=("tank", "ground")), True)
    'ground'

    References
    ----------
    Our own convention.
    """
    quantity = shape.quantity
    if shape.sort == "table" and shape.table is not None:
        return {k.key: placeholder(k.shape, high) for k in keys_of(shape.table).values() if k.required}
    if shape.sort == "pair":
        return [placeholder(part, high) for part in shape.parts]
    if shape.sort == "list":
        return [placeholder(shape.parts[0], high)]
    if shape.sort == "rated":
        return Taken(FlowAt(1.0, 1e5) if high else FlowAt(1e-9, RATED_AT_MOST))
    if quantity is not None:
        least = quantity.at_least if quantity.at_least is not None else (quantity.above or 0.0) + 1e-9
        most = quantity.at_most if quantity.at_most is not None else 1e6
        value = most if high else least
        return Taken(int(value) if shape.sort == "count" else value)
    simple: dict[str, object] = {
        "text": Taken("?"),
        "words": (shape.words or ("",))[-1 if high else 0],
        "yes_no": high,
        "date": datetime.date(2000 + 99 * high, 1, 1),
        "rows": {},
    }
    return simple[shape.sort]


def nearest(word: str, known: list[str]) -> str:
    """The known word that a written one was most likely meant to be, "" if none. [-]

    Parameters
    ----------
    word : str
        As written. [-]
    known : list[str]
        What is accepted; of more than `MOST_COMPARED`, those of the same first or last letter are compared. [-]

    Examples
    --------
    >>> nearest("R8-02", ["R12-40", "R8-20"])
    'R8-20'

    References
    ----------
    Our own convention, over `difflib` of the standard library.
    """
    word = word[:LONGEST_TEXT].casefold()
    folded = {name.casefold(): name for name in reversed(known)}
    if len(folded) > MOST_COMPARED:
        alike = [name for name in folded if name[:1] == word[:1] or name[-1:] == word[-1:]]
        folded = {name: folded[name] for name in alike[-MOST_COMPARED:]}
    close = difflib.get_close_matches(word, folded, 1, 0.6)
    return folded[close[0]] if close else ""


@functools.cache
def _validator(shape: Shape) -> SchemaValidator:
    return SchemaValidator(_schema(shape))


def _schema(shape: Shape) -> core_schema.CoreSchema:
    if shape.sort == "table" and shape.table is not None:
        return _table(shape.table)
    if shape.sort == "any":
        return core_schema.any_schema()
    if shape.sort == "rows":
        names = core_schema.no_info_plain_validator_function(_text)
        rows = core_schema.dict_schema(names, _schema(shape.parts[0]), strict=True)
        return core_schema.no_info_after_validator_function(types.MappingProxyType, rows)
    if shape.sort == "list":
        elements = core_schema.list_schema(_schema(shape.parts[0]), strict=True, max_length=MOST_ELEMENTS)
        return core_schema.no_info_after_validator_function(tuple, elements)
    if shape.sort == "pair":
        both = core_schema.tuple_schema([_schema(part) for part in shape.parts])
        return core_schema.no_info_before_validator_function(_two, both)
    read = {"text": _text, "yes_no": _yes_no, "date": _date}.get(shape.sort)
    if read is None and shape.sort == "words":
        read = functools.partial(_word, shape.words)
    if read is None and shape.quantity is not None:
        by_sort: dict[str, Callable[[Quantity, object], object]] = {
            "number": _number,
            "count": _count,
            "quantity": _quantity,
            "rated": _rated,
        }
        read = functools.partial(by_sort[shape.sort], shape.quantity)
    assert read is not None
    return core_schema.no_info_plain_validator_function(read)


def _table(table: type[Any]) -> core_schema.CoreSchema:
    keys = keys_of(table)
    fields = {}
    for key in keys.values():
        schema = _schema(key.shape)
        if key.required and key.shape.sort == "list":
            schema = core_schema.no_info_before_validator_function(_some, schema)
        fields[key.key] = core_schema.typed_dict_field(schema, required=key.required)

    def make(values: dict[str, Any]) -> Any:
        return table(**{keys[key].name: value for key, value in values.items()})

    whole = core_schema.typed_dict_schema(fields, extra_behavior="forbid", strict=True)
    return core_schema.no_info_after_validator_function(make, whole)


_FORBIDDEN = {"Cc", "Cs", "Zl", "Zp"}
_UNSEEN = {"Cf", "Zs", "Mn", "Me", "Cn"}
_BLANK = set("\u115f\u1160\u2800\u3164\uffa0")
"""Letters and a pattern that print as nothing."""
_TURNING = set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def _refuse(code: str, **facts: object) -> PydanticCustomError:
    return PydanticCustomError(code, code, facts)


def got(value: object) -> str:
    """What sort of value stands in a file. [-]

    Parameters
    ----------
    value : object
        As `tomllib` gives it. [-]

    Examples
    --------
    >>> got(True), got(12), got([])
    ('yes_no', 'count', 'list')

    References
    ----------
    Our own convention.
    """
    if isinstance(value, bool):
        return "yes_no"
    if isinstance(value, datetime.date):  # a datetime is one too
        return "date" if not isinstance(value, datetime.datetime) else "time"
    names = ((str, "text"), (int, "count"), (float, "number"), (dict, "table"), (list, "list"), (datetime.time, "time"))
    return next(name for kind, name in names if isinstance(value, kind))


def _wrong(expected: str, value: object) -> PydanticCustomError:
    return _refuse("wrong_type", expected=expected, got=got(value))


def _text(value: object) -> str:
    if isinstance(value, Taken):
        return str(value.value)
    if not isinstance(value, str):
        raise _wrong("text", value)
    if not value.strip():
        raise _refuse("empty_text")
    if len(value) > LONGEST_TEXT:
        raise _refuse("text_too_long", limit=LONGEST_TEXT)
    if any(unicodedata.category(sign) in _FORBIDDEN or sign in _TURNING for sign in value):
        raise _refuse("control_character")
    if not any(unicodedata.category(sign) not in _UNSEEN and sign not in _BLANK for sign in value):
        raise _refuse("empty_text")
    return value


def _word(words: tuple[str, ...], value: object) -> str:
    if not isinstance(value, str):
        raise _wrong("text", value)
    if value not in words:
        raise _refuse("not_one_of", known=list(words), nearest=nearest(value, list(words)))
    return value


def _yes_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise _wrong("yes_no", value)
    return value


def _date(value: object) -> datetime.date:
    if isinstance(value, datetime.datetime) or not isinstance(value, datetime.date):
        raise _wrong("date", value)
    return value


def _two(value: object) -> object:
    if not isinstance(value, list) or len(value) != 2:
        raise _wrong("pair", value)
    return value


def _some(value: object) -> object:
    if isinstance(value, list) and not value:
        raise _refuse("too_few", least=1)
    return value


def _number(quantity: Quantity, value: object) -> float:
    if isinstance(value, Taken):
        return float(value.value)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise _wrong("number", value)
    if not math.isfinite(value):
        raise _refuse("not_finite")
    if abs(value) > units.LARGEST:
        raise _out_of_range(quantity)
    return _in_range(quantity, float(value))


def _count(quantity: Quantity, value: object) -> int:
    if isinstance(value, Taken):
        return int(value.value)
    if isinstance(value, bool) or not isinstance(value, int):
        raise _wrong("count", value)
    if abs(value) > units.LARGEST:
        raise _out_of_range(quantity)
    _in_range(quantity, float(value))
    return value


def _quantity(quantity: Quantity, value: object) -> float:
    if isinstance(value, Taken):
        return float(value.value)
    try:
        return _in_range(quantity, units.read(_written(quantity, value), quantity.kind))
    except UnitError as error:
        raise _refuse(error.code, **error.facts | {"example": example(quantity)}) from None


def _rated(quantity: Quantity, value: object) -> FlowAt:
    if isinstance(value, Taken) and isinstance(value.value, FlowAt):
        return value.value
    try:
        pair = FlowAt(*units.read_rated(_written(quantity, value)))
    except UnitError as error:
        raise _refuse(error.code, **error.facts | {"example": example(quantity)}) from None
    _in_range(quantity, pair.flow)
    _in_range(Quantity("pressure", "Pressure", above=0.0, at_most=RATED_AT_MOST, shown="bar"), pair.pressure)
    return pair


def _written(quantity: Quantity, value: object) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        raise _refuse("bare_number", **accepted(quantity))
    raise _wrong("quantity", value)


def _in_range(quantity: Quantity, value: float) -> float:
    slack = 1e-9 * abs(value)  # a bound written in another unit may round to either side
    if quantity.above is not None and not value > quantity.above:
        raise _out_of_range(quantity)
    if quantity.at_least is not None and value < quantity.at_least - slack:
        raise _out_of_range(quantity)
    if quantity.at_most is not None and value > quantity.at_most + slack:
        raise _out_of_range(quantity)
    return value


def _out_of_range(quantity: Quantity) -> PydanticCustomError:
    return _refuse("out_of_range", **bounds(quantity))


def accepted(quantity: Quantity) -> dict[str, object]:
    """Facts of what may be written where a quantity belongs: its kind, the units, an example. [-]

    Parameters
    ----------
    quantity : Quantity
        Of a kind that has units. [-]

    Examples
    --------
    >>> accepted(Quantity("area", "Hole", above=0.0, shown="mm2"))
    {'kind': 'area', 'units': ['mm2', 'in2'], 'example': '20 mm2'}

    References
    ----------
    Our own convention.
    """
    return {"kind": quantity.kind, "units": units.units_of(quantity.kind), "example": example(quantity)}


def example(quantity: Quantity) -> str:
    """A quantity as one might be written, within its bounds. [-]

    Parameters
    ----------
    quantity : Quantity
        Of a kind that has units. [-]

    Examples
    --------
    >>> example(Quantity("pressure", "Supply pressure", at_least=0.0, at_most=5e6, shown="bar"))
    '25 bar'

    References
    ----------
    Our own convention.
    """
    usual = units.EXAMPLES[quantity.kind]
    if quantity.kind == "flow_at" or not quantity.shown:
        return usual
    if quantity.shown not in usual.split():
        usual = f"{usual.split()[0]} {quantity.shown}"
    value = units.read(usual, quantity.kind)
    least = quantity.at_least if quantity.at_least is not None else quantity.above
    if quantity.at_most is not None and least is not None and not least <= value <= quantity.at_most:
        return units.show((least + quantity.at_most) / 2.0, quantity.shown)
    return usual


def bounds(quantity: Quantity) -> dict[str, object]:
    """The bounds of a quantity as a person writes them, "" where there is none. [-]

    Parameters
    ----------
    quantity : Quantity
        With its bounds in SI. [-]

    Examples
    --------
    >>> bounds(Quantity("length", "Bore", above=0.0, at_most=0.5, shown="mm"))
    {'above': '0 mm', 'at_least': '', 'at_most': '500 mm'}

    References
    ----------
    Our own convention.
    """
    kind = "temperature_difference" if quantity.kind == "temperature_difference" else ""
    return {
        name: "" if bound is None else units.show(bound, quantity.shown, 6, kind)
        for name, bound in (("above", quantity.above), ("at_least", quantity.at_least), ("at_most", quantity.at_most))
    }


def _fault(line: Any) -> Fault:
    key = tuple(part for part in line["loc"] if part != "[key]")
    facts = dict(line.get("ctx", {}))
    plain = {"missing": "missing_key", "extra_forbidden": "unknown_key"}
    if line["type"] in plain:
        return Fault(key, plain[line["type"]], {})
    if line["type"] == "too_long" and "limit" not in facts:  # a list; a quantity says its limit
        return Fault(key, "too_many", {"most": MOST_ELEMENTS})
    if line["type"] in ("dict_type", "list_type"):
        return Fault(key, "wrong_type", {"expected": "table" if line["type"] == "dict_type" else "list"})
    return Fault(key, line["type"], facts, "[key]" in line["loc"])
