"""What is printed of a reading: every word it needs, no figure finer than the gauge, one caution, the JSON's keys."""

import ast
import datetime
import json
import re
from dataclasses import fields, replace

import pytest

from jetwright.actions.plan import basis_for
from jetwright.plan.answer import Explanation, Fit, Plan
from jetwright.plan.assess import assess
from jetwright.plan.fit import Fitted
from jetwright.plan.same_rig import taken_with
from jetwright.plan.task import plan_job
from jetwright.report.fit import (
    AS_PLANNED,
    CHANGED,
    LESS,
    MORE,
    NEXT,
    OF,
    apart_words,
    fit_facts,
    fit_lines,
    next_words,
)
from jetwright.report.fit_json import fits_json
from jetwright.report.fit_table import AGAINST, fit_table
from jetwright.report.plan_json import plan_facts
from jetwright.report.wording import caution
from jetwright.rig.check import check
from jetwright.rig.description import Gauge, Reading, Target
from tests.contract.source import modules
from tests.limits.unit_a import BAR, GUN, LITRES_A_MINUTE, RPM, unit_a, worked

DAY = datetime.date(2026, 5, 4)
REST = replace(GUN, support="body rest")
UNITS = re.compile(r"_(bar|rpm|n|mm2|l_min)$")
BARE = {"day", "day_alone", "ratio", "adopted", "expired", "explanations", "next", "what", "share", "alive", "against"}


def read(gauge, **more):
    return Reading("It", DAY, 120 * RPM, gauge * BAR, **more)


def allowed(job):
    """The worked case at 800 bar, which no limit refuses; at 900 bar its cautious end does, 260 of 250 N."""
    return replace(job, task=(replace(job.task[0], target=Target(nozzle_pressure=800 * BAR)),))


def planned(reading, day=DAY, refused=False, **unit):
    job = unit_a(1.4e-3, tool=REST, **unit)
    job = job if refused else allowed(job)
    with_this = taken_with(check(job)) if reading.taken_with is None else reading.taken_with or None
    job = replace(job, reading=(replace(reading, taken_with=with_this),))
    basis = basis_for(job, day=day)
    return job, plan_job(job, basis).tasks[0], basis


def fitted(reading, day=DAY, refused=False, **unit):
    job, _task, basis = planned(reading, day, refused, **unit)
    assessed = assess(check(job), 0, basis, steps=False)
    case, limits = assessed.case, assessed.limits
    one = Fitted(job.reading[0], case.fit, limits, case.proving, case.machine)
    return job, one, Plan(job.title, basis.rules, (), day)


def table(reading, day=DAY, system="si", width=100, kept=True, refused=False, **unit):
    job, one, plan = fitted(reading, day, refused, **unit)
    return fit_table(plan, job, (one,), system=system, width=width, kept=kept)


def flat(text):
    return " ".join(text.split())


# ---- beside a plan


def test_a_task_without_a_reading_says_nothing():
    job = unit_a(1.4e-3, tool=REST)
    assert fit_lines(plan_job(job, basis_for(job, day=DAY)).tasks[0], job) == []


@worked(13)
def test_an_adopted_reading_gives_its_speed_and_its_recoil():
    """Of 256 N at 900 bar: 227 at 800; √(8/9) of 147.8 rpm is 139."""
    job, task, _ = planned(read(696.0))
    told = fit_lines(task, job)
    assert told[0] == "Reading of 2026-05-04: 696 bar at 120 rpm, 7.0 % below the 748 bar expected."
    assert re.fullmatch(
        r"Speed after it: about 139 rpm, 138 to 139 rpm; planned 13\d rpm; the gauge decides\.", told[1]
    )
    assert re.fullmatch(r"Recoil judged after it: 22[78] N \(23\.2 kg\)\.", told[2])
    assert (
        told[3]
        == "What would explain it: Pump gives less (its flow × 0.962), Tips larger or worn (their area × 1.045)."
    )
    assert "by a flow meter at the inlet" in told[4]


@worked(13)
def test_a_task_not_allowed_has_no_speed_and_no_next_reading():
    job, task, _ = planned(read(696.0), refused=True)
    assert task.verdict == "not_allowed"
    told = fit_lines(task, job)
    assert told[1] == "Recoil judged after it: 256 N (26.1 kg)."
    assert "Speed" not in " ".join(told)
    assert "Next" not in " ".join(told)


def test_us_lines_have_us_figures():
    job, task, _ = planned(read(696.0))
    told = " ".join(fit_lines(task, job, "us"))
    assert "10090 psi" in told  # 696 bar are 10,095 psi, to the ten
    assert "lbf" in told
    assert re.search(r"\d (bar|N)\b", told) is None


def test_an_expired_reading_says_what_changed():
    job, task, _ = planned(read(696.0, taken_with="tip 0000 hose 0000 kit 0000 gauge 0000"), DAY.replace(day=5))
    [told] = fit_lines(task, job)
    assert "described otherwise since: tips, hose run, pump, gauge; it is of another day" in told
    assert "148" not in told


def test_a_row_that_does_not_say_its_rig_is_said_to_be_held_to_its_day():
    job, task, _ = planned(read(696.0, taken_with=""))
    words = "Held to its day alone: nothing says with which rig it was taken"
    assert f"{words}." in fit_lines(task, job)
    assert words in flat(table(read(696.0, taken_with="")))
    job, task, _ = planned(read(696.0))
    assert words not in " ".join(fit_lines(task, job)) + flat(table(read(696.0)))


def test_a_reading_too_far_off_gives_no_speed():
    job, task, _ = planned(read(636.0))
    told = fit_lines(task, job)
    assert "15 % below" in told[0]
    assert "explain it first" in told[1]
    assert len(told) == 2


# ---- a page of its own


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("width", [100, 60])
@pytest.mark.parametrize("gauge", [696.0, 636.0, 748.0, 790.0])
def test_a_page_fits_and_cautions_once(gauge, width, system):
    text = table(read(gauge), system=system, width=width)
    assert max(map(len, text.splitlines())) <= width
    assert flat(text).count(flat(caution())) == 1
    foreign = r"\d (bar|L/min|N|mm)\b" if system == "us" else r"\d (psi|gpm|lbf)\b"
    body = text.split("Judged by")[0].replace("250 N ", "")
    assert re.search(foreign, body) is None


@worked(13)
def test_a_page_says_both_explanations_and_what_is_not_allowed():
    text = flat(table(read(696.0), kept=False, refused=True))
    assert "not adopted" in text
    assert "● not allowed" in text
    assert "its flow × 0.962, from 0.949 to 0.976; 246 N" in text
    assert "their area × 1.045, from 1.028 to 1.061; 256 N" in text
    assert "256 of 250 N" in text
    assert "260 of 250 N" in text
    assert text.count(" rpm") == 1
    assert "--adopt" not in text


def test_a_page_of_an_allowed_task_gives_its_speeds():
    text = flat(table(read(696.0), kept=False))
    assert "can be adopted" in text
    assert "▲ look first" in text
    assert "its flow × 0.962, from 0.949 to 0.976; 138 rpm" in text
    assert "then flow 30.1 L/min" in text
    assert "--adopt keeps it" in text
    assert "--adopt" not in table(read(696.0))


def test_the_range_holds_what_is_judged():
    """Tips new, small tips, a smooth hose, all at once: never outside what is printed beneath."""
    for reading in (read(696.0, tips="new"), read(722.0), read(760.0), read(780.0, tips="new")):
        text = flat(table(reading))
        judged = float(re.search(r"Recoil judged after it: (\d+) N", text)[1])
        least, most = map(float, re.search(r"as planned: \d+ to \d+ rpm, (\d+) to (\d+) N", text).groups())
        assert least <= judged <= most


@pytest.mark.parametrize("opening", [0.0, 1e-6])
def test_the_flow_is_read_without_danger(opening):
    """Common practice: nobody holds a drum to a jet at pressure."""
    told = next_words(Fit(DAY, 2.0, opening, 748e5, 696e5, 696 / 748, (), True, next="flow"))
    assert "timed minute" in told
    assert "No drum at a jet under pressure" in told
    assert ("bypass shut" in told) is (opening == 0.0)


@pytest.mark.parametrize(
    ("ratio", "words"),
    [(0.9, "10 %"), (0.8996, "10.04 %"), (0.899999, "10.0001 %"), (0.9004, "9.96 %"), (1.1004, "10.04 %")],
)
def test_at_the_border_as_many_digits_as_tell_apart(ratio, words):
    assert apart_words(Fit(DAY, 2.0, 0.0, 748e5, ratio * 748e5, ratio, (), False)) == words


def test_seen_and_expected_are_equally_fine():
    """72.0 of 74.7 bar are 3.6 % less; the gauge's own step would print 70."""
    job, one, plan = fitted(read(696.0))
    one = replace(one, fit=replace(one.fit, seen=72.0 * BAR, expected=74.7 * BAR, ratio=72.0 / 74.7))
    text = flat(fit_table(plan, job, (one,)))
    assert "Seen 72.0 bar" in text
    assert "Expected 74.7 bar" in text
    assert "3.6 % below" in text
    near = replace(one.fit, seen=748.1 * BAR, expected=747.6 * BAR, ratio=748.1 / 747.6)
    assert "as expected" in flat(fit_table(plan, job, (replace(one, fit=near),)))


def test_what_is_too_far_off_is_explained_first():
    low, high = flat(table(read(636.0))), flat(table(read(860.0)))
    for text in (low, high):
        assert "not adopted" in text
        assert "Explain it first: nobody goes on until then" in text
        assert "Speed after it" not in text
    assert "how worn?" in low
    assert "is a jet plugged" in high


def test_a_page_of_an_expired_reading_says_where_to_take_another():
    text = flat(table(read(696.0), DAY.replace(day=5)))
    assert "no longer holds" in text
    assert "Not used: it is of another day" in text
    assert "120 rpm, bypass shut, 750 bar expected" in text
    assert "What would explain" not in text


def test_a_reading_at_an_opening_that_no_hand_can_find_is_not_asked_for():
    """It would tell how the hand set the gauge, and nothing of the rig."""
    bypass = unit_a().unit.bypass

    def expired(**unit):
        job = replace(unit_a(tool=REST, **unit), reading=())
        basis = basis_for(job, day=DAY)
        case = assess(check(job), 0, basis, steps=False).case
        fit = Fit(DAY, 2.0, case.proving.bypass_area, None, 640e5, None, (), False, ("shift",))
        one = Fitted(read(640.0), fit, (), case.proving, case.machine)
        return flat(fit_table(Plan("It", basis.rules, (), DAY), job, (one,)))

    assert "bypass open by 1.01 mm² (about 0.30 turns), 650 bar expected" in expired(bypass=replace(bypass, turns=6.0))
    assert "Take another" not in expired()
    assert "Before another is taken, count the bypass stem's turns from shut to fully open" in expired()


def test_what_a_next_gauge_would_show_is_no_finer_than_the_gauge():
    """A division of 50 bar: half of it is told apart, in steps of 20; what decides is printed as finely as seen."""
    text = flat(table(read(696.0), gauge=Gauge(1600 * BAR, 0.1, 50 * BAR)))
    assert "Expected 748 bar" in text
    assert "Seen 696 bar" in text
    assert re.search(r"tips off (80|100|120) bar", text)


def test_what_else_was_measured_is_said():
    text = flat(table(read(696.0, tips="new", flow=29 * LITRES_A_MINUTE, pin=1.41e-3, flush=95 * BAR)))
    assert "tips new, flow 29.0 L/min, tip bore 1.41 mm, 95.0 bar with the tips off" in text


def test_a_gauge_that_may_read_low_is_said():
    assert "The gauge may read low" in table(read(735.0), gauge=Gauge(1600 * BAR, 1.6, 10 * BAR))


def test_a_speed_above_top_speed_is_said():
    pump = replace(unit_a().unit.pump, top_speed=137 * RPM)
    assert "Above top speed, 137 rpm" in table(read(696.0), pump=pump)


def test_a_part_open_bypass_is_set_by_the_gauge():
    job = replace(unit_a(tool=REST), reading=())
    basis = basis_for(job, day=DAY)
    proving = assess(check(job), 0, basis, steps=False).case.proving
    reading = read(proving.gauge / BAR - 20.0, bypass_area=proving.bypass_area)
    case = assess(check(replace(job, reading=(reading,))), 0, basis, steps=False).case
    one = Fitted(reading, case.fit, (), case.proving, case.machine)
    text = fit_table(Plan("It", basis.rules, (), DAY), job, (one,))
    assert "The bypass is closed until the gauge shows the target" in text
    assert "bypass open by" in text
    assert "Speed after it" not in text


def test_no_reading_says_how_to_take_one():
    job = unit_a()
    text = fit_table(Plan("It", basis_for(job, day=DAY).rules, (), DAY), job, ())
    assert "No reading is kept here" in text
    assert flat(text).count(flat(caution())) == 1


# ---- JSON


def test_keys_end_in_their_unit():
    _job, one, plan = fitted(read(696.0), refused=True)
    facts = fit_facts(one.fit)
    keys = set(facts) | {key for explanation in facts["explanations"] for key in explanation}
    assert {key for key in keys if not UNITS.search(key)} == BARE
    assert facts["pump_speed_rpm"] == pytest.approx([147.4, 147.8, 148.2], abs=0.1)
    assert facts["recoil_n"] == pytest.approx([255.6], abs=0.1)
    [told] = json.loads(fits_json(plan, (one,)))["readings"]
    assert told["fit"] == facts
    assert (told["holds"], told["verdict"]) == (False, "not_allowed")
    assert {limit["id"] for limit in told["limits"]} == {"recoil.cautious", "recoil.fitted"}
    assert {(limit["bound"], limit["unit"]) for limit in told["limits"]} == {(250.0, "N")}


def test_its_json_is_of_one_shape_with_a_plans():
    job, one, plan = fitted(read(696.0), refused=True)
    told, whole = json.loads(fits_json(plan, (one,), kept=False)), plan_facts(plan_job(job, basis_for(job, day=DAY)))
    assert {key: told[key] for key in ("title", "rule_set", "day")} == {
        key: whole[key] for key in ("title", "rule_set", "day")
    }
    assert (told["kept"], json.loads(fits_json(plan, (one,)))["kept"]) == (False, True)
    planned_too = {limit["id"]: limit for limit in whole["tasks"][0]["limits"]}
    limit = next(limit for limit in told["readings"][0]["limits"] if limit["id"] == "recoil.fitted")
    assert limit.keys() - {"cures"} == planned_too["recoil.fitted"].keys() - {"cures"}
    assert limit["value"] == planned_too["recoil.fitted"]["value"]


def test_what_is_not_used_has_no_speed_in_json():
    for reading, day in ((read(636.0), DAY), (read(696.0), DAY.replace(day=5))):
        _job, one, _plan = fitted(reading, day)
        assert {"pump_speed_rpm", "recoil_n"} & set(fit_facts(one.fit)) == set()


# ---- words


def test_every_code_has_its_words():
    """Each word that the fit may put into an answer stands in the source of it as a text."""
    source = [node for name in ("explain", "fit", "same_rig") for node in ast.walk(modules()[f"plan/{name}.py"])]
    texts = {node.value for node in source if isinstance(getattr(node, "value", None), str)}
    assert set(LESS) == set(MORE) == set(AS_PLANNED) == set(OF) == {"pump", "tip", "hose", "gauge"}
    assert set(AGAINST) == {"range", "new", "pin", "flow", "flush"}
    assert set(NEXT) == {"flow", "flow/open", "pin", "flush"}
    assert set(CHANGED) == {"tip", "hose", "kit", "gauge"}
    assert set(LESS) | set(AGAINST) | (set(NEXT) - {"flow/open"}) | set(CHANGED) | {"shift", "unserved"} <= texts


def test_every_fact_of_a_fit_is_in_its_json():
    """Nothing that the core answers is left out."""
    span = (0.9, 1.0, 1.1)
    explanation = Explanation("tip", span, True, span, (span,), 1e-4, 1e5, "")
    facts = fit_facts(Fit(DAY, 2.0, 1e-6, 7e7, 7e7, 1.0, (explanation,), True, ("tip",), span, (1.0,), "pin"))
    assert len(facts) == len(fields(Fit))
    assert len(facts["explanations"][0]) == len(fields(Explanation)) - 1  # nothing speaks against it
