"""Checks of jetwright.units."""

import math
import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright import units
from jetwright.errors import UnitError

PINT = pint.UnitRegistry()
TO_PINT = {  # our name → Pint's, where they differ
    "L/min": "L/min",
    "gpm": "gallon/minute",
    "m3/h": "m**3/hour",
    "L/h": "L/hour",
    "gal/h": "gallon/hour",
    "mm2": "mm**2",
    "in2": "inch**2",
    "m3": "m**3",
    "in": "inch",
    "gal": "gallon",
    "lb": "pound",
    "lbf": "pound_force",
    "hp": "horsepower",
    "N m": "newton*meter",
    "g/kWh": "g/kilowatt_hour",
    "deg": "degree",
    "%": "percent",
    "ksi": "kip/inch**2",
    "um": "micrometer",
}
SI = {
    "pressure": "Pa",
    "flow": "m**3/s",
    "length": "m",
    "area": "m**2",
    "temperature": "kelvin",
    "temperature_difference": "kelvin",
    "speed": "revolution/s",
    "power": "W",
    "force": "N",
    "torque": "N*m",
    "mass": "kg",
    "volume": "m**3",
    "time": "s",
    "age": "s",
    "fuel_rate": "kg/J",
    "angle": "radian",
    "direction": "radian",
    "percent": "dimensionless",
    "velocity": "m/s",
}
ROWS = [pytest.param(row, id=f"{row.kind}-{row.name}") for row in units.TABLE]
TYPED = [row for row in units.TABLE if row.typed]


@pytest.mark.published("Pint 0.25, its default registry")
@pytest.mark.parametrize("row", ROWS)
@pytest.mark.parametrize("number", [0.0, 1.0, 37.5])
def test_each_row_agrees_with_pint(row, number):
    name = TO_PINT.get(row.name, row.name)
    if row.kind == "temperature_difference" and row.name.startswith("deg"):
        name = f"delta_{name}"
    expected = PINT.Quantity(number, name).to(SI[row.kind]).magnitude
    assert units.of(number, row.name, row.kind) == pytest.approx(expected, rel=1e-12, abs=1e-15)


@pytest.mark.published("NIST SP 811 (2008), appendix B.8")
@pytest.mark.parametrize(
    ("text", "kind", "expected", "digits"),
    [
        ("1 psi", "pressure", 6.894757e3, 7),
        ("1 ksi", "pressure", 6.894757e6, 7),
        ("1 gpm", "flow", 6.309020e-5, 7),
        ("1 hp", "power", 7.456999e2, 7),
        ("1 lbf", "force", 4.448222, 7),
        ("1 lb", "mass", 4.535924e-1, 7),
        ("1 gal", "volume", 3.785412e-3, 7),
        ("1 in2", "area", 6.4516e-4, 7),
        ("1 ft", "length", 3.048e-1, 7),
        ("1 rpm", "speed", 1.666667e-2, 7),
        ("1 deg", "angle", 1.745329e-2, 7),
    ],
)
def test_factors_as_printed(text, kind, expected, digits):
    assert f"{units.read(text, kind):.{digits - 1}e}" == f"{expected:.{digits - 1}e}"


def test_the_table_is_the_contract():
    names = {name for kind in set(units.KINDS) - set(units.RULE_KINDS) for name in units.KINDS[kind]}
    listed = (
        "bar, kPa, MPa, psi, ksi; L/min, gpm, m3/h; mm, cm, m, um, in, ft; mm2, in2; degC, degF; rpm; kW, hp; N, kN, "
        "lbf, N m; kg, lb; L, m3, gal; s, min, h; g/kWh; L/h; deg; %; K"
    )
    assert names == set(listed.replace(";", ",").split(", "))


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("950 bar", "pressure", 950e5),
        ("950bar", "pressure", 950e5),
        ("  9.5e2   bar ", "pressure", 950e5),
        ("-3 m", "length", -3.0),
        ("0 degC", "temperature", 273.15),
        ("32 degF", "temperature", 273.15),
        ("120 rpm", "speed", 2.0),
        ("3 %", "percent", 0.03),
        ("208 g/kWh", "fuel_rate", 0.208 / 3.6e6),
        ("180 deg", "direction", math.pi),
        ("30 deg back", "direction", math.radians(150.0)),
        ("500 N m", "torque", 500.0),
        ("60 L/h", "flow", 1e-3 / 60.0),
        ("3 K", "temperature_difference", 3.0),
        ("9 degF", "temperature_difference", 5.0),
        ("25 um", "length", 25e-6),
        ("25 µm", "length", 25e-6),  # the sign of micro
        ("25 \u03bcm", "length", 25e-6),  # the Greek letter
        ("25 micron", "length", 25e-6),
        ("18 °C", "temperature", 291.15),
        ("20 mm²", "area", 20e-6),
        ("5 m³", "volume", 5.0),
        ("850 BAR", "pressure", 850e5),
        ("850 Bar", "pressure", 850e5),
        ("90 MPA", "pressure", 90e6),
        ("18 l/min", "flow", 0.3e-3),
        ("9 MM", "length", 9e-3),
    ],
)
def test_reads_what_a_person_types(text, kind, value):
    assert units.read(text, kind) == pytest.approx(value, rel=1e-14)


def test_reads_a_rated_pair():
    flow, pressure = units.read_rated("18.9 L/min at 1000 bar")
    assert (flow, pressure) == (pytest.approx(18.9e-3 / 60.0), 1000e5)


REFUSED = [
    ("950", "pressure", "missing_unit", {"example": "950 bar"}),
    ("2,5 bar", "pressure", "decimal_comma", {"readings": ["2.5 bar", "25 bar"]}),
    ("0,25 L", "volume", "decimal_comma", {"readings": ["0.25 L", "25 L"]}),
    ("-2,5 m", "length", "decimal_comma", {"readings": ["-2.5 m", "-25 m"]}),
    ("2,5", "pressure", "decimal_comma", {"readings": ["2.5", "25"]}),
    ("14,500 psi", "pressure", "ambiguous_thousands", {"readings": ["14.5 psi", "14500 psi"]}),
    ("100,000 psi", "pressure", "ambiguous_thousands", {"readings": ["100 psi", "100000 psi"]}),
    ("12,345 psi", "pressure", "ambiguous_thousands", {"readings": ["12.3450 psi", "12345 psi"]}),
    ("14 500 psi", "pressure", "ambiguous_thousands", {"readings": ["14500 psi"]}),
    ("14'500 psi", "pressure", "ambiguous_thousands", {"readings": ["14500 psi"]}),
    ("1.450.000 psi", "pressure", "ambiguous_thousands", {"readings": ["1450000 psi"]}),
    ("nan bar", "pressure", "not_a_number", {}),
    ("inf bar", "pressure", "not_a_number", {}),
    ("lots", "pressure", "not_a_number", {}),
    ("", "pressure", "not_a_number", {}),
    ("٣ bar", "pressure", "not_a_number", {}),
    ("1e300 bar", "pressure", "absurd_number", {}),
    ("1e-300 bar", "pressure", "absurd_number", {}),
    ("1e99999999999999999999 bar", "pressure", "absurd_number", {}),
    ("9" * 61 + " bar", "pressure", "too_long", {"limit": 60}),
    ("9 barr", "pressure", "unknown_unit", {"nearest": "bar"}),
    ("9 mPa", "pressure", "unknown_unit", {"nearest": "MPa"}),  # a thousand million times less
    ("9 mpa", "pressure", "unknown_unit", {"nearest": "MPa"}),
    ("9 Mm", "length", "unknown_unit", {"nearest": "mm"}),
    ("9 MM", "pressure", "other_kind", {"unit_kind": "length"}),
    ("9 um", "pressure", "other_kind", {"unit_kind": "length"}),
    ("9 lpm", "flow", "unknown_unit", {"nearest": "L/min"}),
    ("9 C", "temperature", "unknown_unit", {"nearest": "degC"}),
    ("9 quux", "flow", "unknown_unit", {"nearest": ""}),
    ("9 mm", "pressure", "other_kind", {"unit_kind": "length", "kind": "pressure"}),
    ("9 mm2", "length", "other_kind", {"unit_kind": "area"}),
    ("9 bar abs", "pressure", "absolute_pressure", {}),
    ("9 bara", "pressure", "absolute_pressure", {}),
    ("9 bar (a)", "pressure", "absolute_pressure", {}),
    ("9 gal/h", "flow", "unknown_unit", {}),
    ("9 deg back", "angle", "unknown_unit", {"nearest": "deg"}),
]


@pytest.mark.parametrize(("text", "kind", "code", "facts"), REFUSED)
def test_refuses(text, kind, code, facts):
    with pytest.raises(UnitError) as caught:
        units.read(text, kind)
    assert caught.value.code == code
    assert facts.items() <= caught.value.facts.items()
    assert {"kind", "units", "example"} <= caught.value.facts.keys()


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("18 L/min", "missing_at"),
        ("18 at 900 bar", "missing_unit"),
        ("18 L/min at 900", "missing_unit"),
        ("18 bar at 900 bar", "other_kind"),
        ("18 L/min at 900 bar abs", "absolute_pressure"),
        ("18,5 L/min at 900 bar", "decimal_comma"),
        ("x" * 99, "too_long"),
    ],
)
def test_refuses_a_pair(text, code):
    with pytest.raises(UnitError) as caught:
        units.read_rated(text)
    assert caught.value.code == code


@pytest.mark.parametrize("kind", sorted(set(units.KINDS) - {"flow_at"}))
def test_no_two_units_of_a_kind_are_spelt_alike(kind):
    for name in units.units_of(kind):
        for way in (name, name.upper()):
            assert units.unit_of(f"9 {way}", kind) == name


@given(st.sampled_from(TYPED), st.sampled_from([str.upper, str.lower, str.title, str.swapcase]))
def test_a_spelling_is_read_as_its_unit_or_not_at_all(row, spelt):
    written = f"9 {spelt(row.name)}"
    try:
        value = units.read(written, row.kind)
    except UnitError:
        assert units.unit_of(written, row.kind) == ""
    else:
        assert value == units.read(f"9 {row.name}", row.kind)


@given(st.from_regex(r"\A[1-9][0-9]{0,2},[0-9]{3} psi\Z"))
def test_each_reading_that_is_offered_has_one_reading_in_either_language(text):
    with pytest.raises(UnitError) as caught:
        units.read(text, "pressure")
    decimal, whole = caught.value.facts["readings"]
    digits = text.removesuffix(" psi")
    assert units.read(decimal, "pressure") == pytest.approx(units.of(float(digits.replace(",", ".")), "psi"))
    assert units.read(whole, "pressure") == pytest.approx(units.of(float(digits.replace(",", "")), "psi"))
    for reading in (decimal, whole):  # three digits behind a point may be thousands to whoever parts them with it
        assert not re.fullmatch(r"[0-9]{1,3}\.[0-9]{3} psi", reading)


@given(st.sampled_from(TYPED), st.floats(1e-6, 1e6))
def test_what_is_shown_is_read_back(row, number):
    value = units.of(number, row.name, row.kind)
    text = units.show(value, row.name, 17, row.kind)
    assert units.read(text, row.kind) == pytest.approx(value, rel=1e-12)


@given(st.sampled_from(units.TABLE), st.floats(-1e9, 1e9))
def test_there_and_back(row, number):
    there = units.of(number, row.name, row.kind)
    assert units.to(there, row.name, row.kind) == pytest.approx(number, rel=1e-9, abs=1e-9)


@given(st.text(max_size=80), st.sampled_from(sorted(units.KINDS)))
def test_anything_is_read_or_refused(text, kind):
    try:
        value = units.read(text, kind)
    except UnitError as error:
        written = error.written
    else:
        written = ""
        assert math.isfinite(value)
    assert len(written) <= units.LONGEST + 1


@given(st.from_regex(r"\A[-+]?[0-9]{1,4}([.,' ][0-9]{1,4}){0,3} ?(bar|psi)\Z"))
def test_a_comma_never_passes(text):
    try:
        value = units.read(text, "pressure")
    except UnitError:
        return
    number, unit = text[:-3].strip(), text[-3:]
    assert "," not in number
    assert "'" not in number
    assert value == pytest.approx(float(number) * units.of(1.0, unit))


@pytest.mark.parametrize(
    ("value", "unit", "digits", "text"),
    [
        (95e6, "bar", 4, "950 bar"),
        (1e8, "psi", 4, "14504 psi"),
        (0.0, "bar", 4, "0 bar"),
        (-1e-12, "m", 4, "-0.000000000001 m"),
        (0.00123456, "mm", 4, "1.235 mm"),
        (293.15, "degF", 4, "68 degF"),
        (0.9, "", 4, "0.9"),
    ],
)
def test_shows(value, unit, digits, text):
    assert units.show(value, unit, digits) == text


def test_us_units_stand_in_for_all_that_have_one():
    assert [units.shown(u, "us") for u in ("bar", "L/min", "mm", "m", "mm2", "N", "kN", "kW", "degC", "kg", "L")] == [
        "psi", "gpm", "in", "ft", "in2", "lbf", "lbf", "hp", "degF", "lb", "gal",
    ]  # fmt: skip
    assert {units.shown(row.name, "si") for row in units.TABLE} == {row.name for row in units.TABLE}


def test_an_unknown_unit_to_show_is_refused():
    with pytest.raises(UnitError):
        units.to(1.0, "furlong")
