"""What a job file is refused for, each with its place, and what reading one gives."""

import dataclasses
import datetime
import os
import pickle
import time

import pytest

from jetwright.errors import FileError, Problem
from jetwright.files.job import read_job
from jetwright.rig.check import check


def changed(text, old, new):
    """The text with one passage changed, and the line on which it stands."""
    assert text.count(old) == 1
    return text.replace(old, new), text[: text.index(old)].count("\n") + 1


ONE_WRONG = {  # name: what stands there, what is put in its place, code, key, facts
    "missing unit": ('length = "12 m"', 'length = "12"', "missing_unit", "supply.hose.length", {"kind": "length"}),
    "bare number": ('length = "12 m"', "length = 12", "bare_number", "supply.hose.length", {"example": "20 m"}),
    "decimal comma": ('"18 mm2"', '"1,8 mm2"', "decimal_comma", "unit.bypass.full_open_area",
                      {"readings": ["1.8 mm2", "18 mm2"]}),
    "thousands": ('"20000 psi"', '"20,000 psi"', "ambiguous_thousands", "unit.gauge.full_scale", {}),
    "not a number": ('"18 mm2"', '"nan mm2"', "not_a_number", "unit.bypass.full_open_area", {"units": ["mm2", "in2"]}),
    "not a number, bare": ("clearance = 1.3", "clearance = nan", "not_finite", "unit.pump.clearance", {}),
    "endless, bare": ("turns = 5", "turns = inf", "not_finite", "unit.bypass.turns", {}),
    "negative length": ('length = "12 m"', 'length = "-12 m"', "out_of_range", "supply.hose.length",
                        {"above": "0 m", "at_most": "5000 m"}),
    "unit of another kind": ('length = "12 m"', 'length = "12 bar"', "other_kind", "supply.hose.length",
                             {"unit_kind": "pressure"}),
    "unknown unit": ('"10 m3/h"', '"10 m3/hr"', "unknown_unit", "supply.flow", {"nearest": "m3/h"}),
    "absolute pressure": ('pressure = "4 bar"', 'pressure = "4 bar abs"', "absolute_pressure", "supply.pressure", {}),
    "half a rated pair": ('"19 L/min at 1000 bar"', '"19 L/min"', "missing_at", "tips.C12.rated", {}),
    "empty rated pair": ('"19 L/min at 1000 bar"', '"19 L/min at 0 bar"', "out_of_range", "tips.C12.rated", {}),
    "supply below freezing": ('"15 degC"', '"-1 degC"', "out_of_range", "supply.temperature", {"at_least": "0 degC"}),
    "unknown hose": ('["Y12-20"]', '["Y12-02"]', "unknown_name", "task.3.hose_run.0",
                     {"nearest": "Y12-20", "noun": "hose or fitting"}),
    "unknown tool": ('tool = "spinner"', 'tool = "spiner"', "unknown_name", "task.2.tool", {"nearest": "spinner"}),
    "unknown tip": ('ports = [{ tip = "A10" }]', 'ports = [{ tip = "A01" }]', "unknown_name", "tools.gun.ports.0.tip",
                    {"noun": "tip"}),
    "unknown kit": ('kit = "P28"', 'kit = "P29"', "unknown_name", "unit.pump.kit", {"noun": "kit"}),
    "unknown key": ("clearance = 1.3", "clearence = 1.3", "unknown_key", "unit.pump.clearence",
                    {"nearest": "clearance", "table": "unit.pump"}),
    "unknown key nobody means": ("damper = true", "damper = true\nzzz = 1", "unknown_key", "unit.zzz", {"nearest": ""}),
    "required key misspelt": ('top_speed = "520 rpm"', 'top_sped = "520 rpm"', "unknown_key", "unit.pump.top_sped",
                              {"nearest": "top_speed"}),
    "unknown table": ("[unit.gauge]", "[unit.gage]", "unknown_key", "unit.gage", {"nearest": "gauge"}),
    "text for a ratio": ("clearance = 1.3", 'clearance = "1.3"', "wrong_type", "unit.pump.clearance",
                         {"expected": "number", "got": "text"}),
    "text for a count": ("plungers = 3", 'plungers = "3"', "wrong_type", "unit.pump.plungers", {"expected": "count"}),
    "yes for a count": ("plungers = 3", "plungers = true", "wrong_type", "unit.pump.plungers", {"got": "yes_no"}),
    "half a plunger": ("plungers = 3", "plungers = 3.5", "wrong_type", "unit.pump.plungers", {"got": "number"}),
    "no plungers": ("plungers = 3", "plungers = 0", "out_of_range", "unit.pump.plungers", {"at_least": "1"}),
    "word for yes": ("damper = true", 'damper = "yes"', "wrong_type", "unit.damper", {"expected": "yes_no"}),
    "text for a date": ("tested = 2026-03-14", 'tested = "2026-03-14"', "wrong_type", "hoses.M8-15.tested",
                        {"expected": "date"}),
    "time for a date": ("tested = 2026-03-14", "tested = 2026-03-14 07:00:00", "wrong_type", "hoses.M8-15.tested",
                        {"got": "time"}),
    "text for a table": ('target = { flow = "40 L/min" }', 'target = "40 L/min"', "wrong_type", "task.2.target",
                         {"expected": "table", "got": "text"}),
    "text for a list": ('hose_run = ["Y12-20"]', 'hose_run = "Y12-20"', "wrong_type", "task.3.hose_run",
                        {"expected": "list"}),
    "three in a pair": ('["1200 rpm", "180 kW"]', '["1200 rpm", "180 kW", 1]', "wrong_type", "unit.engine.power.0",
                        {"expected": "pair"}),
    "word nobody knows": ('kind = "hydrostatic"', 'kind = "hydrostatc"', "not_one_of", "unit.drive.kind",
                          {"nearest": "hydrostatic", "known": ["hydrostatic", "direct"]}),
    "no ports": ('ports = [{ tip = "A10" }]', "ports = []", "too_few", "tools.gun.ports", {"least": 1}),
    "empty title": ('title = "Reference rig, every key once"', 'title = " "', "empty_text", "title", {}),
    "escape in a title": ("Reference rig,", r"\u001b[31m,", "control_character", "title", {}),
    "long title": ("Reference rig,", "x" * 300, "text_too_long", "title", {"limit": 200}),
    "branch without tool": ('{ hose_run = ["M8-15"], tool = "gun" }', '{ hose_run = ["M8-15"] }', "missing_key",
                            "task.1.branches.0.tool", {"name": "tool"}),
    "two targets": ('{ flow = "40 L/min" }', '{ flow = "40 L/min", pump_pressure = "600 bar" }', "two_targets",
                    "task.2.target", {"given": ["pump_pressure", "flow"]}),
    "tip larger than its tool": ('{ tip = "A08", count = 1 }', '{ tip = "huge" }\n]\n[tips.huge]\nbore = "9 mm"\n'
                                 'inlet = "cone"\n#', "tip_larger_than_tool", "tools.held-lance.ports.0.tip", {}),
    "hand lance on a carrier without holder": ('holder = "rail carrier"\n', "", "missing_holder",
                                               "tools.held-lance.holder", {"held_by": "carrier"}),
    "empty name": ("[hoses.M8-15]", '[hoses.""]\nbore = "8 mm"\nlength = "2 m"\n[hoses.M8-15]', "empty_text",
                   "hoses.", {}),
    "hose named as a fitting": ("[fittings.tee]", '[fittings.M8-15]\nbore = "9 mm"\n[fittings.tee]', "same_name",
                                "fittings.M8-15", {"name": "M8-15"}),
    "word for a tag": ("traceable = true", 'traceable = "yes"', "wrong_type", "hoses.M8-15.traceable",
                       {"expected": "yes_no"}),
    "text for stops": ('stops = ["trigger", "pump operator", "remote"]', 'stops = "trigger"', "wrong_type",
                       "task.0.stops", {"expected": "list"}),
    "an empty stop": ('"pump operator", "remote"]', '""]', "empty_text", "task.0.stops.1", {}),
    "text for the day": ("date = 2026-05-12", 'date = "Tuesday"', "wrong_type", "date", {"expected": "date"}),
    "a hazard nobody knows": ("ignition = false", "ignitions = false", "unknown_key", "task.0.hazards.ignitions",
                              {"nearest": "ignition"}),
    "a hazard in words": ("product = false", 'product = "acid"', "wrong_type", "task.0.hazards.product",
                          {"expected": "yes_no"}),
    "half a whip check": ("whip_checks = 12", "whip_checks = 1.5", "wrong_type", "restraints.whip_checks",
                          {"expected": "count"}),
    "fewer than none": ("shrouds = 2", "shrouds = -1", "out_of_range", "restraints.shrouds", {"at_least": "0"}),
    "a rule set nobody knows": ('rule_set = "eu-generic"', 'rule_set = "eu"', "unknown_name", "rule_set",
                                {"noun": "rule set"}),
    "huge bare number": ("clearance = 1.3", "clearance = 1e200", "out_of_range", "unit.pump.clearance", {}),
}  # fmt: skip


@pytest.mark.parametrize("name", ONE_WRONG)
def test_one_thing_wrong_is_the_one_thing_named(name, reference, problems_of):
    old, new, code, key, facts = ONE_WRONG[name]
    text, line = changed(reference, old, new)
    if name == "hand lance on a carrier without holder":
        line = reference[: reference.index("[tools.held-lance]")].count("\n") + 1  # of its table
    if name == "unknown key nobody means":
        line += 1
    (problem,) = problems_of(text)
    assert (problem.code, ".".join(map(str, problem.key)), problem.line) == (code, key, line)
    assert problem.file.endswith("job.toml")
    assert facts.items() <= problem.facts.items()


def test_a_key_that_slid_into_the_wrong_table(reference, problems_of):
    text = reference.replace('returns_to = "tank"\n', "")
    text, line = changed(text, 'set = "1250 bar"\n', 'set = "1250 bar"\nreturns_to = "tank"\n')
    (problem,) = problems_of(text)
    assert (problem.code, problem.line, problem.written) == ("unknown_key", line + 1, "returns_to")
    assert problem.facts["table"] == "unit.relief"
    assert problem.facts["belongs"] == "unit.bypass"


def test_a_key_of_the_top_that_slid_into_a_table(reference, problems_of):
    text = reference.replace('altitude = "120 m"\n', "")
    text, line = changed(text, 'flow = "10 m3/h"\n', 'flow = "10 m3/h"\naltitude = "120 m"\n')
    (problem,) = problems_of(text)
    assert (problem.code, problem.line, problem.facts["belongs"]) == ("unknown_key", line + 1, "")


def test_what_a_slid_key_says_is_checked_where_it_belongs(reference, problems_of):
    text = reference.replace('returns_to = "tank"\n', "")
    text, line = changed(text, 'set = "1250 bar"\n', 'set = "1250 bar"\nreturns_to = "tnak"\n')
    assert [(p.code, p.line) for p in problems_of(text)] == [("not_one_of", line + 1), ("unknown_key", line + 1)]


def test_every_problem_at_once(reference, problems_of):
    """Unreadable values, keys and what does not fit together, in one list, in the order of their lines."""
    expected = []
    text = reference
    for name in (
        "decimal comma",
        "unknown tool",
        "unknown key",
        "two targets",
        "word nobody knows",
        "text for a count",
    ):
        if name == "two targets":
            old, new = 'pump_pressure = "600 bar"', 'pump_pressure = "600 bar", flow = "9 L/min"'
            text, line = changed(text, old, new)
        else:
            old, new, *_ = ONE_WRONG[name]
            text, line = changed(text, old, new)
        expected.append((line, "two_targets" if name == "two targets" else ONE_WRONG[name][2]))
    assert [(p.line, p.code) for p in problems_of(text)] == sorted(expected)


def test_a_value_that_cannot_be_read_brings_no_second_problem(reference, problems_of):
    text, line = changed(reference, 'bore = "0.8 mm"', 'bore = "0,8 mm"')
    assert [(p.line, p.code) for p in problems_of(text)] == [(line, "decimal_comma")]


def test_a_missing_key_is_named_at_its_table(reference, problems_of):
    text = reference.replace('top_speed = "520 rpm"\n', "").replace('pressure = "4 bar"\n', "")
    pump, supply = (text[: text.index(header)].count("\n") + 1 for header in ("[unit.pump]", "[supply]"))
    problems = problems_of(text)
    assert [(p.line, p.key) for p in problems] == [
        (supply, ("supply", "pressure")),
        (pump, ("unit", "pump", "top_speed")),
    ]
    assert problems[0].facts == {
        "table": "supply", "name": "pressure", "kind": "pressure", "units": ["bar", "kPa", "MPa", "psi", "ksi"],
        "example": "25 bar",
    }  # fmt: skip


REQUIRED = {  # the contract's list
    "": ("title", "supply", "unit", "task"),
    "supply": ("pressure", "flow", "temperature"),
    "unit": ("name", "drive", "pump", "bypass"),
    "unit.pump": ("rating", "start_speed", "top_speed"),
}


def test_an_empty_file_lacks_what_the_contract_requires(problems_of):
    assert {p.key for p in problems_of("")} == {(name,) for name in REQUIRED[""]}
    text = "title = 'x'\n[supply]\n[unit]\n[[task]]\nname = 'y'\ntarget = {flow = '9 L/min'}\n"
    missing = {(*p.key[:-1], p.key[-1]) for p in problems_of(text) if p.code == "missing_key"}
    assert {("supply", key) for key in REQUIRED["supply"]} | {("unit", key) for key in REQUIRED["unit"]} <= missing


@pytest.mark.parametrize(
    ("made", "code"),
    [
        (b"#" * 300_000, "too_large"),
        (bytes(range(256)) * 40, "binary"),
        (b"title = '\xff\xfe'", "not_utf8"),
        (".".join(["a"] * 20_000).encode() + b" = 1", "too_deep"),
        (b"[" + ".".join(["a"] * 20_000).encode() + b"]", "too_deep"),
        (b"a = " + b"[" * 5_000 + b"]" * 5_000, "too_deep"),
        (b"[" * 5_000, "too_deep"),
        (b"a = " + b"{a=" * 5_000, "too_deep"),
        (b"a = " + b"9" * 9_000, "bad_toml"),
        (b"\n\ntitle = 'x", "bad_toml"),
        (b"title = 'x'\n= 3", "bad_toml"),
    ],
    ids=["300 kB", "rubbish", "not UTF-8", "20,000-part key", "20,000-part header", "5,000 brackets", "open brackets",
         "braces", "9,000 digits", "open text", "no key"],
)  # fmt: skip
def test_what_is_no_job_file_at_all(made, code, problems_of):
    started = time.perf_counter()
    (problem,) = problems_of(made)
    assert problem.code == code
    assert time.perf_counter() - started < 2.0


def test_the_largest_file_still_read(problems_of):
    codes = {p.code for p in problems_of(b"#" * (256 * 1024))}
    assert codes == {"missing_key"}


def test_no_file_a_folder_and_a_pipe(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path, code in ((tmp_path / "none", "not_found"), (tmp_path, "not_a_file"), (tmp_path / "pipe", "not_a_file")):
        with pytest.raises(FileError) as caught:
            read_job(path)
        assert [p.code for p in caught.value.problems] == [code]


@pytest.mark.parametrize(
    ("old", "new", "reason", "down"),
    [
        ('stroke = "100 mm"', 'stroke = "100 mm', "text", 0),
        ('stroke = "100 mm"', 'stroke "100 mm"', "key", 0),
        ('stroke = "100 mm"', "stroke = 100 mm", "line", 0),
        ('stroke = "100 mm"', 'stroke = "100 mm"\nstroke = "90 mm"', "written_twice", 1),
        ("[unit.tank]", "[unit.tank", "line", 0),
        ("[unit.tank]", "[unit.gauge]", "written_twice", 0),
        ('ports = [{ tip = "A10" }]', 'ports = [{ tip = "A10" }', "list", 0),
        ('shows = ["pump speed", "engine speed"]', 'shows = ["pump speed", "engine speed",', "value", 0),
        ('["1200 rpm", "180 kW"],', '["1200 rpm", "180 kW"]', "list", 0),
        ("tested = 2026-03-14", "tested = 2026-02-30", "value", 0),
        ("clearance = 1.3", "clearance = 1,3", "line", 0),
    ],
)
def test_syntax_is_refused_at_its_line(old, new, reason, down, reference, problems_of):
    text, line = changed(reference, old, new)
    (problem,) = problems_of(text)
    assert (problem.code, problem.facts["reason"], problem.line) == ("bad_toml", reason, line + down)


def test_long_lists_of_problems_are_cut(problems_of):
    text = "".join(f"k{n} = 1\n" for n in range(20_000))
    started = time.perf_counter()
    problems = problems_of(text)
    assert len(problems) == 101
    assert problems[-1].code == "more_problems"
    assert problems[-1].facts["count"] >= 19_900
    assert time.perf_counter() - started < 5.0


# the yard


@pytest.mark.parametrize(
    ("named", "code"),
    [
        ("../yard.toml", "yard_outside"),
        ("sub/../../yard.toml", "yard_outside"),
        ("/etc/hostname", "yard_outside"),
        ("C:\\\\yard.toml", "yard_outside"),
        ("..\\\\yard.toml", "yard_outside"),
        ("", "empty_text"),
        ("link.toml", "yard_link"),
        ("linked/yard.toml", "yard_link"),
        ("sub", "not_a_file"),
        ("nowhere.toml", "not_found"),
        ("nowhere/yard.toml", "not_found"),
        ("yard\\u0000.toml", "control_character"),
    ],
)
def test_a_yard_path_that_leads_elsewhere(named, code, reference, tmp_path, root):
    (tmp_path / "yard.toml").write_text("")
    here = tmp_path / "here"
    (here / "sub").mkdir(parents=True)
    (here / "sub" / "yard.toml").write_text("")
    (here / "link.toml").symlink_to(here / "sub" / "yard.toml")
    (here / "linked").symlink_to(here / "sub")
    text, line = changed(reference, 'yard = "yard.toml"', f'yard = "{named}"')
    (here / "job.toml").write_text(text)
    with pytest.raises(FileError) as caught:
        read_job(here / "job.toml")
    (problem,) = caught.value.problems
    assert (problem.code, problem.key, problem.line) == (code, ("yard",), line)
    assert problem.file == str(here / "job.toml")


def test_a_yard_in_a_folder_below(reference, tmp_path, root):
    (tmp_path / "sub").mkdir()
    (tmp_path / "sub" / "yard.toml").write_bytes((root / "examples/reference/yard.toml").read_bytes())
    (tmp_path / "job.toml").write_text(reference.replace('"yard.toml"', '"sub/yard.toml"'))
    assert read_job(tmp_path / "job.toml").job.tips["Y15"].bore == pytest.approx(1.5e-3)


def test_rows_are_taken_whole_and_the_job_file_wins(reference, tmp_path):
    (tmp_path / "yard.toml").write_text(
        '[hoses.Y12-20]\nbore = "12 mm"\nlength = "20 m"\n'
        '[hoses.M8-15]\nbore = "7 mm"\nlength = "9 m"\ncount = 99\n'
        '[unit.tank]\nvolume = "9 L"\nusable = "1 L"\n'
        '[unit.kits.P99]\nplunger_diameter = "9 mm"\nrating = "9 bar"\n'
    )
    text = reference.replace("count = 6\n", "").replace('usable = "400 L"\n', "")
    (tmp_path / "job.toml").write_text(text)
    job = read_job(tmp_path / "job.toml").job
    assert job.hoses["Y12-20"].length == 20.0
    assert (job.hoses["M8-15"].length, job.hoses["M8-15"].count) == (15.0, 1)
    assert job.unit.tank.usable is None
    assert set(job.unit.kits) == {"P28", "P35"}


def test_a_unit_may_come_from_the_yard_by_its_tables(reference, tmp_path, root):
    start, end = reference.index("[unit.gauge]"), reference.index("[unit.tank]")
    yard = (root / "examples/reference/yard.toml").read_text()
    (tmp_path / "yard.toml").write_text(yard + reference[start:end].replace("class = 1.0", "class = 99"))
    (tmp_path / "job.toml").write_text(reference[:start] + reference[end:])
    with pytest.raises(FileError) as caught:
        read_job(tmp_path / "job.toml")
    (problem,) = caught.value.problems
    assert (problem.code, problem.key) == ("out_of_range", ("unit", "gauge", "class"))
    assert problem.file == str(tmp_path / "yard.toml")
    assert problem.line == yard.count("\n") + 3


@pytest.mark.parametrize(
    ("yard", "code", "line"),
    [
        ("[hoses.Y12-20]\nbore = 12\n", "bare_number", 2),
        ("[hoses.Y12-20\n", "bad_toml", 1),
        ("\n[[task]]\nname = 'x'\n", "not_in_a_yard", 2),
        ("\nhoses = 3\n", "wrong_type", 2),
        ("#" * 300_000, "too_large", 0),
        ("a = " + "[" * 5_000, "too_deep", 1),
    ],
)
def test_a_yard_has_problems_of_its_own(yard, code, line, reference, tmp_path):
    (tmp_path / "yard.toml").write_text(yard)
    (tmp_path / "job.toml").write_text(reference)
    with pytest.raises(FileError) as caught:
        read_job(tmp_path / "job.toml")
    ours = [p for p in caught.value.problems if p.file == str(tmp_path / "yard.toml")]
    assert (code, line) in [(p.code, p.line) for p in ours]


def test_an_unreadable_yard_does_not_hide_the_jobs_own_problems(reference, tmp_path):
    (tmp_path / "yard.toml").write_text("[")
    text, line = changed(reference, "plungers = 3", "plungers = true")
    (tmp_path / "job.toml").write_text(text)
    with pytest.raises(FileError) as caught:
        read_job(tmp_path / "job.toml")
    assert [(p.code, p.line) for p in caught.value.problems] == [("wrong_type", line), ("bad_toml", 1)]


# what is read


def test_the_reference_job_is_read(root):
    file = read_job(root / "examples/reference/job.toml")
    job = file.job
    assert job.supply.flow == pytest.approx(10.0 / 3600.0)
    assert job.unit.relief[0].tested == datetime.date(2026, 1, 20)
    assert job.unit.gauge.accuracy == 1.0
    assert job.tools["spinner"].loss_k == 4.0
    assert job.task[1].branches[0].rise is None
    assert job.hoses["M10-10"].bore == pytest.approx(0.010)
    assert (job.date, job.site_rules) == (datetime.date(2026, 5, 12), "site.toml")
    assert job.supply.filter == pytest.approx(25e-6)
    assert (job.unit.remote, job.unit.bypass.loop) == (True, pytest.approx(0.55))
    assert [job.hoses[name].traceable for name in ("M8-15", "M10-10")] == [True, None]
    assert (job.restraints.whip_checks, job.restraints.shrouds) == (12, 2)
    assert (job.task[0].stops, job.task[0].remote_tested) == (("trigger", "pump operator", "remote"), True)
    assert (job.task[0].operator.guard_rail, job.task[0].hazards.product) == (True, False)
    assert (job.task[1].stops, job.task[1].remote_tested, job.task[1].hazards) == ((), None, None)
    for index in range(len(job.task)):
        check(job, index)


def test_what_was_written_is_kept(root):
    file = read_job(root / "examples/reference/job.toml")
    assert file.written["unit"]["gauge"]["full_scale"] == "20000 psi"
    assert file.written["hoses"]["Y12-20"]["length"] == "20 m"
    assert file.written["unit"]["engine"]["power"][1] == ("1500 rpm", "240 kW")
    with pytest.raises(TypeError):
        file.written["title"] = "x"
    with pytest.raises(dataclasses.FrozenInstanceError):
        file.job.title = "x"


def test_a_problem_of_the_core_is_given_its_place(root):
    path = root / "examples/reference/job.toml"
    file = read_job(path)
    lines = path.read_text().split("\n")
    found = file.locate(Problem(("tools", "spinner", "ports", 1, "angle"), "too_steep"))
    assert (found.file, found.written) == (str(path), "30 deg back")
    assert '"30 deg back"' in lines[found.line - 1]
    lacking = file.locate(Problem(("unit", "drive", "ratio"), "missing_key"))
    assert lines[lacking.line - 1] == "[unit.drive]"
    yard = file.locate(Problem(("hoses", "Y12-20", "bore"), "too_wide"))
    assert yard.file == str(path.with_name("yard.toml"))
    assert (yard.line, yard.written) == (3, "12 mm")


def test_a_windows_file_is_read_alike(reference, problems_of):
    assert problems_of(b"\xef\xbb\xbf" + reference.replace("\n", "\r\n").encode()) == []
    text, line = changed(reference, 'length = "12 m"', 'length = "12"')
    assert [p.line for p in problems_of(text.replace("\n", "\r\n"))] == [line]


def test_problems_survive_another_process(reference, problems_of):
    problems = problems_of(reference.replace('"12 m"', '"12"'))
    assert pickle.loads(pickle.dumps(problems)) == problems
