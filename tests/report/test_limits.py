"""The words of limits: every id, remedy, cure, bound and code of the core has them, and they say by how much."""

import ast
import re
from dataclasses import replace

import pytest

from jetwright.limits.cleaned import stripes, threshold, withstands
from jetwright.limits.limit import Cure, Limit, judge
from jetwright.limits.rules import SORTS, Bound
from jetwright.plan.cures import Search
from jetwright.report.limits import (
    MISSING,
    NAMES,
    filled,
    limit_figures,
    limit_title,
    margin_words,
    missing_words,
    not_judged_words,
    part_name,
    source_words,
    standing_words,
)
from jetwright.report.remedies import CHANGED, CURES, DERIVED, REMEDIES, SHARES, UNITS, cure_words, remedy_sentence
from jetwright.report.wording import BOUNDS, LETTING_GO
from jetwright.rig.description import Gauge
from jetwright.rig.example import JOB
from tests.contract.source import PACKAGE, ROOT
from tests.contract.test_docs import RULE_ID

NO_FACTS = {
    *("supply.water", "supply.npsh", "supply.npsh_margin", "supply.vortex", "supply.hydrant"),
    *("task.operator", "task.hazards", "task.branches", "unit.remote", "unit.pump"),
}
"""Ids of limits, and what a limit is about: no facts that lack."""

CODE = re.compile(r"[a-z_]+\.[a-z_]+(/[a-z_]+)*")
FIELD = re.compile(r"\{(\w+)\}")


def trees(*folders):
    for folder in folders:
        for path in sorted((PACKAGE / folder).rglob("*.py")):
            if path.name != "rules.py":
                yield ast.parse(path.read_text(encoding="utf-8"))


def judged():
    """Ids of limits that stand in the source."""
    topics = {name.split(".")[0] for name in NAMES}
    return {
        node.value
        for tree in trees("limits")
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and RULE_ID.match(node.value)
        and node.value.split(".")[0] in topics
    }


def remedies():
    """Codes that stand behind `remedy` in the source, and the ends of those that are put together there."""
    whole, ends = set(), set()
    for tree in trees("limits", "plan/judging"):
        for node in ast.walk(tree):
            named = [k.value for k in node.keywords if k.arg == "remedy"] if isinstance(node, ast.Call) else []
            if isinstance(node, ast.Assign) and any(isinstance(t, ast.Name) and t.id == "remedy" for t in node.targets):
                named.append(node.value)
            for value in (inner for one in named for inner in ast.walk(one)):
                if isinstance(value, ast.Constant) and isinstance(value.value, str):
                    if CODE.fullmatch(value.value):
                        whole.add(value.value)
                    elif value.value.startswith("/"):
                        ends.add(value.value)
    return whole, ends


def test_every_limit_has_a_name():
    assert sorted(set(judged()) - set(NAMES)) == []
    assert sorted({name.split("/")[0] for name in NAMES} - set(judged())) == []


def test_every_limit_says_what_to_do():
    spoken = {code.split("/")[0] for code in REMEDIES}
    assert sorted(set(judged()) - spoken) == []
    assert sorted(spoken - set(judged())) == []


def test_every_remedy_of_the_source_has_words():
    whole, ends = remedies()
    assert len(whole) > 30
    assert sorted(whole - set(REMEDIES)) == []
    assert sorted(end for end in ends if not any(code.endswith(end) for code in REMEDIES)) == []


def test_a_remedy_names_only_figures_that_somebody_gives():
    given = {"value", "bound", "over", "push", *(f"{share}_share" for share in SHARES)}
    for tree in trees("limits", "plan"):
        for node in ast.walk(tree):
            if isinstance(node, ast.Dict):
                given |= {key.value for key in node.keys if isinstance(key, ast.Constant)}
            if isinstance(node, ast.Subscript) and isinstance(node.slice, ast.Constant):
                given.add(node.slice.value)
    derived = {"most", "lower", "needs", "when", "ratings", "place", "opening"}
    for code, template in REMEDIES.items():
        assert set(FIELD.findall(template)) <= given | (derived if code.split("/")[0] in DERIVED else set()), code
    assert set(UNITS) <= given


def test_every_kind_of_cure_has_words():
    kinds, words = set(), set()
    tree = ast.parse((PACKAGE / "plan" / "cures.py").read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Cure":
            kinds.add(node.args[0].value)
            if isinstance(node.args[2], ast.Constant) and node.args[2].value == "":
                words |= {one.value for one in node.args[3:5] if isinstance(one, ast.Constant) and one.value}
    assert Search is not None
    assert sorted(kinds - set(CURES)) == []
    assert sorted(words - set(CHANGED) - {"body rest"}) == []


def test_every_bound_of_a_rule_set_has_words():
    assert set(BOUNDS) == set(SORTS)


def test_every_way_of_letting_go_has_words():
    from typing import get_args

    from jetwright.plan.release import What

    assert {code.split("/")[0] for code in LETTING_GO} == set(get_args(What))


def test_nobody_is_told_to_touch_a_relief():
    for code, template in (REMEDIES | CURES).items():
        assert not re.search(r"adjust|turn (up|down)|re-?set|back off", template, re.IGNORECASE), code
        if re.search(r"relief.*(fitted|marked)|fitted.*relief", template):
            assert "competent person" in template, code


def test_a_remedy_says_by_how_much():
    from jetwright.limits.machine import pump_speed

    said = remedy_sentence(pump_speed(656.0 / 60.0, 500.0 / 60.0))
    assert "656 rpm" in said
    assert "156 rpm more than top speed" in said
    from jetwright.limits.relief import relief_clear

    tenth = Bound(0.10, "ratio", "least", "common practice", "common practice", False)
    close = relief_clear(1080e5, 1150e5, tenth, None)
    assert remedy_sentence(close).startswith("Plan 45.0 bar lower, 1035 bar at the gauge")
    assert remedy_sentence(close, "us").startswith("Plan 653 psi lower, 15010 psi at the gauge")


def test_a_remedy_is_no_finer_than_the_gauge():
    from jetwright.limits.relief import relief_clear

    unit = replace(JOB.unit, gauge=Gauge(1600e5, 1.6, 20e5))
    tenth = Bound(0.10, "ratio", "least", "common practice", "common practice", False)
    near = relief_clear(1035.4e5, 1150e5, tenth, None)
    assert remedy_sentence(near, "si", unit).startswith("Plan 10 bar lower, 1030 bar at the gauge")
    cure = Cure("target", "task.target", "pressure", 900e5, 843e5, {"nozzle": 843e5, "pump_pressure": 904e5})
    assert cure_words(cure, "si", unit).endswith("gauge 900 bar")
    assert cure_words(cure).endswith("gauge 904 bar")


def test_a_margin_is_no_sillier_than_a_person():
    assert margin_words(judge("recoil.hand", 150.01, 150.0, "force", "NO 20-1")) == "at the bound"
    assert margin_words(judge("recoil.hand", 150.0, 150.0, "force", "NO 20-1")) == "at the bound"
    assert margin_words(judge("rating.working", 3608e5, 1100e5, "pressure", "plate")) == "far over"
    assert margin_words(judge("rating.working", 300e5, 1100e5, "pressure", "plate", least=True)) == "73 % short"
    assert margin_words(judge("supply.hydrant", -2.14, 0.05, "flow", "physics", least=True)) == "far short"
    assert "%" not in limit_figures(judge("relief.clear", -2.14, 0.05, "ratio", "plate", least=True)).split(",")[0]


def test_a_share_is_not_told_as_a_share_of_its_bound_too():
    proving = judge("gauge.proving", 0.535, 0.25, "ratio", "common practice", over="look")
    assert (limit_title(proving), limit_figures(proving)) == (
        "What the proving point can prove",
        "±54 %, at most ±25 %",
    )
    clear = judge("relief.clear", 0.25, 0.10, "ratio", "common practice", least=True)
    assert limit_figures(clear) == "25 %, at least 10 %"
    assert [margin_words(limit) for limit in (proving, clear)] == ["", ""]


def test_a_recoil_only_a_body_rest_would_allow_is_told_with_both_bounds():
    from jetwright.limits.recoil import Grip, hand, relief, unless_rested

    stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    grip = Grip("gun", "tools.gun", "hand", None, stock, replace(stock, value=250.0))
    said = [remedy_sentence(limit) for limit in unless_rested([hand(170.0, grip), relief(201.0, grip)])]
    assert said == [
        "Recoil of gun: 170 N as planned, up to 201 N. More than 150 N: not allowed unless there is a body rest; with "
        "one 250 N may be held.",
        "",
    ]
    assert "201 N when something goes wrong" in remedy_sentence(unless_rested([relief(201.0, grip)])[0])


def test_the_pressure_on_an_object_is_not_told_as_what_it_bears():
    unsaid = withstands(880e5, None, "", "task.object", {})
    assert f"{limit_title(unsaid)}: {limit_figures(unsaid)}" == (
        "Pressure on the object: 880 bar; what it bears was not said"
    )
    assert limit_figures(withstands(628e5, 900e5, "client", "", {})) == "628 of 900 bar"


def test_what_another_trigger_does_is_told_as_it_is_felt():
    from jetwright.limits.recoil import Grip, others

    step = Bound(15.0, "force", "most", "common practice", "common practice", False)
    grip = Grip("gun", "branch.1", "hand", "none", Bound(150.0, "force", "most", "NO 20-1", "regulation", True))
    falls = others(6.0, 125.0, grip, step)
    assert limit_figures(falls) == "falls from 125 to 6 N, and comes back at once; at most 15 N of change"
    assert margin_words(falls) == "far over"
    assert margin_words(others(119.0, 125.0, grip, step)) == "60 % left"
    assert limit_figures(others(156.0, 125.0, grip, step)) == "rises from 125 to 156 N; at most 150 N"


def test_a_pull_has_no_sign():
    from jetwright.limits.recoil import Grip, pull

    mole = Grip("mole", "tools.mole", "hose")
    assert limit_figures(pull(-167.0, mole), "us") == "pulls in with 37.5 lbf"
    assert limit_figures(pull(60.0, mole)) == "pushes out with 60 N"


def test_what_the_lightest_must_weigh():
    from jetwright.limits.recoil import Grip, body

    third = Bound(1.0 / 3.0, "ratio", "most", "one third of body weight", "memory", False)
    limit = body(245.2, Grip("gun", "tools.gun"), third, 60.0)
    assert "Nobody lighter than 75.0 kg holds it" in remedy_sentence(limit)
    assert "245 N (25.0 kg)" in remedy_sentence(limit)


def on_deposit(needed, arrives, withstood=None, *, struck=True, nozzle=700e5):
    return threshold(
        nozzle, arrives, needed, withstood, "client", struck=struck, borne=True, missing="task.jet.standoff", facts={}
    )


def test_what_arrives_on_a_deposit_shows_its_spread_or_that_it_is_the_tips():
    estimate = (187e5, 467e5, 700e5)
    assert limit_figures(on_deposit(400e5, estimate)) == "190 to 700 bar, at least 400 bar"
    assert limit_figures(on_deposit(187e5, estimate)) == "190 to 700 bar, at least 187 bar"
    assert limit_figures(on_deposit(900e5, None, struck=False)) == "700 behind the tip, at least 900 bar"
    spent = on_deposit(400e5, None)
    assert limit_figures(spent) == "no longer cleans; still wounds"
    assert "it still wounds" in remedy_sentence(spent)
    assert margin_words(spent) == ""
    assert limit_figures(on_deposit(400e5, estimate), "us") == "2700 to 10000 psi, at least 5800 psi"


def test_nothing_advises_closer_or_higher_than_an_object_withstands():
    for struck in (True, False):
        contrary = remedy_sentence(on_deposit(1500e5, (187e5, 467e5, 700e5), 720e5, struck=struck))
        assert "contradict each other" in contrary
        assert "ask the client again" in contrary
        assert not re.search(r"closer|higher|larger", contrary)
        room = remedy_sentence(on_deposit(710e5, (187e5, 467e5, 700e5), 800e5, struck=struck))
        assert "at its cautious end no higher than the 800 bar" in room
        assert "closer" not in room
        unknown = remedy_sentence(on_deposit(710e5, (187e5, 467e5, 700e5), struck=struck))
        assert "ask the client what the object withstands before anything is planned higher" in unknown
        assert "closer" not in unknown
    assert "closer" in remedy_sentence(on_deposit(500e5, (187e5, 467e5, 700e5), 800e5))


def test_stripes_are_said_as_what_avoids_them():
    """By hand: 0.04 m/s are 2.40 m in a minute."""
    told = {"tool": "head", "fastest": 0.04}
    measured = stripes(5.0, 1250.0 / 60.0, "tools.head", measured=True, facts=told)
    assert limit_figures(measured) == "300, at least 1250 rpm"
    assert "Turn it at 1250 rpm or more, or move on 2.40 m in a minute or less: else it" in remedy_sentence(measured)
    estimated = stripes(5.0, 4706.0 / 60.0, "tools.head", measured=False, facts=told)
    assert limit_figures(estimated) == "300, at least 4700 rpm"
    assert "By the estimated track turn it at 4700 rpm or more, or move on 2.4 m" in remedy_sentence(estimated)


def test_a_filter_that_is_fine_enough():
    from jetwright.limits.hose import filter_of

    twentieth = Bound(0.05, "ratio", "most", "common practice", "common practice", False)
    said = remedy_sentence(filter_of(100e-6, 1e-3, "R10", twentieth))
    assert said.startswith("Fit a filter of 50 µm or finer: what passes 100 µm blocks a tip of 1.00 mm")


def test_letting_go_without_a_way_out():
    from jetwright.limits.release import way_out

    facts = {"seconds": 0.1, "bypass_shut": False}
    said = remedy_sentence(way_out(1160e5, 1150e5, 16.2e-3 / 60.0, facts=facts))
    assert "16.2 L/min has no way out but the relief, about 0.1 s later." in said
    said = remedy_sentence(way_out(None, 1150e5))
    assert "nothing that is described holds it" in said


def test_a_cure_with_what_must_be_done_together_with_it():
    also = Cure("support", "tools.gun.support", "", "none", "body rest")
    cure = Cure("rating", "hoses.V8.rating", "pressure", 950e5, 1050e5, {"pump_speed": 2.0}, (also,))
    assert cure_words(cure) == (
        "another hose in place of V8, rated 1050 bar or more, together with a body rest on gun: 120 rpm"
    )
    assert cure_words(replace(cure, also=()), "us").startswith("another hose in place of V8, rated 15230 psi or more")


@pytest.mark.parametrize(
    ("key", "name"),
    [
        ("hoses.S8-20", "hose S8-20"),
        ("hoses", ""),
        ("fittings.manifold", "manifold"),
        ("unit.kits.P32", "kit P32"),
        ("unit.remote", ""),
        ("task.operator", ""),
        ("", ""),
    ],
)
def test_a_part_is_called_as_a_crew_calls_it(key, name):
    assert part_name(key) == name


def test_a_tool_alone_need_not_be_named():
    limit = Limit("recoil.hand", "within", 1.0, 2.0, "force", 0.5, "physics", True, about="tools.gun")
    assert limit_title(limit) == "Recoil as planned, gun"
    assert limit_title(limit, alone=True) == "Recoil as planned"


def test_a_temperature_has_room_in_degrees():
    limit = judge("heat.tank", 303.15, 313.15, "temperature", "plate")
    assert limit_figures(limit) == "30 of 40 °C"
    assert margin_words(limit) == "10 °C left"
    assert margin_words(limit, "us") == "18 °F left"
    assert filled(limit) == pytest.approx(0.75)


def test_what_is_counted_is_said_in_whole_numbers_and_has_no_bar():
    limit = judge("person.stops", 1.0, 2.0, "count", "guidance", over="look", least=True)
    assert limit_figures(limit) == "1, at least 2"
    assert margin_words(limit) == ""
    assert filled(limit) is None


def test_yes_or_no_needs_no_figures():
    assert limit_figures(judge("hazard.product", 1.0, 0.0, "count", "permit")) == ""
    assert margin_words(judge("person.rail", 1.0, 1.0, "count", "NO 20-6", least=True)) == ""


def test_figures_of_different_size_keep_their_own_unit():
    limit = judge("supply.water", 260.0, 10800.0, "time", "physics", least=True, over="look")
    assert limit_figures(limit) == "4.3 min, at least 3.0 h"


def test_sources_are_named_and_hearsay_is_called_so():
    assert source_words("EN 1829-1:2010 5.2.2") == "EN 1829-1:2010 5.2.2"
    unread = judge("engine.step", 0.6, 0.5, "ratio", "ISO 8528-5", verified=False, over="look")
    assert standing_words(unread) == "ISO 8528-5, not read"
    assert standing_words(replace(unread, source="EN 837-2, from memory")) == "EN 837-2, from memory"
    assert standing_words(replace(unread, source="common practice")) == "common practice"


def test_what_is_missing_is_said_once_with_its_key():
    lacking = [judge("gauge.scale", None, None, "ratio", "plate", missing="unit.gauge")]
    lacking += [judge("gauge.error", None, None, "ratio", "plate", missing="unit.gauge")]
    lacking += [judge("supply.filter", None, None, "ratio", "", missing="supply.filter")]
    lacking += [judge("hose.speed", None, None, "velocity", "", missing="rule_set", verified=False)]
    assert not_judged_words(lacking, typed=True) == [
        "Not judged, and so to be looked at first, because nobody said: unit.gauge.",
        "Not judged, because nobody said: supply.filter.",
        "Not judged, because the rule set has no bound for it: Speed of the water.",
    ]
    assert not_judged_words(lacking) == [
        "Not judged, and so to be looked at first: no gauge is described.",
        "Not judged: the filter's opening is not given.",
        "Not judged, because the rule set has no bound for it: Speed of the water.",
    ]


def test_every_fact_that_may_lack_is_called_by_words():
    """Keys as they stand in the source of the limits, for a fact that lacks there."""
    folders = [ROOT / "src" / "jetwright" / each for each in ("limits", "plan/judging")]
    source = "".join(path.read_text(encoding="utf-8") for folder in folders for path in folder.glob("*.py"))
    keys = set(re.findall(r'"((?:unit|supply|restraints|task)\.[a-z_.]+)"', source)) - NO_FACTS
    keys |= {f"task.hazards.{name}" for name in ("ignition", "confined_space", "live_electrical", "product")}
    keys |= {
        "tools.gun.support",
        "tools.gun.held_by",
        "tools.gun.rating",
        "hoses.S8.20.rating",
        "hoses.S8-20.tested",
        "hoses.S8-20.traceable",
    }
    keys |= {"fittings.tee.rating", "tools.gun.length", "tools.gun.ports"}
    assert len(keys) > 25
    for key in keys:
        first, last = key.split(".")[0], key.rpartition(".")[2]
        assert key in MISSING or f"{first}.{last}" in MISSING, key
        assert not re.search(r"\w[._]\w", missing_words(key)), key
        assert key == "task.target" or missing_words(key, typed=True) == f"{missing_words(key)} ({key})"


def test_a_rating_is_never_printed_above_what_is_marked():
    limit = judge("rating.working", 900e5, 1400e5, "pressure", "tag", about="hoses.H")
    assert limit_figures(limit, "us") == "13050 of 20300 psi"
    assert limit_figures(replace(limit, id="gauge.relief"), "us") == "13050 of 20310 psi"
