"""The back of a job sheet: the change card and the work, nothing cut off, the front as it was, no refusal to follow."""

import io
import os
import re
import subprocess
import sys
from dataclasses import replace

import pypdf
import pytest

from jetwright import units
from jetwright.actions.plan import basis_for
from jetwright.actions.sign import signed_sheet, to_sign
from jetwright.files.job import read_job
from jetwright.plan.answer import Fit, InletSide
from jetwright.plan.change import change_card
from jetwright.report import press, wording
from jetwright.report.back import back_facts
from jetwright.report.gauge import gauge_step
from jetwright.report.pipe import pull_rows
from jetwright.report.press import sheet_files, unprinted
from jetwright.report.sheet import BREAK, Signed, sealed, sheet_facts
from jetwright.report.surface import coverage_rows
from jetwright.report.terminal import GLUE
from jetwright.rig.description import Hydrant, Suction
from tests.contract.source import ROOT
from tests.report.pixels import ink
from tests.report.test_sheet import DAY, EXAMPLES, planned
from tests.report.test_work import COVER, JET, PULL, goal

NOTE = "Nothing here is a distance to a person"
CAUTION = "supports and never replaces training"


@pytest.fixture(scope="module")
def shift():
    return planned("shift/job.toml")


@pytest.fixture(scope="module")
def refused():
    return planned("shift/not-allowed.toml")


@pytest.fixture(scope="module")
def drain():
    return planned("hose-fed.toml")


@pytest.fixture
def speak(monkeypatch):
    """Choose the language of a sheet."""

    def chosen(language):
        monkeypatch.setenv("LANGUAGE", language)
        wording._catalogue.cache_clear()

    yield chosen
    wording._catalogue.cache_clear()


def card_to(answer, job, place):
    return change_card(job, place - 1, place, basis_for(job), tuple(answer.tasks[place - 1 : place + 1]))


def both(answer, job, place=0, system="si", paper="a4", task=None):
    """The facts of a sheet with its back."""
    task = task or answer.tasks[place]
    card = card_to(answer, job, place) if place else None
    back = back_facts(task, job, system, card)
    return sheet_facts(answer, task, job, system, paper, place=place, back=back)


def read(*told, **how):
    return pypdf.PdfReader(io.BytesIO(sheet_files(both(*told, **how))[0]))


def words(page):
    return " ".join(page.extract_text().split())


def back(*told, **how):
    """What stands on the back."""
    _front, *pages = read(*told, **how).pages
    return " ".join(map(words, pages))


def crowded(answer):
    """A task with more on its back than a page holds."""
    task = answer.tasks[1]
    many = range(1, 9)
    return replace(
        task,
        tools=tuple(replace(task.tools[0], branch=n, tool=f"gun number {n}") for n in many),
        jets=tuple(replace(JET, branch=n) for n in many),
        coverage=tuple(replace(COVER, branch=n) for n in many),
        pulls=tuple(replace(PULL, branch=n) for n in many),
        goal=goal(),
    )


# ---- its pages


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_every_task_of_the_examples_is_one_leaf(name, paper, system):
    answer, job = planned(name)
    for place in range(len(answer.tasks)):
        pages = read(answer, job, place, system=system, paper=paper).pages
        assert len(pages) == 2
        assert pages[1].mediabox == pages[0].mediabox
        assert words(pages[1]).count(CAUTION) == 1
        assert "Back of the job sheet" in words(pages[1])


@pytest.mark.parametrize("place", [0, 1, 2])
def test_the_front_is_as_it_was(shift, place):
    answer, job = shift
    task = answer.tasks[place]
    alone = sheet_facts(answer, task, job, place=place)
    assert sheet_files(both(answer, job, place), "png")[0] == sheet_files(alone, "png")[0]
    before = pypdf.PdfReader(io.BytesIO(sheet_files(alone)[0])).pages
    assert words(before[0]) == words(read(answer, job, place).pages[0])
    assert len(before) == 1


def test_what_one_page_does_not_hold_flows_on(shift, monkeypatch):
    answer, job = shift
    task = crowded(answer)
    facts = both(answer, job, 1, task=task)
    pages = pypdf.PdfReader(io.BytesIO(sheet_files(facts)[0])).pages
    assert len(pages) > 2
    for page in pages:
        assert words(page).count(CAUTION) == 1
        assert "2026-05-12 · task 2 of 3" in words(page)
        assert task.name in words(page)
    said = " ".join(map(words, pages))
    for n in range(1, 9):
        assert said.count(f"{n} gun number {n}") >= 2
    rows = coverage_rows(task, job)[1:6] + pull_rows(task, job)[1:4]  # of the first tool, without its name
    for _label, told in rows:
        assert said.count(" ".join(told.replace(GLUE, " ").split()[:3])) >= 8
    assert "For the whole task" in said
    monkeypatch.setattr(press, "SCREEN", 50.0)  # dots per inch
    margin = 10.0 / 25.4 * 50.0
    for picture in sheet_files(facts, "png"):
        width, first, last = ink(picture)
        assert margin - 2 <= first <= last <= width - margin + 2


def test_a_name_without_a_blank_stays_on_the_page(shift, monkeypatch):
    answer, job = shift
    letters = "W" * 120
    task = replace(crowded(answer), name=letters)
    task = replace(task, tools=tuple(replace(tool, tool=letters) for tool in task.tools))
    tasks = (replace(job.task[0], name=letters), *job.task[1:])
    job, answer = replace(job, task=tasks), replace(answer, tasks=(replace(answer.tasks[0], name=letters), task))
    monkeypatch.setattr(press, "SCREEN", 50.0)
    margin = 10.0 / 25.4 * 50.0
    for picture in sheet_files(both(answer, job, 1, task=task), "png")[1:]:
        width, first, last = ink(picture)
        assert margin - 2 <= first <= last <= width - margin + 2


def test_two_processes_make_the_same_bytes(tmp_path):
    script = (
        "import hashlib, sys\n"
        f"sys.path.insert(0, r'{ROOT}')\n"
        "from jetwright.report.press import sheet_files\n"
        "from tests.report.test_back import both, planned\n"
        "facts = both(*planned('shift/job.toml'), 2)\n"
        "for kind in ('pdf', 'png'):\n"
        "    print(*(hashlib.sha256(file).hexdigest() for file in sheet_files(facts, kind)))\n"
    )
    sums = set()
    for seed in ("1", "2"):
        env = os.environ | {"PYTHONHASHSEED": seed, "SOURCE_DATE_EPOCH": seed, "TZ": f"UTC+{seed}"}
        done = subprocess.run(
            [sys.executable, "-c", script], capture_output=True, text=True, env=env, cwd=tmp_path, check=True
        )
        sums.add(done.stdout)
    assert len(sums) == 1
    assert len(sums.pop().split()) == 3


@pytest.mark.published("ISO 14289-1:2014, 5: the identifier of PDF/UA")
def test_it_claims_the_standard_for_who_cannot_see(shift):
    root = read(*shift, 1).trailer["/Root"]
    assert "<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_object().get_data().decode()
    assert root["/MarkInfo"]["/Marked"].value
    assert root["/Lang"] == "en"


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_our_own_words_lack_no_sign(shift, refused, drain, system, language, speak):
    speak(language)
    for answer, job in (shift, refused, drain):
        for place in range(len(answer.tasks)):
            assert unprinted(both(answer, job, place, system)) == ""


def too_small(page, facts):
    """What stands in letters below 8 pt that should not: all but the heads, the frame of the sheet and its foot."""
    small = set()

    def seen(text, cm, tm, _font, size):
        if size * abs(tm[3]) * abs(cm[3]) < 7.95:
            small.add(" ".join(text.split()))

    page.extract_text(visitor_text=seen)
    parts = facts["back"]["sections"] + facts["back"]["across"]
    heads = {part["title"] for part in parts} | {head for part in parts for head in part["heads"]}
    frame = [facts["head"]["job"], facts["head"]["when"], facts["verdict"]["note"], facts["back"]["under"]]
    frame += [facts["foot"]["caution"], *facts["foot"]["lines"], *(" ".join(head.split()) for head in heads)]
    frame += [facts["run_up"][away]["title"] for away in ("notes", "all")]
    frame.append(" · ".join((facts["head"]["task"], facts["head"]["when"], facts["back"]["under"])))
    return [text for text in small if text and not any(text in known for known in frame)]


def test_what_is_acted_upon_is_large_enough(shift, drain):
    for answer, job in (shift, drain):
        for place in range(len(answer.tasks)):
            page = read(answer, job, place).pages[1]
            assert too_small(page, both(answer, job, place)) == []


REASON = "The plate is worn and cannot be read: the lower value is taken, a second person stands at the stop, and "
SIGNED = [  # with a change from the task before, the most limits to look at, the longest words; pages at most
    ("shift/job.toml", 1, 2),
    ("shift/job.toml", 2, 2),
    ("reference/job.toml", 1, 3),  # two tools, and eleven such reasons fill half of its back
    ("reference/job.toml", 2, 2),
]


def signed(name, place, system):
    """The facts of a signed sheet, with a reason of 150 letters for each thing to look at."""
    made = to_sign(read_job(ROOT / "examples" / name), place, DAY)
    reason = REASON + "all agreed on it in the morning talk of that day."
    given = [(look.limits, f"{n}: {reason}"[:150]) for n, look in enumerate(made.looks, 1)]
    facts = signed_sheet(made, Signed("Ada", "Crew lead", "2026-05-12 06:40 CEST", given), system)
    return sealed(facts, "12ab-34cd-56ef-7890", 7, follows="aaaa-bbbb-cccc-dddd")


def squeezed(text):
    return "".join(text.replace(BREAK, "").split())


PRINTED = [
    ("si", "en"),
    ("us", "es"),
    pytest.param("us", "en", marks=pytest.mark.slow),
    pytest.param("si", "es", marks=pytest.mark.slow),
]
"""Every day the shortest and the longest words and figures; what lies between them in `make test-all`."""


@pytest.mark.parametrize(("system", "language"), PRINTED)
@pytest.mark.parametrize(("name", "place", "most"), SIGNED)
def test_a_signed_task_is_one_leaf_and_nothing_of_it_is_lost(name, place, most, system, language, speak):
    """Where a page is full the air between lines gives way, never the letters and never a line."""
    speak(language)
    facts = signed(name, place, system)
    pages = pypdf.PdfReader(io.BytesIO(sheet_files(facts)[0])).pages
    assert 2 <= len(pages) <= most
    assert [text for page in pages[1:] for text in too_small(page, facts)] == []
    said = squeezed(" ".join(page.extract_text() for page in pages[1:]))
    for part in facts["back"]["across"] + facts["back"]["sections"]:
        rows = [[*row.values()] if isinstance(row, dict) else row for row in part["rows"]]
        cells = [cell for row in rows for cell in row if isinstance(cell, str)]
        assert [text for text in (part["title"], *cells, *part["notes"]) if squeezed(text) not in said] == []


HEADS = {
    "en": ("Crew lead", "Seen with the client, reason {n}"),
    "es": ("Jefa de equipo", "Visto con el cliente, motivo {n}"),
}
JOBS = {
    "shift/job.toml": 3,
    "two-guns.toml": 1,
    "hose-fed.toml": 1,
    "tip-box.toml": 2,
    "reference/job.toml": 4,
    "reference/regulating.toml": 1,
    "reference/unloader.toml": 1,
}
"""How many tasks each job of the examples has, but for those that are refused."""
CROWDED = {("reference/job.toml", 1, "us", "es")}
"""Two tools and eleven reasons, in the longer language on the shorter paper: the card ends on a page more."""


@pytest.mark.parametrize(("system", "language"), PRINTED)
@pytest.mark.parametrize(("name", "place"), [(name, place) for name, count in JOBS.items() for place in range(count)])
def test_every_signed_task_of_the_examples_is_one_leaf(name, place, system, language, speak):
    """Metric units print on A4, US units on Letter, which is shorter and whose figures are longer."""
    speak(language)
    role, reason = HEADS[language]
    made = to_sign(read_job(ROOT / "examples" / name), place, DAY)
    given = [(look.limits, reason.format(n=n)) for n, look in enumerate(made.looks, 1)]
    facts = signed_sheet(made, Signed("Ada", role, "2026-05-12 06:40 CEST", given, "North"), system)
    facts = sealed(facts, "12ab-34cd-56ef-7890", 7, follows="aaaa-bbbb-cccc-dddd")
    pages = 3 if (name, place, system, language) in CROWDED else 2
    assert len(pypdf.PdfReader(io.BytesIO(sheet_files(facts)[0])).pages) == pages


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", JOBS)
def test_every_task_of_the_examples_is_one_leaf_in_spanish(name, paper, speak):
    speak("es")
    answer, job = planned(name)
    assert len(answer.tasks) == JOBS[name]
    for place in range(len(answer.tasks)):
        assert len(read(answer, job, place, paper=paper).pages) == 2


def test_no_two_steps_of_a_leaf_are_called_alike(shift):
    """Neither between its sides nor on its back, whatever of the front's steps stands there."""
    answer, job = shift
    for place in (1, 2):
        facts = both(answer, job, place)
        front = [row["n"] for row in facts["run_up"]["rows"]]
        card = [row["n"] for part in facts["back"]["sections"] if part["kind"] == "steps" for row in part["rows"]]
        assert len(set(front + card)) == len(front) + len(card)


# ---- what stands on it


def test_the_work_of_the_first_task_of_a_shift(shift):
    answer, job = shift
    said = back(answer, job, 0)
    titles = [
        "Morning: hall floor",
        "Back of the job sheet",
        "2026-05-12 · task 1 of 3",
        "Goal, and what the pressure is called",
        "What the jets do at a stand-off of 40.0 mm, tip to surface",
        "Over the surface",
        "For the whole task",
        CAUTION,
        "Judged by eu-generic",
        "Jetwright",
    ]
    assert [title for title in titles if title not in said] == []
    assert "BEFORE the tool is touched" not in said
    assert said.index(titles[3]) < said.index(titles[4]) < said.index(titles[5]) < said.index(titles[6])
    for name, jet in zip(("2 × F15", "2 × F13"), answer.tasks[0].jets, strict=True):
        assert f"{name} {jet.force:.0f} N {jet.power / 1e3:.1f} kW" in said
    assert "EUR" in said[said.index("For the whole task") :]


@pytest.mark.parametrize("place", [1, 2])
def test_every_later_task_starts_with_the_change(shift, place):
    answer, job = shift
    old, new = (f"“{task.name}”" for task in job.task[place - 1 : place + 1])
    said = back(answer, job, place)
    titles = [
        "Speed to start, bypass open, BEFORE the tool is touched.",
        f"Left on from {old}: gauge ",
        "What changes",
        "All else stays",
        f"Stop {old}, with the gauge to expect",
        "Change over",
        f"Run up {new}, with the gauge to expect",
        "For the whole task",
        CAUTION,
    ]
    places = [said.find(title) for title in titles]
    assert -1 not in places, titles[places.index(-1)]
    assert places == sorted(places)
    card = card_to(answer, job, place)
    step = gauge_step(job.unit.gauge)
    shown = float(re.search(rf"Left on from {old}: gauge (\d+) bar", said)[1])
    assert shown == pytest.approx(units.to(card.left.gauge, "bar"), abs=0.5 * step)
    assert "only then fit the tip" in said
    assert "Outside the band nobody goes on." in said
    assert "mm² (about 5.0 turns) under" not in said  # the openings on the way up stand on the front


def test_what_stands_before_everything_is_large(shift):
    sizes = {}

    def seen(text, cm, tm, _font, size):
        sizes[" ".join(text.split())] = size * abs(tm[3]) * abs(cm[3])

    read(*shift, 1).pages[1].extract_text(visitor_text=seen)
    assert sizes["Speed to start, bypass open, BEFORE the tool is touched."] > 10.0


def test_a_warning_stands_where_the_old_setting_is_too_much(shift):
    answer, job = shift
    warned = [both(answer, job, place)["back"]["first"]["warn"] for place in (1, 2)]
    assert warned == [True, False]  # 179 N of 150 N and the relief lifts; 107 N of 250 N below the relief


def test_steps_are_counted_through_and_carry_the_gauge(shift):
    parts = both(*shift, 1)["back"]["sections"]
    steps = [row for part in parts if part["kind"] == "steps" for row in part["rows"]]
    assert [row["n"] for row in steps] == list("ABCDEFGHJKLMNPQRSTUVWXYZ")[: len(steps)]
    assert all(re.search(r"\d\u00a0bar$", row["gauge"]) for row in steps if row["gauge"])
    assert sum(bool(row["gauge"]) for row in steps) > 10


def test_a_pipe_has_its_own_part(drain):
    said = back(*drain)
    for title in ("Goal, and what the pressure is called", "Over the surface", "In the pipe", "For the whole task"):
        assert title in said
    assert "common practice" in said[said.index("Reach") : said.index("Plugged")]
    assert "What the jets do" not in said  # no stand-off is given


def test_the_water_to_the_pump_is_told_where_it_is_described(drain):
    answer, job = drain
    fed = replace(
        job,
        unit=replace(job.unit, suction=Suction(0.05, 3.0, 0.4)),
        supply=replace(job.supply, hydrant=Hydrant(5e5, 4e5, 2.5e-3)),
    )
    task = replace(answer.tasks[0], inlet=InletSide(3e5, speed=0.9, hydrant=4e-3))
    said = back(answer, fed, task=task)
    assert "Water to the pump" in said
    assert "by its test 240 L/min" in said
    assert said.index("In the pipe") < said.index("Water to the pump") < said.index("For the whole task")
    assert "Water to the pump" not in back(answer, job)


def test_a_reading_at_the_proving_point_closes_it(shift):
    answer, job = shift
    fit = Fit(DAY, units.of(110.0, "rpm"), 0.0, 650e5, 610e5, 610 / 650, (), adopted=False)
    said = back(answer, job, 2, task=replace(answer.tasks[2], fit=fit))
    assert "610 bar at 110 rpm, 6.2 % below the 650 bar expected." in said
    assert said.index("For the whole task") < said.index("Reading at the proving point") < said.index(CAUTION)
    assert "Reading at the proving point" not in back(answer, job, 2)


def test_an_estimate_says_so_and_reads_as_no_distance(shift, drain):
    facts = both(*shift, 0)["back"]["sections"]
    [jets] = [part for part in facts if part["kind"] == "figures"]
    assert [head for head in jets["heads"] if "estimate" in head] == ["Pressure there, estimate", "Track, estimate"]
    assert all(re.search(r" \(\d\S*\u00a0to\u00a0\d\S*\)$", cell) for row in jets["rows"] for cell in row[3:])
    assert any(note.startswith(NOTE) for note in jets["notes"])
    for said in (back(*shift, 0), back(*drain)):
        assert not re.search(r"\b(safe|zone|barricade|clear of|stand off)\b", said.lower())


def test_several_tools_stand_under_their_names(shift):
    answer, job = shift
    parts = {part["title"]: part["rows"] for part in both(answer, job, 1, task=crowded(answer))["back"]["sections"]}
    for title in ("Over the surface", "In the pipe"):
        names = [label for label, told in parts[title] if not told]
        assert [" ".join(name.split()) for name in names] == [f"{n} gun number {n}" for n in range(1, 9)]


@pytest.mark.parametrize(
    ("system", "foreign"), [("si", r"\d (psi|gpm|hp|lbf|in|ft)\b"), ("us", r"\d (bar|L/min|kW|N|mm)\b")]
)
def test_one_system_throughout(shift, system, foreign):
    answer, job = shift
    for place in range(3):
        said = back(answer, job, place, system=system)
        for described in job.task:
            said = said.replace(described.object.what, "")  # stands as it was written
        assert re.search(foreign, said) is None


# ---- refused


def test_of_a_refused_task_only_the_stop_of_the_one_before_is_told(refused):
    answer, job = refused
    said = back(answer, job, 1)
    assert "Not allowed: nothing of this task is to be followed." in said
    assert "Speed to start, bypass open, BEFORE the tool is touched." in said
    assert "Stop “The old hose from the van”, with the gauge to expect" in said
    assert "“A bigger tip” is not allowed: it stays locked." in said
    assert not re.search(
        r"What changes|Change over|Run up|For the whole task|Goal|Proving point|Over the surface", said
    )
    task = replace(crowded(answer), verdict="not_allowed")
    assert [part["kind"] for part in both(answer, job, 1, task=task)["back"]["sections"]] == ["steps"]


def test_a_first_task_that_is_refused_has_nothing_on_its_back(refused):
    answer, job = refused
    facts = both(answer, job)["back"]
    assert (facts["first"], facts["across"], facts["sections"]) == (None, [], [])
    assert "Not allowed: nothing of this task is to be followed. The front says why." in back(answer, job)


def test_what_is_told_of_a_task_before_that_is_refused(refused):
    answer, job = refused
    assert "is not allowed, and its setting belongs on no machine" in back(answer, job, 1)


# ---- the front's line of use


def test_the_front_says_how_often_the_waste_tank_fills(shift):
    """15 min of trigger, 80 % of the water into 4 m³."""
    answer, job = shift
    task = answer.tasks[0]
    waste = 0.8 * task.use.water * 15.0 * 60.0
    lines = sheet_facts(answer, task, job)["use"]["lines"]
    told = f"Waste water {waste:.1f} m³ in 15 min of trigger, fills the waste tank {waste / 4.0:.2g} times"
    assert [line for line in lines if line.startswith("Waste water")] == [told]
    bare = replace(task, usage=replace(task.usage, waste=None, waste_fills=None))
    assert "fills" not in " ".join(sheet_facts(answer, bare, job)["use"]["lines"])
