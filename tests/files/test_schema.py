"""The JSON Schema, held against an independent validator and against the reader."""

import datetime
import json
import re
import tomllib

import pytest

from jetwright.files.job import read_job
from jetwright.files.model import bounds, example
from jetwright.files.schema import schema
from jetwright.files.shapes import JOB, keys_of
from jetwright.units import read

jsonschema = pytest.importorskip("jsonschema", reason="pip install jsonschema")
WHOLE = ["reference/job", "reference/regulating", "reference/unloader", "hose-fed", "two-guns"]


@pytest.fixture(scope="module")
def validator():
    made = schema()
    jsonschema.Draft202012Validator.check_schema(made)
    checker = jsonschema.Draft202012Validator.FORMAT_CHECKER
    return jsonschema.Draft202012Validator(made, format_checker=checker)


def as_json(text):
    """A TOML text as JSON has it: dates as texts."""
    dates = (datetime.date, datetime.time)
    return json.loads(json.dumps(tomllib.loads(text), default=lambda v: v.isoformat() if isinstance(v, dates) else v))


@pytest.mark.parametrize("name", [*WHOLE, "shift/job", "shift/refused"])
def test_the_examples_are_valid(name, validator, root):
    text = (root / "examples" / f"{name}.toml").read_text()
    assert [error.message for error in validator.iter_errors(as_json(text))] == []
    read_job(root / "examples" / f"{name}.toml")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('length = "12 m"', 'length = "12"'),
        ('length = "12 m"', "length = 12"),
        ('length = "12 m"', 'length = "1,2 m"'),
        ('length = "12 m"', 'length = "12 bar"'),
        ('"19 L/min at 1000 bar"', '"19 L/min"'),
        ("clearance = 1.3", "clearence = 1.3"),
        ("clearance = 1.3", 'clearance = "1.3"'),
        ("plungers = 3", "plungers = 0"),
        ("plungers = 3", "plungers = 3.5"),
        ("damper = true", "damper = 1"),
        ('kind = "hydrostatic"', 'kind = "hydraulic"'),
        ("tested = 2026-03-14", 'tested = "spring"'),
        ('top_speed = "520 rpm"', ""),
        ('ports = [{ tip = "A10" }]', "ports = []"),
        ('["1200 rpm", "180 kW"]', '["1200 rpm"]'),
    ],
)
def test_what_the_reader_refuses_is_not_valid(old, new, reference, validator, problems_of):
    text = reference.replace(old, new, 1)
    assert problems_of(text)
    assert not validator.is_valid(as_json(text))


def quantities(shape):
    if shape.table is not None:
        for key in keys_of(shape.table).values():
            yield from quantities(key.shape)
    if shape.quantity is not None and shape.sort == "quantity":
        yield shape.quantity
    for part in shape.parts:
        yield from quantities(part)


def test_examples_of_quantities_are_within_their_bounds():
    for quantity in quantities(JOB):
        value = read(example(quantity), quantity.kind)
        assert quantity.above is None or value > quantity.above
        assert quantity.at_least is None or value >= quantity.at_least
        assert quantity.at_most is None or value <= quantity.at_most
        assert set(bounds(quantity)) == {"above", "at_least", "at_most"}


def test_examples_match_their_patterns():
    def walk(node):
        if isinstance(node, dict):
            for text in node.get("examples", []):
                assert re.search(node["pattern"], text)
            for each in node.values():
                walk(each)

    walk(schema())


def test_the_schema_is_json():
    assert json.loads(json.dumps(schema())) == schema()
