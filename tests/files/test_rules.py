"""Rule sets that ship, and a site's own: what is refused, each with its place, and what reading one gives."""

import dataclasses
import tomllib

import pytest

from jetwright.errors import FileError, Problem
from jetwright.files.job import read_job
from jetwright.files.rules import parse_rule_set, rule_set, site_rule_set
from jetwright.limits.rules import REFUSING, SORTS
from jetwright.report.problems import refusal_lines
from jetwright.rig.check import RULE_SETS
from jetwright.units import of

GENERIC = rule_set("eu-generic")
WHOLE = """name = "mine"
version = "1"
says = "Nobody's"

[bounds."recoil.supported"]
value = "250 N"
source = "a page"
standing = "regulation"
verified = true
"""


def refused(text):
    with pytest.raises(FileError) as caught:
        parse_rule_set(text, "mine.toml")
    return [(p.code, ".".join(map(str, p.key)), p.line) for p in caught.value.problems]


def site(folder, text, named="site.toml", parent=GENERIC):
    (folder / "site.toml").write_text(text)
    return site_rule_set(folder, named, parent)


def site_refused(folder, text, **more):
    with pytest.raises(FileError) as caught:
        site(folder, text, **more)
    return caught.value.problems


# the sets that ship


@pytest.mark.parametrize("name", RULE_SETS)
def test_every_set_carries_every_bound(name):
    rules = rule_set(name)
    assert rules.name == name
    assert set(rules.bounds) == set(SORTS)
    assert {(bound.quantity, bound.sense) for bound in rules.bounds.values()} <= {
        (sort.quantity, sort.sense) for sort in SORTS.values()
    }
    assert rules.says
    assert "[S" not in "".join(bound.source for bound in rules.bounds.values())


def test_each_set_is_a_file_and_each_file_a_set(root):
    assert {path.stem for path in (root / "src/jetwright/data/rules").glob("*.toml")} == set(RULE_SETS)


def test_a_set_nobody_knows():
    with pytest.raises(FileError) as caught:
        rule_set("../rules/no")
    assert [p.code for p in caught.value.problems] == ["unknown_name"]


NORWAY = "Norway, regulation on the performance of work, chapter 20"
GERMANY = "Germany, DGUV Regel 100-500 chapter 2.36, 3.7.5"
EN_1829 = "EN 1829-1:2010 5.2.2"


@pytest.mark.published(NORWAY)
@pytest.mark.parametrize("name", ["eu-generic", "no"])
def test_what_norway_says(name):
    """20-1: 150 N, 250 N, hold to run; 20-6: one tool, a rail; 20-9: tested every 12 months."""
    bounds = rule_set(name).bounds
    said = {"recoil.unsupported": 150.0, "recoil.supported": 250.0, "release.hold_to_run": 1.0, "recoil.hands": 1.0}
    said |= {"person.rail": 1.0, "hose.test_age": of(366.0, "d")}
    assert {identity: bounds[identity].value for identity in said} == said
    assert all(bounds[identity].refuses and "Norway" in bounds[identity].source for identity in said)


@pytest.mark.published(GERMANY)
def test_what_germany_says():
    bounds = rule_set("de").bounds
    assert (bounds["recoil.unsupported"].value, bounds["recoil.supported"].value) == (150.0, 250.0)
    assert bounds["recoil.supported"].source == GERMANY


@pytest.mark.published(EN_1829)
def test_what_the_machine_standard_says():
    """15 % above the rating, 10 % with a pulsation damper."""
    bounds = GENERIC.bounds
    assert (bounds["relief.over"].value, bounds["relief.over_damper"].value) == (0.15, 0.10)
    assert bounds["relief.over"].refuses


def test_a_country_without_rules_of_its_own_says_so():
    for name in ("uk", "no", "de", "us", "au"):
        assert "carried over from eu-generic" in rule_set(name).says
    assert rule_set("au").bounds == GENERIC.bounds


def test_only_what_was_read_in_a_rule_or_a_standard_refuses():
    for name in RULE_SETS:
        for bound in rule_set(name).bounds.values():
            assert bound.refuses == (bound.standing in REFUSING and bound.verified)


# what is wrong with a set


def test_a_whole_set_is_read():
    rules = parse_rule_set(WHOLE, "mine.toml")
    assert (rules.name, rules.bounds["recoil.supported"].value) == ("mine", 250.0)


@pytest.mark.parametrize(
    ("old", "new", "code", "key", "line"),
    [
        ('"recoil.supported"', '"recoil.suported"', "unknown_name", "bounds.recoil.suported", 5),
        ('"250 N"', "250", "bare_number", "bounds.recoil.supported.value", 6),
        ('"250 N"', '"250"', "missing_unit", "bounds.recoil.supported.value", 6),
        ('"250 N"', '"250 bar"', "other_kind", "bounds.recoil.supported.value", 6),
        ('"250 N"', '"-1 N"', "out_of_range", "bounds.recoil.supported.value", 6),
        ('"250 N"', "true", "wrong_type", "bounds.recoil.supported.value", 6),
        ('value = "250 N"\n', "", "missing_key", "bounds.recoil.supported.value", 5),
        ('source = "a page"\n', "", "missing_key", "bounds.recoil.supported.source", 5),
        ('"regulation"', '"law"', "not_one_of", "bounds.recoil.supported.standing", 8),
        ("verified = true", "verified = 1", "wrong_type", "bounds.recoil.supported.verified", 9),
        ("verified = true", "verified = true\nzzz = 1", "unknown_key", "bounds.recoil.supported.zzz", 10),
        ('version = "1"\n', "", "missing_key", "version", 1),
        ('version = "1"', 'version = "1"\nparent = "eu"', "unknown_name", "parent", 3),
        ('[bounds."recoil.supported"]', "[bounds", "bad_toml", "", 5),
    ],
)
def test_one_thing_wrong_is_the_one_thing_named(old, new, code, key, line):
    assert WHOLE.count(old) == 1
    assert refused(WHOLE.replace(old, new)) == [(code, key, line)]


@pytest.mark.parametrize(
    ("identity", "written", "value"),
    [
        ("hose.speed", '"20 m/s"', 20.0),
        ("hose.speed", '"50 ft/s"', 50.0 * 0.3048),
        ("hose.test_age", '"366 d"', 366.0 * 86400.0),
        ("hose.test_age", '"4380 h"', 4380.0 * 3600.0),
        ("hose.test_age", '"1e2 d"', 100.0 * 86400.0),
        ("hose.test_age", '"+1 d"', 86400.0),
        ("hose.test_age", '" 1  d "', 86400.0),
        ("hose.speed", '"2e1 m/s"', 20.0),
        ("heat.water", '"104 degF"', 313.15),
        ("relief.clear", "0.1", 0.1),
        ("person.stops", "2", 2.0),
        ("person.lance", '"48 in"', 1.2192),
    ],
)
def test_a_bound_in_its_units(identity, written, value):
    text = WHOLE.replace("recoil.supported", identity).replace('"250 N"', written)
    assert parse_rule_set(text, "mine.toml").bounds[identity].value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("identity", "written", "code"),
    [
        ("hose.speed", "20", "bare_number"),
        ("hose.speed", '"20"', "missing_unit"),
        ("hose.speed", '"20 bar"', "other_kind"),
        ("hose.speed", '"366 d"', "unknown_unit"),
        ("hose.test_age", '"12 months"', "unknown_unit"),
        ("relief.clear", '"10 %"', "wrong_type"),
        ("person.stops", "1.5", "wrong_type"),
        ("heat.water", '"-4 degC"', "out_of_range"),
        ("heat.water", '"101 degC"', "out_of_range"),
        ("hose.speed", f'"{"9" * 400} m/s"', "too_long"),
        ("hose.speed", '"1e999 m/s"', "absurd_number"),
        ("hose.speed", '"nan m/s"', "not_a_number"),
        ("hose.speed", '"101 m/s"', "out_of_range"),
        ("hose.test_age", '"1,5 d"', "decimal_comma"),
        ("hose.test_age", '"-1 d"', "out_of_range"),
        ("hose.test_age", '"3661 d"', "out_of_range"),
        ("heat.no_flow", '"99999999 d"', "out_of_range"),
        ("relief.clear", "5", "out_of_range"),
        ("relief.clear", "nan", "not_finite"),
        ("relief.clear", "1e400", "not_finite"),
        ("recoil.supported", '"6 kN"', "out_of_range"),
        ("person.stops", "1000000", "out_of_range"),
    ],
)
def test_a_bound_in_no_unit_of_its_kind(identity, written, code):
    text = WHOLE.replace("recoil.supported", identity).replace('"250 N"', written)
    assert refused(text) == [(code, f"bounds.{identity}.value", 6)]


@pytest.mark.parametrize(
    ("identity", "written", "said"),
    [
        ("hose.speed", '"-1 m/s"', "must be at least 0 m/s and at most 100 m/s"),
        ("hose.test_age", '"9999 d"', "must be at least 0 d and at most 3660 d"),
        ("relief.clear", "2", "must be at least 0 and at most 1"),
        ("person.lance", '"11 m"', "must be at least 0 m and at most 10 m"),
        ("hose.test_age", '"12 months"', "unknown unit “months”; accepted: s, min, h, d, as in “366 d”"),
    ],
)
def test_a_refused_bound_says_what_is_accepted(identity, written, said):
    with pytest.raises(FileError) as caught:
        parse_rule_set(WHOLE.replace("recoil.supported", identity).replace('"250 N"', written), "mine.toml")
    (line,) = refusal_lines(caught.value)
    assert said in line
    assert line.count("unknown") <= 1


@pytest.mark.parametrize("name", RULE_SETS)
def test_no_set_that_ships_carries_more_than_can_be_meant(name):
    assert all(0.0 <= bound.value <= SORTS[identity].at_most for identity, bound in rule_set(name).bounds.items())


def test_an_unknown_bound_names_the_nearest():
    with pytest.raises(FileError) as caught:
        parse_rule_set(WHOLE.replace("recoil.supported", "hose.testage"), "mine.toml")
    (problem,) = caught.value.problems
    assert problem.facts["nearest"] == "hose.test_age"
    assert set(problem.facts["known"]) == set(SORTS)


def test_every_problem_at_once():
    text = WHOLE.replace('"250 N"', '"250 bar"').replace('version = "1"\n', "").replace("true", "1")
    assert [code for code, *_ in refused(text)] == ["missing_key", "other_kind", "wrong_type"]


# a site's own

SITE = """name = "Pier"
version = "3"
adopted_by = "H. Moe"
parent = "eu-generic"
adopt = ["relief.clear_least"]

[bounds."recoil.supported"]
value = "200 N"
source = "site rule 4"
"""


def test_a_site_tightens_its_parent(tmp_path):
    rules = site(tmp_path, SITE)
    assert (rules.name, rules.version) == ("eu-generic + Pier", "1 + 3")
    bound = rules.bounds["recoil.supported"]
    assert (bound.value, bound.adopted, bound.refuses) == (200.0, "H. Moe", True)
    assert bound.source == f"site rule 4, tighter than {GENERIC.bounds['recoil.supported'].source}"
    assert rules.bounds["relief.clear_least"].refuses
    others = set(SORTS) - {"recoil.supported", "relief.clear_least"}
    assert all(rules.bounds[identity] == GENERIC.bounds[identity] for identity in others)


def test_a_bound_that_only_repeats_its_parent_adopts_it_and_keeps_its_source(tmp_path):
    text = SITE.replace("recoil.supported", "relief.clear").replace('"200 N"', "0.1")
    ours, theirs = site(tmp_path, text).bounds["relief.clear"], GENERIC.bounds["relief.clear"]
    assert not theirs.refuses
    assert ours == dataclasses.replace(theirs, adopted="H. Moe")


def test_a_bound_in_another_unit_is_the_same_bound(tmp_path):
    """250 N are 56.2022357736 lbf (NIST SP 811: 1 lbf = 4.4482216152605 N)."""
    rules = site(tmp_path, SITE.replace("200 N", "56.2022357736 lbf"))
    theirs = GENERIC.bounds["recoil.supported"]
    assert rules.looser == ()
    assert rules.bounds["recoil.supported"] == dataclasses.replace(theirs, adopted="H. Moe")


@pytest.mark.parametrize("factor", [1.0, 0.99])
def test_nobody_makes_a_set_read_by_writing_it_again(factor, tmp_path):
    """Every bound written again by the site, as it is or tighter: no more of them were read than before."""
    text = 'name = "Pier"\nversion = "1"\nadopted_by = "H. Moe"\n'
    for identity, bound in GENERIC.bounds.items():
        units = {"force": "N", "length": "m", "velocity": "m/s", "time": "s", "ratio": "", "count": ""}
        if bound.quantity not in units or (bound.quantity == "count" and factor != 1.0):
            continue
        value = bound.value * factor ** (1 if bound.sense == "most" else -1)
        said = f"{value:.12g} {units[bound.quantity]}".rstrip()
        said = (
            f'"{said}"' if units[bound.quantity] else f"{value:.0f}" if bound.quantity == "count" else f"{value:.12g}"
        )
        text += f'[bounds."{identity}"]\nvalue = {said}\nsource = "me"\n'
    rules = site(tmp_path, text)
    assert rules.looser == ()
    assert rules.verified_share <= GENERIC.verified_share
    assert (rules.verified_share == GENERIC.verified_share) == (factor == 1.0)


def test_what_strangers_write_is_not_printed_to_its_end(tmp_path):
    endless = "r" * 50_000
    text = SITE.replace('"200 N"', f'"1 {endless}"') + f'"{endless}" = 1\n'
    text += f'[bounds."{endless}"]\nvalue = 1\nsource = "x"\n'
    problems = site_refused(tmp_path, text)
    assert {problem.code for problem in problems} == {"unknown_key", "unknown_name", "too_long", "text_too_long"}
    assert max(len(line) for line in refusal_lines(FileError(problems))) < 1000 + len(str(tmp_path))


def test_a_list_that_was_cut_is_still_counted_to_its_end(reference, tmp_path, root):
    """6000 problems of the site's rules and one of the job: 100 are told, and that there are 5901 more."""
    (tmp_path / "yard.toml").write_bytes((root / "examples/reference/yard.toml").read_bytes())
    rows = "".join(f'[bounds."x{n}"]\nvalue = 1\nsource = "x"\n' for n in range(6000))
    (tmp_path / "site.toml").write_text(SITE + rows)
    (tmp_path / "job.toml").write_text('site_rules = "site.toml"\n' + reference.replace("plungers = 3", "plungers = 0"))
    with pytest.raises(FileError) as caught:
        read_job(tmp_path / "job.toml")
    *told, more = caught.value.problems
    assert (len(told), more.code, more.facts) == (100, "more_problems", {"count": 5901})


def test_a_looser_bound_is_not_taken(tmp_path):
    rules = site(tmp_path, SITE.replace("200 N", "300 N"))
    assert rules.bounds["recoil.supported"].value == 250.0
    assert [(one.id, one.asked, one.by) for one in rules.looser] == [("recoil.supported", 300.0, "H. Moe")]


@pytest.mark.parametrize(
    ("old", "new", "code", "key", "line"),
    [
        ('adopted_by = "H. Moe"\n', "", "missing_key", "adopted_by", 1),
        ('adopted_by = "H. Moe"', 'adopted_by = " "', "empty_text", "adopted_by", 3),
        *(
            ('adopted_by = "H. Moe"', f'adopted_by = "{unseen}"', "empty_text", "adopted_by", 3)
            for unseen in ("\u200b", "\ufeff", "\u061c", "\u3164", "\u00a0\u2003", "\u0301", "\uffa0\u200d")
        ),
        ('parent = "eu-generic"', 'parent = "no"', "other_parent", "parent", 4),
        ('"relief.clear_least"', '"relief.clear_lest"', "unknown_name", "adopt.0", 5),
        ('"200 N"', "200", "bare_number", "bounds.recoil.supported.value", 8),
        ('source = "site rule 4"\n', "", "missing_key", "bounds.recoil.supported.source", 7),
        ('source = "site rule 4"', 'source = "x"\nverified = true', "unknown_key", "bounds.recoil.supported.verified",
         10),
    ],
)  # fmt: skip
def test_a_sites_own_problems(old, new, code, key, line, tmp_path):
    assert SITE.count(old) == 1
    (problem,) = site_refused(tmp_path, SITE.replace(old, new))
    assert (problem.code, ".".join(map(str, problem.key)), problem.line) == (code, key, line)
    assert problem.file == str(tmp_path / "site.toml")


@pytest.mark.parametrize(
    ("named", "code"),
    [
        ("../site.toml", "rules_outside"),
        ("/etc/hostname", "rules_outside"),
        ("C:\\\\site.toml", "rules_outside"),
        ("..\\\\site.toml", "rules_outside"),
        ("link.toml", "yard_link"),
        ("linked/site.toml", "yard_link"),
        ("sub", "not_a_file"),
        ("nowhere.toml", "not_found"),
    ],
)
def test_a_path_that_leads_elsewhere(named, code, reference, tmp_path):
    """The same refusals as the yard file's, at the line of the job file that names it."""
    (tmp_path / "site.toml").write_text(SITE)
    here = tmp_path / "here"
    (here / "sub").mkdir(parents=True)
    (here / "yard.toml").write_text('[hoses.Y12-20]\nbore = "12 mm"\nlength = "20 m"\n')
    (here / "sub" / "site.toml").write_text(SITE)
    (here / "link.toml").symlink_to(here / "sub" / "site.toml")
    (here / "linked").symlink_to(here / "sub")
    (here / "job.toml").write_text(f'site_rules = "{named}"\n{reference}')
    with pytest.raises(FileError) as caught:
        read_job(here / "job.toml")
    (problem,) = caught.value.problems
    assert (problem.code, problem.key, problem.line) == (code, ("site_rules",), 1)
    assert problem.file == str(here / "job.toml")


def test_a_file_too_big_to_be_rules(tmp_path):
    (problem,) = site_refused(tmp_path, "#" * 300_000)
    assert (problem.code, problem.file) == ("too_large", str(tmp_path / "site.toml"))


def test_a_job_is_refused_for_its_own_and_for_its_sites_problems(reference, tmp_path, root):
    (tmp_path / "yard.toml").write_bytes((root / "examples/reference/yard.toml").read_bytes())
    (tmp_path / "site.toml").write_text(SITE.replace('"200 N"', "200"))
    (tmp_path / "job.toml").write_text('site_rules = "site.toml"\n' + reference.replace("plungers = 3", "plungers = 0"))
    with pytest.raises(FileError) as caught:
        read_job(tmp_path / "job.toml")
    assert sorted((p.code, p.file.rpartition("/")[2]) for p in caught.value.problems) == [
        ("bare_number", "site.toml"),
        ("out_of_range", "job.toml"),
    ]


def test_the_reference_jobs_site(root):
    folder = root / "examples" / "reference"
    file = read_job(folder / "job.toml")
    rules = site_rule_set(folder, file.job.site_rules, rule_set(file.job.rule_set))
    written = tomllib.loads((folder / "site.toml").read_text())
    assert rules.looser == ()
    assert {identity for identity, bound in rules.bounds.items() if bound.adopted} == {
        *written["adopt"],
        *written["bounds"],
    }
    found = file.locate(Problem(("site_rules",), "not_found"))
    assert dataclasses.astuple(found)[2] == "site.toml"
