"""Forms made from the tables of a job file, their fields, and what was typed into them."""

import dataclasses
import re
import tomllib
from pathlib import Path

import pytest

from jetwright.actions.called import called
from jetwright.files.door import part_problems, table_problems
from jetwright.files.shapes import Shape, keys_of, shape_at
from jetwright.files.tables import as_json
from jetwright.report.key_labels import EXAMPLES, LABELS, WORDS
from jetwright.report.wording import speaking
from jetwright.rig import description
from jetwright.rig.description import Bypass, Engine, Gauge, Hose, Job, Pump, Relief, Supply, Task, Tip, Tool, Unit
from jetwright.web.described import fields_for
from jetwright.web.typed import flat, understood, words_of

pytestmark = pytest.mark.any_database

TABLES = [
    table
    for table in vars(description).values()
    if isinstance(table, type) and dataclasses.is_dataclass(table) and table.__name__ not in ("FlowAt", "Quantity")
]
SHIFT = Path(__file__).resolve().parents[2] / "examples" / "shift" / "yard.toml"


def posted(form) -> dict[str, object]:
    """What a browser sends for a form as it stands."""
    return {bound.html_name: bound.value() if bound.value() is not None else "" for bound in form}


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.__name__)
def test_every_key_is_called_something_and_every_word(table):
    for key in keys_of(table).values():
        assert f"{table.__name__}.{key.key}" in LABELS or key.key in LABELS
        words = key.shape.words + tuple(word for part in key.shape.parts for word in part.words)
        assert set(words) <= set(WORDS)


def test_every_example_may_be_written_where_it_stands():
    for place, text in EXAMPLES.items():
        name, _, key = place.partition(".")
        table = next(table for table in TABLES if table.__name__ == name)
        assert not table_problems(text, keys_of(table)[key].shape), place


def test_every_label_belongs_to_a_key():
    keys = {key for table in TABLES for key in keys_of(table)}
    both = {f"{table.__name__}.{key}" for table in TABLES for key in keys_of(table)}
    assert set(LABELS) <= keys | both


@pytest.mark.parametrize("group", ["hoses", "fittings", "tips", "tools", "unit"])
def test_what_a_form_shows_of_a_yard_file_is_what_it_saves(group):
    data = as_json(tomllib.loads(SHIFT.read_text()))
    for name, spec in [("unit", data["unit"])] if group == "unit" else data[group].items():
        at = ("unit",) if group == "unit" else (group, name)
        table = shape_at(Shape("table", table=Job), at).table
        form = fields_for(table, spec)
        again = fields_for(table, spec, posted(form))
        assert again.is_valid(), again.problems
        assert again.spec == spec


def test_what_a_form_does_not_show_stays():
    spec = {"name": "Heron", "kits": {"P32": {"plunger_diameter": "32 mm", "rating": "900 bar"}}, "damper": True}
    form = fields_for(Unit, spec, {"remote": "yes"}, only=["remote"])
    assert form.is_valid(), form.problems
    assert form.spec == {**spec, "remote": True}


def test_a_form_refuses_what_a_file_refuses():
    form = fields_for(Hose, {}, {"bore": "8", "length": "2,5 m", "rating": "nan bar", "tails-length": "20 m"})
    assert not form.is_valid()
    assert sorted(form.problems) == ["bore", "length", "rating", "tails.bore"]
    assert form.problems["length"] == ["a comma may be misread; write “2.5 m” or “25 m”"]


def test_a_bare_number_takes_the_unit_chosen_and_a_written_unit_stays():
    form = fields_for(Hose, {}, {"bore": "8", "bore-unit": "mm", "length": "60 ft", "length-unit": "m"})
    assert form.is_valid(), form.problems
    assert form.spec == {"bore": "8 mm", "length": "60 ft"}


def test_the_comma_of_a_bare_number_is_refused_with_both_readings():
    form = fields_for(Gauge, {}, {"full_scale": "1600 bar", "class": "1,6"})
    assert not form.is_valid()
    assert form.problems == {"class": ["a comma may be misread; write “1.6” or “16”"]}


def test_thousands_are_asked_for_where_a_point_parts_them_but_not_of_what_was_kept():
    with speaking("es"):
        assert not fields_for(Gauge, {}, {"full_scale": "1.600 bar"}).is_valid()
        assert fields_for(Gauge, {"full_scale": "1.600 bar"}, {"full_scale": "1.600 bar"}).is_valid()
        assert fields_for(Gauge, {}, {"full_scale": "1600 bar"}).is_valid()
        assert fields_for(Tip, {}, {"bore": "0.125 mm", "inlet": "cone"}).is_valid()
    assert fields_for(Gauge, {}, {"full_scale": "1.600 bar"}).is_valid()


@pytest.mark.parametrize(
    ("typed", "kept"), [("10 %", 0.1), ("10%", 0.1), ("12.5 %", 0.125), ("0.1", 0.1), ("7 %", 0.07)]
)
def test_a_share_is_typed_in_per_cent_too_and_kept_as_the_number_a_job_file_holds(typed, kept):
    form = fields_for(Relief, {}, {"set": "1040 bar", "accumulation": typed})
    assert form.is_valid(), form.problems
    assert form.spec == {"set": "1040 bar", "accumulation": kept}


def test_every_share_says_that_it_may_be_typed_so():
    for table, key, said in (
        (Relief, "tolerance", "“0.1” or “10 %”"), (Relief, "reseat", "“0.9” or “90 %”"), (Bypass, "spill", "“5 %”"),
        (Pump, "slip", "“0.02” or “2 %”"), (Pump, "efficiency", "“0.9” or “90 %”"),
    ):  # fmt: skip
        form = fields_for(table, {})
        assert said in form.fields[key].help_text
        for example in re.findall("“([^”]+)”", form.fields[key].help_text):
            assert key not in fields_for(table, {}, {key: example}).problems


def test_what_is_no_share_takes_no_per_cent():
    for table, key in ((Gauge, "class"), (Tip, "cd"), (Pump, "clearance")):
        form = fields_for(table, {}, {key: "1.6 %"})
        assert not form.is_valid()
        assert form.problems[key] == ["a number belongs here"]


def test_a_share_beyond_its_bounds_or_with_a_comma_is_refused():
    assert "out of range" in fields_for(Relief, {}, {"accumulation": "120 %"}).problems["accumulation"][0]
    assert "“2.5 %” or “25 %”" in fields_for(Relief, {}, {"accumulation": "2,5 %"}).problems["accumulation"][0]


def test_a_filter_is_asked_for_in_micrometres_and_nothing_else_is():
    form = fields_for(Supply, {})
    assert form.fields["filter"].units[0] == "um"
    assert form.fields["filter"].help_text == "As in “25 µm”. At most 1000 µm."
    assert "um" not in fields_for(Hose, {}).fields["bore"].units


@pytest.mark.parametrize("typed", ["25 um", "25 µm", "25 micron", "0.025 mm", "0.001 in"])
def test_the_opening_of_a_filter_is_kept_as_typed(typed):
    form = fields_for(Supply, {}, {"filter": typed}, only=["filter"])
    assert form.is_valid(), form.problems
    assert form.spec == {"filter": typed}


def test_an_opening_that_filters_nothing_is_refused():
    """Trade filters open 10 to 25 µm, 1 to 5 µm above 1500 bar (common practice): a millimetre filters nothing here."""
    form = fields_for(Supply, {}, {"filter": "20 mm"}, only=["filter"])
    assert form.problems["filter"] == ["out of range; must be above 0 µm and at most 1000 µm"]


def test_the_unit_that_was_written_is_the_one_chosen_beside_it():
    rating = fields_for(Hose, {"rating": "14500 psi"})["rating"]
    assert rating.field.unit_in(rating.value()) == "psi"
    assert rating.field.unit_in("1000 BAR") == "bar"
    assert rating.field.unit_in("1000") == rating.field.unit_in(None) == ""
    both = fields_for(Hose, {}, {"rating": "1000", "rating-unit": "bar"})["rating"]
    assert both.field.unit_in(both.value()) == "bar"


def test_what_was_understood_is_said_in_the_usual_spelling():
    assert understood("850 BAR", "pressure") == "850 bar = 12\u202f330 psi"
    assert understood("25 micron", "length") == "25 µm = 0.025 mm"


def test_in_english_a_point_has_one_reading_and_it_is_said():
    said = "1.25 bar = 18.1 psi: the point stands before decimals, so this is not 1\u202f250 bar"
    assert understood("1.250 bar", "pressure") == said
    assert understood("1.25 bar", "pressure") == "1.25 bar = 18.1 psi"
    assert understood("0.125 L", "volume") == "0.125 L = 0.033 gal"


def test_in_spanish_each_reading_that_is_offered_may_be_typed():
    with speaking("es"):
        for typed in ("12,500 psi", "12,345 psi", "12.500 psi", "1.000 psi"):
            problems = fields_for(Hose, {}, {"rating": typed}).problems["rating"]
            offered = re.findall("«([^»]+)»", problems[0])
            assert len(offered) == 2
            for reading in offered:
                assert "rating" not in fields_for(Hose, {}, {"rating": reading}).problems


def test_a_power_curve_is_a_line_for_each_speed():
    form = fields_for(Engine, {}, {"power": "1500 rpm, 235 kW\n\n1800 rpm; 290 kW\n2100 rpm,310 kW"})
    assert form.is_valid(), form.problems
    assert form.spec == {"power": [["1500 rpm", "235 kW"], ["1800 rpm", "290 kW"], ["2100 rpm", "310 kW"]]}
    assert fields_for(Engine, form.spec)["power"].value() == "1500 rpm, 235 kW\n1800 rpm, 290 kW\n2100 rpm, 310 kW"
    assert "line 2" in fields_for(Engine, {}, {"power": "1 rpm, 2 kW\n1500 rpm"}).problems["power"][0]


def test_rows_left_empty_are_left_out_and_a_problem_stays_beside_its_row():
    data = {"kind": "other", "bore": "6 mm", "release": "none", "ports-2-tip": "R10", "ports-2-angle": "400 deg"}
    form = fields_for(Tool, {}, data)
    assert not form.is_valid()
    assert form.spec["ports"] == [{"tip": "R10", "angle": "400 deg"}]
    assert list(form.problems) == ["ports.2.angle"]


def test_a_check_of_the_whole_part_speaks_beside_its_field():
    form = fields_for(Tip, {}, {"bore": "1 mm"}, check=lambda spec: part_problems(spec, ("tips", "R10")))
    assert not form.is_valid()
    assert list(form.problems) == ["inlet"]


def test_two_forms_on_a_page_do_not_meet():
    data = {"a-full_scale": "1600 bar", "b-full_scale": "400 bar"}
    assert fields_for(Gauge, {}, data, prefix="a").is_valid()
    form = fields_for(Gauge, {}, data, prefix="b")
    assert form.is_valid()
    assert form.spec == {"full_scale": "400 bar"}


def test_yes_no_and_nothing_said_are_three_things():
    for typed, kept in (("yes", {"damper": True}), ("no", {"damper": False}), ("", {})):
        assert fields_for(Unit, {}, {"damper": typed}, only=["damper"]).is_valid()
        form = fields_for(Unit, {}, {"damper": typed}, only=["damper"])
        form.is_valid()
        assert form.spec == kept


def test_the_words_of_a_task_that_lacks_its_target_stand_above():
    form = fields_for(Task, {}, {"name": "One"}, check=lambda spec: part_problems(spec, ("task", 0)))
    assert not form.is_valid()
    assert "" in form.problems


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("14500 psi", "pressure", "14 500 psi = 1 000 bar"),
        ("900 bar", "pressure", "900 bar = 13 050 psi"),
        ("1 in", "length", "1 in = 25.4 mm"),
        ("20 m", "length", "20 m = 65.6 ft"),
        ("68 degF", "temperature", "68 °F = 20 °C"),
        ("400 rpm", "speed", "400 rpm"),
        ("30 deg back", "direction", "30 deg back = 150 deg"),
        ("18.9 L/min at 1000 bar", "flow_at", "18.9 L/min = 4.99 gpm at 1 000 bar = 14 500 psi"),
        ("9 mm", "pressure", "mm is the unit of a length, and a pressure belongs here"),
    ],
)
def test_what_was_typed_is_said_back(text, kind, words):
    assert understood(text, kind).replace("\u202f", " ").startswith(words)


def test_a_key_is_called_by_its_path():
    assert called("tips.R10.cd") == "R10: Discharge coefficient, where measured"
    assert called("hoses.S8.5-20.tails.bore") == "S8.5-20: End fittings: Bore of the end fittings"
    assert called("unit.relief") == "Relief devices"
    assert called("unit.pump.slip") == "Pump: Share of swept volume lost"
    assert called("unit.kits.P32.rating") == "P32: Highest pressure with these plungers"
    assert called("task.hazards.ignition") == "Hazards that the permit has not cleared: Something that could ignite"
    assert called(("task", 0, "branches", 1, "tool")) == "Branches 2: Tool"
    assert called(("task", 2, "hose_run", 0)) == "Hose run 1"
    assert called("no.such.key") == "no: such: key"


def test_no_refusal_on_a_page_names_a_key_of_a_file():
    keys = {key for table in TABLES for key in keys_of(table) if "_" in key}
    with SHIFT.open("rb") as file:
        spec = as_json(tomllib.load(file))["unit"]
    pump = {"start_speed": "110 rpm", "top_speed": "460 rpm", "rating": "1000 bar"}
    pumps = [
        pump,
        pump | {"flow_per_turn": "0.25 L", "plungers": 3, "plunger_diameter": "32 mm", "stroke": "110 mm"},
        pump | {"flow_per_turn": "0.25 L", "start_speed": "470 rpm"},
    ]
    tips = [{"bore": "1 mm"}, {"bore": "1 mm", "rated": "18 L/min at 900 bar", "inlet": "cone"}]
    found = [part_problems({**spec, "pump": one}, ("unit",)) for one in pumps]
    found += [part_problems(one, ("tips", "?")) for one in tips]
    for problems in found:
        assert problems
        for problem in problems:
            words = words_of(problem)
            assert not keys & set(re.findall(r"[a-z_]+", words)), words


def test_values_stand_by_their_path_with_what_they_are_called():
    facts = flat(Tool, {"release": "none", "dump": {"bore": "6 mm"}, "ports": [{"tip": "R10"}], "odd": 1})
    assert facts["release"] == ("What letting go does", "None")
    assert facts["dump.bore"] == ("Dump port: Bore of the dump port", "6 mm")
    assert facts["ports.1.tip"][1] == "R10"
    assert facts["odd"] == ("odd", "1")
    assert flat(Unit, {"shows": ["pump speed", "engine speed"]})["shows"][1] == "Pump speed; Engine speed"
