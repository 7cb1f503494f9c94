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
from jetwright.plan.task import plan_job
from jetwright.report.fit import CHANGED, LESS, MORE, NEXT, OF, fit_facts, fit_lines, fits_json
from jetwright.report.fit_table import AGAINST, fit_table
from jetwright.report.wording import caution
from jetwright.rig.check import check
from jetwright.rig.description import Gauge, Reading
from tests.contract.source import modules
from tests.limits.unit_a import BAR, GUN, LITRES_A_MINUTE, RPM, unit_a, worked

DAY = datetime.date(2026, 5, 4)
REST = replace(GUN, support="body rest")
UNITS = re.compile(r"_(bar|rpm|n|mm2|l_min)$")
BARE = {"day", "ratio", "adopted", "expired", "explanations", "next", "what", "share", "alive", "against"}


def read(gauge, **more):
    return Reading("It", DAY, 120 * RPM, gauge * BAR, **more)


def planned(reading, day=DAY, **unit):
    job = replace(unit_a(1.4e-3, tool=REST, **unit), reading=(reading,))
    basis = basis_for(job, day=day)
    return job, plan_job(job, basis).tasks[0], basis


def fitted(reading, day=DAY, **unit):
    job, _task, basis = planned(reading, day, **unit)
    assessed = assess(check(job), 0, basis, steps=False)
    limits = tuple(limit for limit in assessed.limits if limit.id == "recoil.fitted")
    case = assessed.case
    return job, Fitted(reading, case.fit, limits, case.proving, case.machine), Plan(job.title, basis.rules, (), day)


def table(reading, day=DAY, system="si", width=100, kept=True, **unit):
    job, one, plan = fitted(reading, day, **unit)
    return fit_table(plan, job, (one,), system=system, width=width, kept=kept)


def flat(text):
    return " ".join(text.split())


# ---- beside a plan


def test_a_task_without_a_reading_says_nothing():
    job = unit_a(1.4e-3, tool=REST)
    assert fit_lines(plan_job(job, basis_for(job, day=DAY)).tasks[0], job) == []


@worked(13)
def test_an_adopted_reading_gives_its_speed_and_its_recoil():
    job, task, _ = planned(read(696.0))
    told = fit_lines(task, job)
    assert told[0] == "Reading of 2026-05-04: 696 bar at 120 rpm, 7.0 % below the 750 bar expected."
    assert told[1] == "Speed after it: about 148 rpm, 147 to 148 rpm; planned 142 rpm; the gauge decides."
    assert told[2] == "Recoil judged after it: 256 N (26.1 kg)."
    assert (
        told[3]
        == "What would explain it: Pump gives less (its flow × 0.962), Tips larger or worn (their area × 1.045)."
    )
    assert "drum and stopwatch" in told[4]


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
    text = flat(table(read(696.0), kept=False))
    assert "can be adopted" in text
    assert "● not allowed" in text
    assert "its flow × 0.962, from 0.949 to 0.976; 147 rpm; 245 N; then flow 28.9 L/min" in text
    assert "their area × 1.045, from 1.028 to 1.061; 148 rpm; 256 N; then flow 30.1 L/min" in text
    assert "256 of 250 N" in text
    assert "--adopt keeps it" in text
    assert "--adopt" not in table(read(696.0))


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


def test_a_gauge_figure_is_no_finer_than_the_gauge():
    """A division of 50 bar: half of it is told apart, in steps of 20; what was read stays as it was read."""
    text = table(read(696.0), gauge=Gauge(1600 * BAR, 0.1, 50 * BAR))
    assert "Expected  740 bar" in text
    assert "Seen      696 bar" in text


def test_what_else_was_measured_is_said():
    text = flat(table(read(696.0, tips="new", flow=29 * LITRES_A_MINUTE, pin=1.41e-3, flush=95 * BAR)))
    assert "tips new, flow 29.0 L/min, tip bore 1.41 mm, 95.0 bar with the tips off" in text


def test_a_gauge_that_may_read_low_is_said():
    assert "The gauge may read low" in table(read(735.0), gauge=Gauge(1600 * BAR, 1.6, 10 * BAR))


def test_a_speed_above_top_speed_is_said():
    pump = replace(unit_a().unit.pump, top_speed=145 * RPM)
    assert "Above top speed, 145 rpm" in table(read(696.0), pump=pump)


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
    _job, one, plan = fitted(read(696.0))
    facts = fit_facts(one.fit)
    keys = set(facts) | {key for explanation in facts["explanations"] for key in explanation}
    assert {key for key in keys if not UNITS.search(key)} == BARE
    assert facts["pump_speed_rpm"] == pytest.approx([147.4, 147.8, 148.2], abs=0.1)
    assert facts["recoil_n"] == pytest.approx([255.6], abs=0.1)
    [told] = json.loads(fits_json(plan, (one,)))["readings"]
    assert told["fit"] == facts
    assert (told["holds"], told["limits"][0]["verdict"]) == (False, "not_allowed")


def test_what_is_not_used_has_no_speed_in_json():
    for reading, day in ((read(636.0), DAY), (read(696.0), DAY.replace(day=5))):
        _job, one, _plan = fitted(reading, day)
        assert {"pump_speed_rpm", "recoil_n"} & set(fit_facts(one.fit)) == set()


# ---- words


def test_every_code_has_its_words():
    """Each word that the fit may put into an answer stands in the source of it as a text."""
    texts = {node.value for node in ast.walk(modules()["plan/fit.py"]) if isinstance(getattr(node, "value", None), str)}
    assert set(LESS) == set(MORE) == set(OF) == {"pump", "tip", "hose", "gauge"}
    assert set(AGAINST) == {"range", "new", "pin", "flow", "flush"}
    assert set(NEXT) == {"flow", "pin", "flush"}
    assert set(CHANGED) == {"tip", "hose", "kit", "gauge"}
    assert set(LESS) | set(AGAINST) | set(NEXT) | set(CHANGED) | {"shift"} <= texts


def test_every_fact_of_a_fit_is_in_its_json():
    """Nothing that the core answers is left out."""
    span = (0.9, 1.0, 1.1)
    explanation = Explanation("tip", span, True, span, (span,), 1e-4, 1e5, "")
    facts = fit_facts(Fit(DAY, 2.0, 1e-6, 7e7, 7e7, 1.0, (explanation,), True, ("tip",), span, (1.0,), "pin"))
    assert len(facts) == len(fields(Fit))
    assert len(facts["explanations"][0]) == len(fields(Explanation)) - 1  # nothing speaks against it
