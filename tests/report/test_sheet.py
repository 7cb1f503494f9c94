"""The job sheet: always one page, tagged, the same bytes each time, and nothing to follow on one that is refused."""

import datetime
import hashlib
import io
import os
import re
import subprocess
import sys
import unicodedata
from dataclasses import replace

import pypdf
import pytest

from jetwright import units
from jetwright.actions.plan import basis_for, plan
from jetwright.actions.sign import signed_sheet, to_sign
from jetwright.files.job import read_job
from jetwright.limits.limit import Cure, judge
from jetwright.limits.rules import Bound, Looser
from jetwright.plan.task import plan_job
from jetwright.report import press, wording
from jetwright.report.gauge import gauge_step
from jetwright.report.limits import FAULTS
from jetwright.report.press import sheet_files, unprinted
from jetwright.report.profile import profile_svg
from jetwright.report.screen import page_facts
from jetwright.report.sheet import BESIDE, BREAK, Changed, Signed, sealed, sheet_facts
from jetwright.report.steps import LETTERS as CARD_LETTERS
from jetwright.report.steps import step_act
from tests.contract.source import ROOT
from tests.report.letters import FONTS, known
from tests.report.pixels import ink

DAY = datetime.date(2026, 5, 12)
EXAMPLES = ["shift/job.toml", "shift/refused.toml", "two-guns.toml", "hose-fed.toml", "reference/job.toml"]
LONG = "Wärmetauscher und Rohrleitung, nördliches Ende der Brücke, zweite Öffnung von links, Gerüst bis zur Decke "


def planned(name):
    answer, read = plan(ROOT / "examples" / name, day=DAY)
    return answer, read.job


@pytest.fixture(scope="module")
def shift():
    return planned("shift/job.toml")


@pytest.fixture(scope="module")
def refused():
    return planned("shift/refused.toml")


def pdf(answer, job, place=0, **how):
    return pypdf.PdfReader(io.BytesIO(sheet_files(sheet_facts(answer, answer.tasks[place], job, **how))[0]))


def squeezed(text):
    return "".join(text.replace(BREAK, "").split())


def text(answer, job, place=0, **how):
    return " ".join(pdf(answer, job, place, **how).pages[0].extract_text().split())


@pytest.fixture
def spanish(monkeypatch):
    monkeypatch.setenv("LANGUAGE", "es")
    wording._catalogue.cache_clear()
    yield
    wording._catalogue.cache_clear()


# ---- one page, and one more where its steps find no room on it

SECOND = {
    ("hose-fed.toml", 0, "a4"),
    ("hose-fed.toml", 0, "letter"),
    ("reference/job.toml", 1, "a4"),
    ("reference/job.toml", 1, "letter"),
    ("reference/job.toml", 3, "letter"),
}
"""Tasks with more facts that nobody gave than leave room for all that is told of the steps."""


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_a_task_is_one_page(name, paper, system):
    answer, job = planned(name)
    size = {"a4": (595.3, 841.9), "letter": (612.0, 792.0)}[paper]
    for place in range(len(answer.tasks)):
        read = pdf(answer, job, place, system=system, paper=paper)
        more = (name, place, paper) in SECOND
        assert len(read.pages) == (2 if more else 1)
        assert ("second page" in read.pages[0].extract_text()) == more
        for page in read.pages:
            assert tuple(map(float, page.mediabox[2:])) == pytest.approx(size, abs=0.1)


def test_a_task_is_one_page_in_spanish_or_says_where_its_steps_go_on(shift, spanish):
    answer, job = shift
    for place in range(len(answer.tasks)):
        read = pdf(answer, job, place)
        said = squeezed(read.pages[0].extract_text())
        run_up = sheet_facts(answer, answer.tasks[place], job, place=place)["run_up"]
        elsewhere = any(squeezed(run_up[away]["where"]) in said for away in ("notes", "more", "all"))
        assert len(read.pages) == (2 if elsewhere else 1)
        assert read.trailer["/Root"]["/Lang"].startswith("es")
        assert "Etiquetas de mangueras" in read.pages[0].extract_text()


def crowded(answer, job, verdict):
    """A task with more on every list than a page holds."""
    task = answer.tasks[1]
    word = "look" if verdict == "look" else "not_allowed"
    cure = Cure("target", "task.target.nozzle_pressure", "pressure", 9e7, 8e7, {"pump_speed": 3.0, "nozzle": 8e7})
    more = tuple(
        replace(
            judge("rating.working", 1.0e8 + n * 1e6, 9e7, "pressure", "tag", over=word, about=f"hoses.{LONG[:40]}{n}"),
            remedy="rating.working",
            cures=(replace(cure, after=8e7 - n * 1e5),),
        )
        for n in range(40)
    )
    lacking = tuple(
        judge("hose.test_age", None, None, "time", "", about=f"hoses.H{n}", missing=f"hoses.H{n}.tested")
        for n in range(60)
    )
    tools = tuple(replace(task.tools[0], branch=n, tool=f"gun number {n} of the crew") for n in range(1, 9))
    crowd = replace(
        task,
        name=(LONG * 2)[:200],
        verdict=verdict,
        limits=task.limits + more + lacking,
        tools=tools,
        run_up=task.run_up * 3,
    )
    bound = Bound(250.0, "force", "most", "Norway, regulation on the performance of work, 20-1", "regulation", True)
    looser = tuple(Looser("recoil.supported", 300.0 + n, bound, f"{LONG}{n}") for n in range(12))
    described = replace(job.task[1], name=crowd.name, stops=tuple(f"{LONG}{n}" for n in range(3)))
    rules = replace(answer.rules, looser=looser)
    return (
        replace(answer, title=(LONG * 2)[:200], tasks=(crowd,), rules=rules),
        replace(job, task=(described,)),
        tuple(Changed(f"hoses.{LONG[:30]}.rating", "900 bar", "1400 bar", f"H. Moe {n}", DAY) for n in range(30)),
    )


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("verdict", ["look", "not_allowed"])
def test_a_crowded_task_says_on_its_front_what_it_left_out_and_has_its_steps_on_the_next(shift, paper, verdict):
    answer, job, changed = crowded(*shift, verdict)
    read = pdf(answer, job, paper=paper, changed=changed)
    steps = sheet_facts(answer, answer.tasks[0], job)["run_up"]
    said = " ".join(read.pages[0].extract_text().split())
    if steps is None:
        assert len(read.pages) == 1
    else:
        others = squeezed("".join(page.extract_text() for page in read.pages[1:]))
        assert "All 49 steps stand on the second page: begin there." in said
        assert all(squeezed(row["n"] + row["act"]) in others for row in steps["all"]["told"])
    assert re.search(r"\d+ more reasons" if verdict == "not_allowed" else r"\d+ more to look at", said)
    assert re.search(r"\d+ more within limits, see jetwright check", said)
    assert re.search(r"\d+ more changes", said)
    assert re.search(r"\d+ more looser bounds", said)


def test_every_limit_is_shown_or_counted(shift):
    answer, job = shift
    for place, task in enumerate(answer.tasks):
        facts = sheet_facts(answer, task, job)["limits"]
        within = sum(limit.verdict == "within" for limit in task.limits)
        for shown, words in enumerate(facts["more_within"]):
            counted = re.match(r"(\d+)", words)
            assert shown + (int(counted[1]) if counted else 0) == within
        said = text(answer, job, place)
        assert all(row["name"] in said for row in facts["look"])


# ---- the file


def test_the_pdf_is_tagged_and_named_and_knows_no_clock(shift):
    answer, job = shift
    read = pdf(answer, job)
    root = read.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"].value
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en"
    assert read.metadata.title == f"Job sheet: {answer.tasks[0].name}, {answer.title}"
    assert read.metadata.creation_date.date() == DAY


def test_the_picture_has_words_for_who_cannot_see_it(shift):
    answer, job = shift
    told = sheet_facts(answer, answer.tasks[1], job)["profile"]["told"]
    assert told in map(str, alternatives(pdf(answer, job, 1)))


def alternatives(read):
    found = []
    for n in range(1, len(read.xref[0]) + len(read.xref_objStm) + 1):
        thing = read.get_object(n)
        if isinstance(thing, dict) and "/Alt" in thing:
            found.append(thing["/Alt"])
    return found


def test_two_processes_make_the_same_bytes(tmp_path):
    script = (
        "import sys, datetime, hashlib\n"
        "from jetwright.actions.plan import plan\n"
        "from jetwright.report.press import sheet_files\n"
        "from jetwright.report.sheet import sheet_facts\n"
        f"answer, read = plan(r'{ROOT / 'examples' / 'shift' / 'job.toml'}', day=datetime.date(2026, 5, 12))\n"
        "facts = sheet_facts(answer, answer.tasks[1], read.job)\n"
        "print(*(hashlib.sha256(sheet_files(facts, kind)[0]).hexdigest() for kind in ('pdf', 'png')))\n"
    )
    sums = set()
    for seed in ("1", "2"):
        env = os.environ | {"PYTHONHASHSEED": seed, "SOURCE_DATE_EPOCH": seed, "TZ": f"UTC+{seed}"}
        answer = subprocess.run(
            [sys.executable, "-c", script], capture_output=True, text=True, env=env, cwd=tmp_path, check=True
        )
        sums.add(answer.stdout)
    assert len(sums) == 1


def test_only_the_packaged_fonts_are_in_it(shift):
    fonts = {str(font["/BaseFont"]).split("+")[-1] for font in descendants(pdf(*shift))}
    assert fonts == {"AtkinsonHyperlegibleNext-Regular", "AtkinsonHyperlegibleNext-Bold"}


def descendants(read):
    fonts = []
    stack = [read.pages[0]["/Resources"]]
    while stack:
        resources = stack.pop().get_object()
        fonts += [font.get_object() for font in resources.get("/Font", {}).values()]
        for inner in resources.get("/XObject", {}).values():
            if "/Resources" in inner.get_object():
                stack.append(inner.get_object()["/Resources"])
    return fonts


@pytest.mark.published("NOTICE: the hashes of the vendored fonts")
def test_the_fonts_are_the_ones_the_notice_names():
    notice = (ROOT / "NOTICE").read_text(encoding="utf-8")
    for path in FONTS.glob("*.ttf"):
        assert hashlib.sha256(path.read_bytes()).hexdigest() in notice
        assert path.name in notice
    assert "SIL OPEN FONT LICENSE" in (FONTS / "OFL.txt").read_text(encoding="utf-8").upper()


def test_what_a_person_wrote_is_only_text(shift):
    answer, job = shift
    evil = '#panic("x") $x$ <b> \\ */ [ ] `code` @ref'
    task = replace(answer.tasks[0], name=evil)
    job = replace(job, task=(replace(job.task[0], name=evil), *job.task[1:]))
    assert evil in text(replace(answer, title=evil, tasks=(task,)), job)


def named(shift, name):
    """The first task under another name."""
    answer, job = shift
    task = replace(answer.tasks[0], name=name)
    return replace(answer, tasks=(task,)), replace(job, task=(replace(job.task[0], name=name), *job.task[1:]))


@pytest.mark.published("ISO 14289-1:2014, 5: the identifier of PDF/UA")
def test_a_sheet_in_latin_letters_claims_the_standard_for_who_cannot_see(shift):
    read = pdf(*named(shift, "Tubería Ñ°4, Brücke"))
    said = read.trailer["/Root"]["/Metadata"].get_object().get_data().decode()
    assert "<pdfuaid:part>1</pdfuaid:part>" in said


@pytest.mark.parametrize("name", ["炼油厂 🚿 Цех ▲", "作業一", "مهمة الجدار"])
def test_signs_no_font_has_are_told_and_do_not_end_the_sheet(shift, name):
    answer, job = named(shift, name)
    facts = sheet_facts(answer, answer.tasks[0], job)
    assert unprinted(facts) == "".join(dict.fromkeys(sign for sign in name if sign != " " and not known(sign)))
    read = pdf(answer, job)
    assert len(read.pages) == 1
    assert "pdfuaid" not in read.trailer["/Root"]["/Metadata"].get_object().get_data().decode()


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_our_own_words_lack_no_sign(shift, refused, system, language, spanish, monkeypatch):
    monkeypatch.setenv("LANGUAGE", language)
    wording._catalogue.cache_clear()
    for answer, job in (shift, refused):
        for place, task in enumerate(answer.tasks):
            assert unprinted(sheet_facts(answer, task, job, system, place=place)) == ""


def test_the_signs_kept_beside_the_fonts_are_theirs():
    told = "".join(map(chr, (*range(0x20, 0x7F), *range(0xA1, 0xAD), *range(0xAE, 0x2100), *range(0x2190, 0x2C00))))
    composed = [sign for sign in told if unicodedata.is_normalized("NFC", sign)]
    seen = [sign for sign in composed if unicodedata.category(sign) not in ("Cc", "Cf", "Zs", "Zl", "Zp")]
    lacking = set(unprinted({"": "".join(f"{sign} " for sign in seen)}))
    assert {sign for sign in seen if not known(sign)} == lacking


# ---- what has no blank in it


LETTERS = "W" * 120


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_letters_without_a_blank_stay_on_the_page(shift, paper, monkeypatch):
    answer, job = named(shift, LETTERS)
    tool = f"gun{LETTERS}"
    tools = tuple(replace(each, tool=tool) for each in answer.tasks[0].tools)
    answer = replace(answer, tasks=(replace(answer.tasks[0], tools=tools),), title=LETTERS)
    changed = (Changed("hoses.W13-20.rating", LETTERS, LETTERS, LETTERS, DAY),)
    facts = sheet_facts(answer, answer.tasks[0], job, paper=paper, changed=changed)
    assert facts["head"]["task"].replace(BREAK, "") == LETTERS
    assert max(map(len, facts["head"]["task"].split(BREAK))) == 12
    monkeypatch.setattr(press, "SCREEN", 50.0)  # dots per inch
    width, first, last = ink(sheet_files(facts, "png")[0])
    margin = 10.0 / 25.4 * 50.0
    assert first >= margin - 2
    assert last <= width - margin + 2
    kept = "".join(text(answer, job, paper=paper, changed=changed).replace(BREAK, "").split())
    assert kept.count(LETTERS) >= 6  # its name, the job, the tool, the change from, to and by whom


def test_a_long_key_is_broken_between_its_words(refused):
    answer, job = refused
    change = Changed("task.hazards.confined_space", "false", "true", "H. Moe", DAY)
    [line] = sheet_facts(answer, answer.tasks[0], job, changed=(change,))["changed"]["lines"]
    assert line.startswith(f"task.{BREAK}hazards.{BREAK}confined_{BREAK}space: from false to true")


def test_no_mark_is_torn_from_its_letter(shift):
    answer, job = named(shift, "a\u0301\u0327" * 30)
    parts = sheet_facts(answer, answer.tasks[0], job)["head"]["task"].split(BREAK)
    assert len(parts) == 3
    assert all(part[0] == "a" for part in parts)


# ---- what stands on it


def test_it_reads_from_top_to_bottom(shift):
    answer, job = shift
    said = text(answer, job, 1)
    order = [
        answer.tasks[1].name,
        "Before the tool is touched",
        "Gauge at the pump",
        "Run up, with the gauge to expect",
        "Proving point",
        "Pressure along the rig",
        "Recoil",
        "When somebody lets go",
        "Limits",
        "Struck by the jet",
        "gunshot wound",
        "Stops and people",
        "Hose tags",
        "Signatures",
        "supports and never replaces training",
        "Judged by eu-generic",
    ]
    places = [said.find(words) for words in order]
    assert -1 not in places, order[places.index(-1)]
    assert places == sorted(places)


def test_the_settings_are_no_finer_than_the_gauge(shift):
    answer, job = shift
    for task in answer.tasks:
        gauge = sheet_facts(answer, task, job)["settings"]["tiles"][0]
        step = gauge_step(job.unit.gauge)
        assert float(gauge["value"]) % step == 0.0
        assert float(gauge["value"]) == pytest.approx(units.to(task.setting.pump_pressure, "bar"), abs=0.5 * step)
        assert re.match(r"± \d+0 bar, ", gauge["note"])


def test_only_what_the_panel_shows_is_set(shift):
    answer, job = shift
    labels = [tile["label"] for tile in sheet_facts(answer, answer.tasks[0], job)["settings"]["tiles"]]
    assert "Pump speed" in labels
    assert "Engine speed" not in labels
    shown = replace(job, unit=replace(job.unit, shows=("engine speed",)))
    tiles = sheet_facts(answer, answer.tasks[0], shown)["settings"]["tiles"]
    labels = [tile["label"] for tile in tiles]
    assert "Engine speed" not in labels  # it sets itself: nobody sets it
    assert "Pump speed" not in labels
    assert "engine sets itself to" in tiles[0]["note"]


def test_the_change_card_comes_with_every_task_but_the_first(shift):
    answer, job = shift
    assert sheet_facts(answer, answer.tasks[0], job)["change"] is None
    change = sheet_facts(answer, answer.tasks[1], job)["change"]
    assert change["first"] == "Before the tool is touched: speed to start, bypass open."
    assert "the relief lifts" in change["left"]
    assert change["warn"]


def test_recoil_is_in_newtons_and_kilograms_with_what_may_be_held(shift):
    said = text(*shift, 1)
    force = shift[0].tasks[1].tools[0].recoil
    assert f"{force:.0f} N ({force / 9.80665:.1f} kg)" in said
    assert "held by hand, no body rest, a hand may hold 150 N" in said
    worst = max(limit.value for limit in shift[0].tasks[1].limits if limit.id in FAULTS)
    assert f"at most {worst:.0f} N ({worst / 9.80665:.1f} kg): relief at full flow" in said


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", ["shift/job.toml", "two-guns.toml", "hose-fed.toml", "reference/job.toml"])
def test_tip_off_fitting_the_tip_the_stops_and_the_planned_stop_are_never_left_out(name, paper):
    answer, job = planned(name)
    for place, task in enumerate(answer.tasks):
        if task.verdict == "not_allowed":
            continue
        said = text(answer, job, place, paper=paper)
        assert "Tip off, the open end tied down." in said
        assert "only then fit the tip." in said
        assert "Prove the stop" in said
        assert "gauge zero, hose limp." in said
        assert "more step" not in said


def test_without_a_gauge_nothing_is_finer_than_any_gauge(shift):
    answer, job = shift
    blind = replace(job, unit=replace(job.unit, gauge=None))
    tile = sheet_facts(answer, answer.tasks[1], blind)["settings"]["tiles"][0]
    assert float(tile["value"]) % 10.0 == 0.0
    assert re.search(r"± \d+0 bar", tile["note"])
    assert "no gauge is described" in tile["note"]


def test_no_word_of_the_core_is_left_in_english(shift, spanish):
    head = sheet_facts(*shift_task(shift, 1))["head"]
    assert "(client)" not in head["rig"]


def shift_task(shift, place):
    return shift[0], shift[0].tasks[place], shift[1]


def test_stops_that_nobody_named_are_lines_to_write_on(refused):
    answer, job = refused
    assert sheet_facts(answer, answer.tasks[0], job)["stops"]["blanks"][:2] == ["Stop 1, held by", "Stop 2, held by"]


def test_the_hospital_is_told_pressure_flow_and_water(shift):
    card = sheet_facts(shift[0], shift[0].tasks[1], shift[1])["card"]
    assert "Jet: 800 bar" in card["lines"][-1]
    assert "14 °C" in card["lines"][-1]
    assert ["Product in the vessel or pipe"] in card["blanks"]


def test_what_was_changed_after_a_refusal_is_printed(shift):
    change = Changed("hoses.S8-20.rating", "900 bar", "1400 bar", "H. Moe", DAY)
    assert "hoses.S8-20.rating: from 900 bar to 1400 bar, H. Moe, 2026-05-12" in text(*shift, 1, changed=(change,))


def test_a_looser_bound_is_shown_with_who_set_it(shift):
    answer, job = shift
    kept = Bound(250.0, "force", "most", "Norway, regulation on the performance of work, 20-1", "regulation", True)
    rules = replace(answer.rules, looser=(Looser("recoil.supported", 300.0, kept, "R. Lund, site office"),))
    said = text(replace(answer, rules=rules), job)
    assert "R. Lund, site office" in said
    assert "300 N" in said


def test_a_look_first_task_asks_for_a_name_and_a_reason_for_each(shift):
    answer, job = shift
    task = answer.tasks[1]
    assert text(answer, job, 1).count("Looked at by, and why") == sum(limit.verdict == "look" for limit in task.limits)


def test_a_refused_task_has_nothing_to_follow(refused):
    answer, job = refused
    said = text(answer, job)
    facts = sheet_facts(answer, answer.tasks[0], job)
    assert "NOT ALLOWED" in said
    assert "Asked for, not to be set" in said
    assert "What would cure it, each solved again" in said
    assert all(tile["asked"] for tile in facts["settings"]["tiles"])
    assert facts["run_up"] is None
    assert facts["sign"]["blanks"] == []
    assert not re.search(r"Proving point|Run up|Crew lead|shut it at|close it", said)
    reasons = facts["refused"]["reasons"]
    assert len(reasons) == sum(limit.verdict == "not_allowed" for limit in answer.tasks[0].limits)
    assert all(reason["source"] for reason in reasons)


def refusing(answer, job, count, looks=0):
    """A refused task with so many reasons, and so many limits to look at."""
    task = answer.tasks[0]
    reasons = tuple(
        judge("rating.working", 1.0e8 + n * 1e6, 9e7, "pressure", "tag", over=word, about=f"hoses.H{n}")
        for word, many in (("not_allowed", count), ("look", looks))
        for n in range(many)
    )
    limits = tuple(replace(one, remedy="rating.working") for one in reasons)
    return replace(answer, tasks=(replace(task, limits=limits, cures_cut=True),)), job


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("count", [8, 12])
def test_no_reason_to_refuse_makes_room_for_what_is_to_look_at(refused, paper, count):
    answer, job = refusing(*refused, count, looks=30)
    said = text(answer, job, paper=paper)
    facts = sheet_facts(answer, answer.tasks[0], job)["refused"]
    assert all(reason["what"] in said for reason in facts["reasons"])
    assert "more reason" not in said
    assert re.search(r"\d+ more to look at", said)
    assert "Not every change was tried: this rig is large." in said


def test_reasons_that_no_page_holds_are_counted(refused):
    answer, job = refusing(*refused, 90)
    said = text(answer, job)
    hidden = int(re.search(r"(\d+) more reasons", said)[1])
    assert said.count("Take a part rated") == 90 - hidden
    assert 90 - hidden > 20


def test_a_cut_search_for_cures_is_told(refused):
    answer, job = refused
    assert sheet_facts(answer, answer.tasks[0], job)["refused"]["cut"] == ""
    assert "Not every change was tried" not in text(answer, job)


def test_limits_to_look_at_that_find_no_room_are_signed_elsewhere(shift):
    answer, job, _changed = crowded(*shift, "look")
    said = text(answer, job)
    left = int(re.search(r"(\d+) more to look at ·", said)[1])
    assert f"{left} more to look at: sign them on the printed check." in said
    assert "Each limit to look at first has" not in said
    assert said.count("Looked at by, and why") + left == sum(one.verdict == "look" for one in answer.tasks[0].limits)
    assert "Each limit to look at first has its own name and reason above." in text(*shift, 1)


def test_the_hardest_pushes_are_shown_and_the_others_counted():
    answer, job = planned("two-guns.toml")
    task = answer.tasks[0]
    tools = tuple(
        replace(task.tools[0], branch=n, tool=f"gun{n}", recoil=900.0 + 10.0 * n, recoil_side=0.0) for n in range(1, 9)
    )
    facts = sheet_facts(answer, replace(task, tools=tools, states=()), job, place=0)
    assert [each["name"] for each in facts["recoil"]["tools"]] == ["8, gun8:", "7, gun7:", "6, gun6:", "5, gun5:"]
    assert facts["recoil"]["more"] == "4 more tools, pushing no harder"
    tips = [tile for tile in facts["settings"]["tiles"] if tile["label"].startswith("Tips in")]
    assert [tile["label"] for tile in tips] == ["Tips in gun8", "Tips in gun7"]
    assert tips[-1]["note"].endswith("; 6 more tools: see the plan")
    whole = sheet_facts(answer, task, job)
    assert whole["recoil"]["more"] == ""


def test_triggers_let_go_that_find_no_room_are_counted():
    answer, job = planned("two-guns.toml")
    task = answer.tasks[0]
    tools = tuple(replace(task.tools[0], branch=n) for n in range(1, 6))
    all_held = next(state for state in task.states if all(state.held))
    whole = replace(all_held, held=(True,) * 5, tools=all_held.tools[:1] * 5)
    alone = [replace(whole, held=tuple(n != gone for n in range(5))) for gone in range(5)]
    lines = sheet_facts(answer, replace(task, tools=tools, states=(whole, *alone)), job)["others"]["lines"]
    assert sum("lets go:" in line for line in lines) == 3
    assert lines[-1] == "2 more, felt no harder"


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("name", ["shift/job.toml", "two-guns.toml", "hose-fed.toml", "reference/job.toml"])
def test_the_profile_beside_the_run_up_names_each_part_in_its_place(name, system):
    answer, job = planned(name)
    for task in answer.tasks:
        svg = profile_svg(task, job, system, BESIDE[0], text=BESIDE[1])
        named = {words: float(at) for at, words in re.findall(r'<text [^>]*?y="([\d.]+)"[^>]*>([^<]*)</text>', svg)}
        parts = {item.item for item in task.hose_run if not item.branch}
        assert named["Supply"] == named["Pump"] == named["Jet"]
        assert all(any(part in words for words, at in named.items() if at == named["Jet"]) for part in parts)


def test_a_limit_that_must_stay_above_reads_the_other_way(shift):
    facts = sheet_facts(shift[0], shift[0].tasks[1], shift[1])["limits"]
    rows = [row for row in facts["look"] + facts["within"] if row["bar"] is not None]
    assert {row["least"] for row in rows} == {True, False}
    for row in rows:
        kept = row["bar"] >= 0.25 - 1e-9 if row["least"] else row["bar"] <= 0.75 + 1e-9
        assert kept == (row["verdict"] == "within"), row["name"]


def test_every_limit_names_its_source(shift):
    for task in shift[0].tasks:
        facts = sheet_facts(shift[0], task, shift[1])["limits"]
        known = {source["mark"] for source in facts["sources"] if source["words"]}
        assert all(row["mark"] in known for row in facts["look"] + facts["within"])


# ---- what is not judged, and ratings


def open_task(answer, job, many=60):
    """A task of which nobody said what hurts, and much else."""
    task = answer.tasks[1]
    hurts = [
        judge(f"hazard.{name}", None, 0.0, "count", "permit", about="task.hazards", missing=f"task.hazards.{name}")
        for name in ("ignition", "confined_space", "live_electrical", "product")
    ]
    hurts.append(judge("person.stops", None, 2.0, "count", "guidance", missing="task.stops", least=True))
    hurts.append(judge("recoil.hand", None, 150.0, "force", "NO 20-1", about="tools.gun", missing="tools.gun.support"))
    rest = [
        judge("hose.test_age", None, None, "time", "", about=f"hoses.H{n}", missing=f"task.other_{n}")
        for n in range(many)
    ]
    return replace(answer, tasks=(answer.tasks[0], replace(task, limits=(*task.limits, *rest, *hurts)))), job


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_what_may_hurt_is_first_of_what_is_not_judged_and_never_left_out(shift, paper):
    answer, job = open_task(*shift)
    said = text(answer, job, 1, paper=paper)
    start = said.index("Not judged, to be checked by hand:")
    hurts = ("Fire hazard", "Confined space", "Live electrical parts", "Dangerous product", "Ways to stop", "body rest")
    places = [said.index(words, start) for words in hurts]
    assert max(places) < said.index("Hose H", start)
    assert re.search(r"and \d+ more: see jetwright check\.", said)


def test_what_the_front_has_no_room_for_stands_on_the_back(shift):
    answer, job = open_task(*shift)
    empty = {"under": "Back", "refused": "", "first": None, "across": [], "sections": []}
    read = pdf(answer, job, 1, back=empty)
    front, *others = (" ".join(page.extract_text().split()) for page in read.pages)
    hidden = int(re.search(r"and (\d+) more on the back\.", front)[1])
    assert hidden > 0
    lines = sheet_facts(answer, answer.tasks[1], job, place=1)["limits"]["not_judged"]["lines"]
    back = " ".join(others)
    assert all(line in back for line in lines[-hidden:])


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_rating_is_printed_above_what_it_is(name):
    """14.5038 psi a bar: NIST SP 811 (2008), appendix B.8, to the digits it needs here."""
    answer, job = planned(name)
    marked = [hose.rating for hose in job.hoses.values()] + [tool.rating for tool in job.tools.values()]
    marked += [fitting.rating for fitting in job.fittings.values()] + [job.unit.pump.rating]
    true = [rating / 6894.757 for rating in marked if rating is not None]
    for place in range(len(answer.tasks)):
        facts = sheet_facts(answer, answer.tasks[place], job, "us", place=place)
        shown = [float(psi) for line in facts["hoses"]["lines"] for psi in re.findall(r"(\d+) psi", line)]
        shown += [float(psi) for psi in re.findall(r"rated (\d+) psi", facts["profile"]["told"])]
        assert shown or name == "reference/job.toml"  # its tasks use no hose with a tag
        for psi in shown:
            assert any(0.0 <= rating - psi < 10.1 for rating in true), psi


def test_a_seal_without_an_address_says_so_and_has_no_code(shift):
    answer, job = shift
    facts = sheet_facts(
        answer, answer.tasks[2], job, signed=Signed("Ada", "Crew lead", "2026-05-12 06:40", ()), place=2
    )
    bare = sealed(facts, "12ab-34cd-56ef-7890", 7)
    assert bare["seal"]["code"] == ""
    (content,) = sheet_files(bare)
    said = " ".join(pypdf.PdfReader(io.BytesIO(content)).pages[0].extract_text().split())
    for words in ("Sealed 12ab-34cd-56ef-7890, record 7", "Record 7", "No address is set"):
        assert words in said
    assert "No address is set" not in str(sealed(facts, "12ab-34cd-56ef-7890", 7, "<svg/>"))


def test_the_lines_of_the_foot_stand_apart(shift):
    """Letters of 6.8 pt: an ascender above a line and a descender below the one before need 6.8 pt between them."""
    answer, job = shift
    signed = Signed("Ada", "Crew lead", "2026-05-12 06:40", ())
    facts = sealed(sheet_facts(answer, answer.tasks[2], job, signed=signed, place=2), "12ab-34cd-56ef-7890", 7)
    found = {}

    def seen(words, page, place, _font, _size):
        for start in ("Sealed 12ab", "Jetwright "):
            if words.startswith(start):
                found[start] = page[5] + page[3] * place[5]

    pypdf.PdfReader(io.BytesIO(sheet_files(facts)[0])).pages[0].extract_text(visitor_text=seen)
    assert abs(found["Sealed 12ab"] - found["Jetwright "]) > 6.8


def test_a_sheet_in_another_language_says_that_sources_are_as_written(shift, spanish):
    answer, job = shift
    assert sheet_facts(answer, answer.tasks[1], job, place=1)["limits"]["quoted"] != ""


def test_one_in_english_has_no_need_to(shift):
    answer, job = shift
    assert sheet_facts(answer, answer.tasks[1], job, place=1)["limits"]["quoted"] == ""


def test_changes_of_a_signed_sheet_are_all_on_it(shift):
    answer, job = shift
    changed = [Changed(f"W13-20, rating {n}", "900 bar", "1400 bar", "H. Moe", DAY) for n in range(9)]
    signed = Signed("Ada", "Crew lead", "2026-05-12 06:40", ())
    empty = {"under": "Back", "refused": "", "first": None, "across": [], "sections": []}
    read = pdf(answer, job, 1, changed=changed, signed=signed, back=empty)
    front, back = (" ".join(page.extract_text().split()) for page in read.pages)
    assert "Ratings and test dates written anew" in front
    assert "4 more changes: see the back" in front
    for n in range(9):
        assert f"W13-20, rating {n}: from 900 bar to 1400 bar, H. Moe, 2026-05-12" in back


# ---- the steps, all of them, and all that is told of them


ORDER = ["before water", "run-up", "letting go"]
LOOKED = [("shift/job.toml", 0), ("shift/job.toml", 1), ("shift/job.toml", 2), ("reference/job.toml", 2)]
REASON = "The plate is worn and cannot be read: the lower value is taken and a second person stands at the stop. "


def leaf(name, place, system, reason):
    """A signed leaf with its facts."""
    made = to_sign(read_job(ROOT / "examples" / name), place, DAY)
    given = [(look.limits, reason) for look in made.looks]
    facts = signed_sheet(made, Signed("Ada", "Crew lead", "2026-05-12 06:40", given), system)
    return facts, pypdf.PdfReader(io.BytesIO(sheet_files(sealed(facts, "12ab-34cd-56ef-7890", 7))[0]))


def left_out(facts, read):
    """What of the way up stands on none of its pages: an act, a note, a band, an opening, turns."""
    said = squeezed("".join(page.extract_text() for page in read.pages))
    run_up, opened = facts["run_up"], facts["openings"] or {"columns": []}
    told = [
        row[key]
        for row in run_up["rows"]
        for key in ("act", "gauge", "note", "say")
        if key != "act" or not row["brief"]
    ]
    told += [at for row in run_up["rows"] for at in row["at"]] + [row["brief"] for row in run_up["rows"]]
    told += [column[key] for column in opened["columns"] for key in ("gauge", "opened", "turns")]
    return [words for words in told if squeezed(words) not in said]


@pytest.mark.parametrize("reason", ["Seen.", (REASON * 2)[:150]])
@pytest.mark.parametrize(
    ("system", "language"),
    [
        ("si", "en"),
        ("us", "es"),
        pytest.param("us", "en", marks=pytest.mark.slow),
        pytest.param("si", "es", marks=pytest.mark.slow),
    ],
)
@pytest.mark.parametrize(("name", "place"), LOOKED)
def test_nothing_of_the_way_up_is_left_out_of_a_signed_sheet(
    name, place, language, system, reason, spanish, monkeypatch
):
    """Where the front is full, openings, speeds and bands go to the back; the letters stay as large as they are."""
    monkeypatch.setenv("LANGUAGE", language)
    wording._catalogue.cache_clear()
    facts, read = leaf(name, place, system, reason)
    assert left_out(facts, read) == []
    assert of_the_foot(read.pages[0]) == pytest.approx(6.8, abs=0.01)


def of_the_foot(page):
    """Size of the letters of its last line. [pt]"""
    sizes = []

    def seen(text, cm, tm, _font, size):
        if text.strip().startswith("Jetwright 0"):
            sizes.append(size * abs(tm[3]) * abs(cm[3]))

    page.extract_text(visitor_text=seen)
    return sizes[0]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("name", ["shift/job.toml", "two-guns.toml", "hose-fed.toml", "reference/job.toml"])
def test_nothing_of_the_way_up_is_left_out_of_a_sheet_to_be_signed_by_hand(name, system, paper):
    answer, job = planned(name)
    for place, task in enumerate(answer.tasks):
        facts = sheet_facts(answer, task, job, system, paper, place=place)
        assert left_out(facts, pypdf.PdfReader(io.BytesIO(sheet_files(facts)[0]))) == []


def test_the_order_is_whole_from_the_permit_to_the_release_and_counted_through(shift):
    answer, job = shift
    for place, task in enumerate(answer.tasks):
        rows = sheet_facts(answer, task, job, place=place)["run_up"]["rows"]
        steps = [step for step in task.run_up if step.order.removesuffix(" A") in ORDER]
        assert [row["n"] for row in rows] == [str(n) for n in range(1, len(steps) + 2)]
        assert [row["act"].replace("\u00a0", " ") for row in rows[:-1]] == [
            step_act(step, gauge=job.unit.gauge) for step in steps
        ]
        assert rows[-1]["act"].startswith("Planned stop: ")
        assert [step.id for step in steps[:5]] == [
            "water.ready", "water.bleed", "water.open_end", "water.packings", "water.engine"
        ]  # fmt: skip
        assert "a.baseline" in [step.id for step in steps]


def test_the_page_counts_the_steps_as_the_sheet_does(shift):
    answer, job = shift
    for place, task in enumerate(answer.tasks):
        on_page = page_facts(answer, task, job, "si", place)["run_up"]["rows"]
        on_sheet = sheet_facts(answer, task, job, place=place)["run_up"]["rows"]
        assert [(row["n"], row["act"], row["gauge"]) for row in on_page] == [
            (row["n"], row["act"], row["gauge"]) for row in on_sheet
        ]


def test_the_steps_stand_on_the_front_in_their_order(shift):
    said = squeezed(pdf(*shift, 1).pages[0].extract_text())
    rows = sheet_facts(*shift_task(shift, 1), place=1)["run_up"]["rows"]
    places = [said.find(squeezed(row["n"] + (row["brief"] or row["act"]))) for row in rows]
    assert -1 not in places
    assert places == sorted(places)


def test_what_the_front_of_a_full_sheet_lacks_is_marked_there_and_numbered_alike_on_the_back(spanish):
    facts, read = leaf("tip-box.toml", 0, "us", (REASON * 2)[:150])
    front, back = (squeezed(page.extract_text()) for page in read.pages)
    assert squeezed(facts["run_up"]["notes"]["where"]) in front
    told = facts["run_up"]["notes"]["told"]
    assert len(told) > 3
    for row in told:
        assert f"{row['n']}*" in front
        assert squeezed(row["n"] + row["act"]) in back


def test_a_full_front_and_the_change_card_are_one_list_in_one_order(spanish):
    """Down the front each number and each letter of the card comes once, in its order; in the file's own language."""
    facts, read = leaf("shift/job.toml", 1, "us", (REASON * 2)[:150])
    front, back = (squeezed(page.extract_text()) for page in read.pages)
    card, rows = facts["run_up"]["card"], facts["run_up"]["rows"]
    assert squeezed(card["where"]) in front
    assert squeezed(facts["run_up"]["title"]) not in back
    lines = [squeezed(row["n"] + (row["brief"] or row["act"])) for row in card["rows"]]
    places = [front.find(line) for line in lines]
    assert -1 not in places
    assert places == sorted(places)
    for row in rows:
        if row["letter"]:
            assert squeezed(row["letter"] + row["act"]) in back, row["n"]
            assert row["kept"] or squeezed(row["n"] + (row["brief"] or row["act"])) not in front


NAMED = re.compile(r"^(?:(\d+)(?: to (\d+))?: )?([A-Z])(?: to ([A-Z]))? on the back\.$")


@pytest.mark.parametrize(("path", "place"), [("shift/job.toml", 1), ("shift/job.toml", 2), ("reference/job.toml", 1)])
def test_whoever_goes_down_the_front_does_every_step_of_both_once(path, place):
    run_up = leaf(path, place, "si", REASON)[0]["run_up"]
    letters, numbers = [], []
    for row in run_up["card"]["rows"]:
        if row["n"]:
            numbers.append(int(row["n"]))
            letters += re.findall(r" \(([A-Z])\)$", row["act"])
            continue
        first, last, upper, lower = NAMED.fullmatch(row["act"].replace("\N{NO-BREAK SPACE}", " ")).groups()
        numbers += range(int(first), int(last or first) + 1) if first else []
        letters += [one for one in CARD_LETTERS if upper <= one <= (lower or upper)]
    assert numbers == list(range(1, len(run_up["rows"]) + 1))
    assert letters == list(CARD_LETTERS[: len(letters)])
    lettered = [row["letter"] for row in run_up["rows"] if row["letter"]]
    assert set(lettered) <= set(letters)
    assert letters[0] == "A"
    assert lettered[0] > "A"  # the stop and the change come first, and the card alone has them


def test_a_first_task_has_no_card_to_point_to(shift):
    answer, job = shift
    empty = {"under": "Back", "refused": "", "first": None, "across": [], "sections": []}
    assert sheet_facts(answer, answer.tasks[0], job, place=0, back=empty)["run_up"]["card"] is None
    assert sheet_facts(answer, answer.tasks[1], job, place=1)["run_up"]["card"] is None


def test_openings_with_many_digits_stand_apart(shift):
    """Eight of them in square inches are wider than their column: they stand in two rows, each with its heads."""
    opened = sheet_facts(*shift_task(shift, 1), "us", place=1)["openings"]
    assert len(opened["columns"]) == 8
    said = text(*shift, 1, system="us", paper="letter")
    assert said.count(opened["heads"]["opened"]) == 2
    assert all(column["opened"] in said.split() for column in opened["columns"])
    assert text(*shift, 0).count("open, mm²") == 1  # six are not


def test_why_a_limit_was_signed_leaves_a_full_front_before_any_step_does():
    facts, read = leaf("reference/job.toml", 3, "si", (REASON * 3)[:240])
    front, back = (squeezed(page.extract_text()) for page in read.pages)
    assert left_out(facts, read) == []
    assert squeezed("Why each was signed: see the back") in front
    assert squeezed(REASON) in back
    assert "*moreontheback" not in front


def test_a_signed_sheet_sends_nobody_to_a_command(shift):
    facts, read = leaf("shift/job.toml", 1, "si", "Seen.")
    said = " ".join(" ".join(page.extract_text().split()) for page in read.pages)
    assert re.search(r"\d+ more within limits: see the page of this record", said)
    assert "jetwright check" not in str(facts)
    assert "jetwright plan" not in str(facts)


def test_the_ways_to_stop_are_counted(shift):
    lines = sheet_facts(*shift_task(shift, 1), place=1)["stops"]["lines"]
    assert lines[:2] == ["1. trigger: lance operator", "2. emergency stop on the unit: pump operator"]


# ---- a stem whose turns nobody gave


@pytest.fixture(scope="module")
def unturned(shift):
    _answer, job = shift
    job = replace(job, unit=replace(job.unit, bypass=replace(job.unit.bypass, turns=None)))
    return plan_job(job, basis_for(job)), job


def test_no_hand_is_asked_for_an_opening_that_it_cannot_find(unturned):
    answer, job = unturned
    facts = sheet_facts(answer, answer.tasks[1], job, place=1)
    told = [row["act"] + row["note"] + row["say"] for row in facts["run_up"]["rows"]]
    assert not any("mm²" in words for words in told)
    bypass = next(tile for tile in facts["settings"]["tiles"] if tile["label"] == "Bypass")
    assert bypass["note"] == "close it slowly until the gauge shows it; by the gauge alone"
    assert "no hand can set these" in facts["openings"]["note"]
    said = text(answer, job, 1)
    assert "Proving point, set by the gauge alone: stop as soon as it stands in the band." in said
    assert "proves no tip, hose or pump" in said
    assert "count the turns from shut to fully open once, pump off and locked" in said
    assert "compare the gauge with the band" not in said


def test_a_bypass_that_is_shut_to_be_proved_needs_no_turns(unturned):
    answer, job = unturned
    said = text(answer, job, 0)
    assert "Proving point: compare the gauge with the band." in said
    assert "set by the gauge alone" not in said
