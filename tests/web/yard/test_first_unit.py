"""From an empty yard by five questions to a unit that can be planned with."""

import html
import re
from urllib.parse import parse_qs, urlsplit

from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.written import read_written
from jetwright.web.yard.first_unit import first_look
from jetwright.web.yard.models import Piece
from tests.web.crew import PIN, CrewTestCase
from tests.web.seen import words_on

ANSWERS = {
    "unit": "Heron 2", "drive": "hydrostatic", "flow": "125 L/min", "engine": "1800 rpm",
    "pump-rating": "1000", "pump-rating-unit": "bar", "pump-top_speed": "500 rpm", "pump-start_speed": "110 rpm",
    "bypass-kind": "hand-set", "bypass-returns_to": "tank", "bypass-full_open_area": "20 mm2",
    "hose": "S8-20", "hose-bore": "8 mm", "hose-length": "20 m", "hose-rating": "1400 bar", "hose-count": "3",
    "tip": "L11", "tip-bore": "1.1 mm", "gauge-full_scale": "1600 bar", "gauge-class": "1.6",
    "gun": "gun", "release": "dump", "gun-bore": "6 mm", "dump-bore": "6 mm",
}  # fmt: skip

FOLDED = (
    "pump-flow_per_turn", "relief-set", "relief-kind", "relief-tested",
    "bypass-set", "hose-count", "tip", "gauge-class", "shows", "gun", "gun-rating",
)  # fmt: skip

UNIT = {
    "drive": {"kind": "hydrostatic", "top_ratio": 0.2778},
    "pump": {"top_speed": "500 rpm", "rating": "1000 bar", "start_speed": "110 rpm", "flow_per_turn": "0.25 L"},
    "bypass": {"kind": "hand-set", "returns_to": "tank", "full_open_area": "20 mm2"},
}
"""What these answers make of the unit."""

OF_QUESTION = {
    1: {
        "unit", "pump-rating", "pump-top_speed", "flow", "relief-set", "relief-kind", "relief-tested",
        "pump-flow_per_turn",
    },
    2: {"hose", "hose-bore", "hose-length", "hose-rating", "hose-tested", "hose-count"},
    3: {"tip-bore", "gun-bore", "tip", "gun", "gun-rating"},
    4: {"gauge-full_scale", "pump-start_speed", "drive", "engine", "shows", "gauge-class"},
    5: {
        "release", "dump-bore", "bypass-kind", "bypass-returns_to", "bypass-full_open_area", "bypass-set",
    },
}  # fmt: skip
"""Number of a question → the inputs that are seen on its page."""


def words(answer) -> str:
    return " ".join(re.findall('class="wrong"[^>]*>([^<]+)', answer.content.decode()))


def inputs(answer) -> tuple[dict[str, str], set[str]]:
    """What a browser would send of a page unasked, and the names of what is asked on it."""
    page = answer.content.decode()
    tags = re.findall("<(input|select)([^>]*)>", page)
    named = [
        (re.search(' name="([^"]*)"', rest), "hidden" in rest, re.search(' value="([^"]*)"', rest)) for _, rest in tags
    ]
    sent = {name[1]: html.unescape(value[1]) for name, hidden, value in named if name and hidden and value}
    asked = {name[1].removesuffix("-unit") for name, hidden, _ in named if name and not hidden}
    return sent, asked


def listed(answer) -> list[str]:
    """The fields that the list of what is wrong leads to."""
    return re.findall('<li><a href="#id_([^"]+)">', answer.content.decode())


class FirstUnitTest(CrewTestCase):
    address = "/yard/first-unit/"

    def post(self, who=None, question=5, **fields):
        """The last page with all the answers, as it is sent; some of them other than usual."""
        told = {"crew": self.crew.pk, "question": question}
        told |= ANSWERS | {name.replace("__", "-"): value for name, value in fields.items()}
        return self.as_(who or self.ada).post(self.address, told)

    def send(self, page, **fields):
        """A page as a browser sends it, with what its fields are given."""
        return self.as_(self.ada).post(self.address, inputs(page)[0] | fields, follow=True)

    def answered(self, number):
        """The answers to a question, a quantity apart from its unit as the page asks it."""
        of_it = OF_QUESTION[number]
        return {name: value for name, value in ANSWERS.items() if name.removesuffix("-unit") in of_it}

    def test_one_question_is_asked_at_a_time(self):
        for number, asked in OF_QUESTION.items():
            page = self.as_(self.ada).get(f"{self.address}?question={number}")
            self.assertContains(page, f"question {number} of 5")
            self.assertEqual(inputs(page)[1] - {"then"}, asked)
            self.assertContains(page, "act main", count=1)
            self.assertContains(page, 'class="caution"', count=1)
        for nonsense in ("", "?question=0", "?question=6", "?question=x", "?question=%C2%B2"):
            self.assertContains(self.as_(self.ada).get(self.address + nonsense), "question 1 of 5")

    def test_question_by_question_the_answers_make_a_yard(self):
        page = self.as_(self.ada).get(self.address)
        for number in range(1, 6):
            self.assertContains(page, f"question {number} of 5")
            self.assertEqual(Piece.objects.count(), 0)
            page = self.send(page, **self.answered(number))
        self.assertContains(page, "What a plan takes and does not judge")
        self.assertEqual({piece.kind: piece.spec for piece in Piece.objects.all()}["unit"], UNIT)
        self.assertEqual(Piece.objects.count(), 5)

    def test_what_was_answered_stands_when_somebody_goes_back(self):
        page = self.as_(self.ada).get(self.address)
        for number in (1, 2):
            page = self.send(page, **self.answered(number))
        page = self.send(page, then="back", **{"tip-bore": "1.1", "tip-bore-unit": "mm", "gun-bore": "six"})
        self.assertContains(page, "question 2 of 5")
        self.assertContains(page, 'value="1400 bar"')
        page = self.send(page, then="back", **self.answered(2))
        self.assertContains(page, "question 1 of 5")
        self.assertContains(page, 'name="pump-rating" value="1000 bar"')
        self.assertNotContains(page, "told error")
        page = self.send(self.send(page, **self.answered(1)), **self.answered(2))
        self.assertContains(page, "question 3 of 5")
        self.assertContains(page, 'name="tip-bore" value="1.1 mm"')
        self.assertContains(page, 'name="gun-bore" value="six"')

    def test_the_address_of_a_question_carries_the_answers_and_no_secret(self):
        answer = self.post(question=2)
        carried = parse_qs(urlsplit(answer.url).query)
        self.assertEqual(carried.pop("question"), ["3"])
        self.assertEqual(carried.pop("crew"), [str(self.crew.pk)])
        self.assertEqual({name: value for name, [value] in carried.items()} | {"pump-rating-unit": "bar"},
                         ANSWERS | {"pump-rating": "1000 bar"})  # fmt: skip
        self.assertContains(self.as_(self.ada).get(answer.url), 'name="tip-bore" value="1.1 mm"')

    def test_a_lock_in_between_leads_back_to_the_question_with_what_was_answered(self):
        browser, address = self.as_(self.ada), self.post(question=4).url
        session = browser.session
        session["locked"] = True
        session.save()
        asked = browser.get(address).url
        self.assertTrue(asked.startswith("/people/unlock/"))
        told = {"secret": PIN, "next": parse_qs(urlsplit(asked).query)["next"][0]}
        self.assertEqual(browser.post("/people/unlock/", told).url, address)

    def test_an_answer_that_is_too_long_is_said_and_nothing_longer_is_carried(self):
        answer = self.post(question=1, then="back", unit="u" * 5000)
        self.assertLess(len(answer.url), 2000)
        self.assertEqual(listed(self.post(question=1, unit="u" * 81)), ["unit"])

    def test_a_question_is_passed_once_it_is_answered_and_not_before(self):
        for number in range(1, 5):
            first = dict.fromkeys((name for later in range(number + 1, 6) for name in OF_QUESTION[later]), "")
            self.assertEqual(self.post(question=number, **first).status_code, 302, number)
            answer = self.post(question=number, **dict.fromkeys(OF_QUESTION[number], ""))
            self.assertContains(answer, f"question {number} of 5", status_code=422)
            self.assertLessEqual(set(listed(answer)), OF_QUESTION[number])
        self.assertEqual(Piece.objects.count(), 0)

    def test_a_wrong_answer_brings_back_the_question_it_stands_in_and_keeps_the_others(self):
        Piece.objects.create(crew=self.crew, kind="unit", name="Heron 2", spec={})
        answer = self.post()
        self.assertContains(answer, "question 1 of 5", status_code=422)
        self.assertContains(answer, "there is one of this name", status_code=422)
        kept = inputs(answer)[0]
        for name, value in ANSWERS.items():
            self.assertTrue(name in OF_QUESTION[1] or name.endswith("-unit") or kept[name] == value, name)
        page = self.send(answer, **self.answered(1) | {"unit": "Heron 3"})
        for number in range(2, 6):
            page = self.send(page, **self.answered(number))
        self.assertContains(page, "What a plan takes and does not judge")
        self.assertTrue(Piece.objects.filter(kind="unit", name="Heron 3").exists())

    def test_a_tip_larger_than_the_gun_is_said_beside_the_tip(self):
        answer = self.post(question=3, tip__bore="7 mm")
        self.assertEqual(listed(answer), ["tip-bore"])

    def test_somebody_may_say_that_they_do_not_know(self):
        self.assertContains(self.as_(self.ada).get(self.address + "?question=5"), "I do not know")

    def test_the_answers_make_a_yard(self):
        answer = self.post()
        unit = Piece.objects.get(kind="unit")
        self.assertEqual(answer.url, f"/yard/{unit.pk}/taken/")
        self.assertEqual(unit.spec, UNIT)
        gun = Piece.objects.get(kind="tool").spec
        self.assertEqual(gun["dump"], {"bore": "6 mm"})
        self.assertEqual(gun["ports"], [{"tip": "L11"}])
        self.assertEqual(Piece.objects.get(kind="gauge").on, unit)
        self.assertEqual(Piece.objects.get(kind="tip").spec, {"bore": "1.1 mm", "inlet": "unknown"})

    def test_what_is_made_can_be_planned_with_and_says_what_it_takes(self):
        self.post()
        unit = Piece.objects.get(kind="unit")
        self.assertEqual(read_written(first_look(unit), "x").job.unit.name, "Heron 2")
        answer = self.as_(self.ada).get(f"/yard/{unit.pk}/taken/")
        self.assertContains(answer, "Relief devices")
        self.assertContains(answer, "Pump: Share of swept volume lost")
        self.assertNotContains(answer, "told error")

    def test_what_the_panel_shows_is_asked_and_what_is_left_empty_is_said(self):
        for told, shows in (("", None), ("engine speed", ["engine speed"]), ("both", ["pump speed", "engine speed"])):
            self.post(unit=f"Heron {told}", hose=f"S {told}", tip=f"T {told}", gun=f"gun {told}", shows=told)
            unit = Piece.objects.get(kind="unit", name=f"Heron {told}".strip())
            self.assertEqual(unit.spec.get("shows"), shows)
            page = words_on(self.as_(self.ada).get(f"/yard/{unit.pk}/taken/"))
            said = "What the panel shows no speed not given: the plan has it raised by the gauge alone"
            self.assertEqual(said in page, not told, page)

    def test_a_direct_drive_has_its_ratio_the_other_way_round(self):
        self.post(drive="direct")
        self.assertEqual(Piece.objects.get(kind="unit").spec["drive"], {"kind": "direct", "ratio": 3.6})

    def test_who_does_not_know_how_the_gun_lets_go_is_told_what_to_look_at(self):
        self.assertContains(self.post(release="unknown"), "look for a second outlet", status_code=422)
        self.assertEqual(Piece.objects.count(), 0)

    def test_a_dump_needs_its_port(self):
        self.assertContains(self.post(dump__bore=""), "missing", status_code=422)
        self.assertEqual(self.post(dump__bore="", release="dry shut-off").status_code, 302)
        self.assertNotIn("dump", Piece.objects.get(kind="tool").spec)

    def test_the_flow_is_written_once(self):
        self.assertContains(self.post(pump__flow_per_turn="0.3 L"), "written twice", status_code=422)
        self.assertContains(self.post(flow=""), "look for a flow on the plate", status_code=422)
        self.assertEqual(self.post(flow="", pump__flow_per_turn="0.3 L").status_code, 302)

    def test_each_question_must_be_answered(self):
        for name in ("unit", "drive", "engine", "pump-rating", "pump-top_speed", "pump-start_speed", "bypass-kind",
                     "bypass-returns_to", "bypass-full_open_area", "hose", "hose-bore", "hose-length", "tip-bore",
                     "gauge-full_scale", "gun-bore", "release"):  # fmt: skip
            answer = self.post(**{name: ""})
            self.assertEqual(answer.status_code, 422, name)
            self.assertContains(answer, 'class="wrong"', status_code=422)
        self.assertEqual(Piece.objects.count(), 0)

    def test_nonsense_is_said_beside_its_question(self):
        answer = self.post(pump__rating="9000 bar", unit="")
        self.assertIn("at most 6000 bar", words_on(answer))
        answer = self.post(hose__bore="8", hose__length="")
        self.assertContains(answer, "question 2 of 5", status_code=422)
        self.assertContains(answer, "a unit is missing", status_code=422)

    def test_what_a_plate_may_leave_out_is_folded_away_and_said_what_it_is_taken_as(self):
        pages = [self.as_(self.ada).get(f"{self.address}?question={n}").content.decode() for n in range(1, 6)]
        folded = " ".join(part.partition("</details>")[0] for page in pages for part in page.split("<details")[1:])
        names = set(re.findall(' name="([^"]+)"', folded)) - {f"{n}-unit" for n in FOLDED}
        self.assertEqual(names, set(FOLDED))
        self.assertEqual(folded.count("More from"), 5)
        self.assertIn("Left empty: “First gun”.", folded)

    def test_all_of_it_may_stay_empty(self):
        for gun in ("First gun", "First gun 2"):
            answer = self.post(**{"unit": gun, "hose": gun, **dict.fromkeys(FOLDED, "")})
            self.assertEqual(answer.status_code, 302, words(answer))
            self.assertTrue(Piece.objects.filter(kind="tool", name=gun).exists())
        self.assertEqual(Piece.objects.filter(kind="tip").count(), 2)

    def test_a_relief_device_may_be_written_from_its_plate(self):
        told = {"relief-set": "1150", "relief-set-unit": "bar", "relief-kind": "disc", "relief-tested": "2026-01-19"}
        self.assertEqual(self.post(**told).status_code, 302)
        relief = Piece.objects.get(kind="relief")
        self.assertEqual(relief.spec, {"set": "1150 bar", "kind": "disc", "tested": "2026-01-19"})
        self.assertEqual(relief.on, Piece.objects.get(kind="unit"))
        page = self.as_(self.ada).get(f"/yard/{relief.on_id}/taken/")
        self.assertContains(page, "Relief devices: Flow it passes when fully open")
        self.assertNotContains(page, ">Relief devices<")
        self.assertNotContains(page, "told error")

    def test_whoever_writes_some_of_it_writes_its_set_pressure_and_what_it_is(self):
        self.assertEqual(
            listed(self.post(question=1, **{"relief-tested": "2026-01-19"})), ["relief-set", "relief-kind"]
        )
        self.assertEqual(listed(self.post(question=1, **{"relief-set": "1150 bar"})), ["relief-kind"])
        answer = self.post(question=1, **{"relief-set": "fast", "relief-kind": "valve"})
        self.assertEqual(listed(answer), ["relief-set"])
        self.assertContains(answer, "<details open>", count=1, status_code=422)

    def test_a_relief_device_that_nobody_gave_is_not_judged_and_the_plan_says_so(self):
        self.post()
        self.assertFalse(Piece.objects.filter(kind="relief").exists())
        self.assertContains(
            self.as_(self.ada).get(self.address), "Left empty: not given, so what hangs on it is not judged."
        )
        supply = {"pressure": "3 bar", "flow": "5000 L/min", "temperature": "15 degC"}
        unit = Piece.objects.get(kind="unit")
        job = Job.objects.create(crew=self.crew, name="Quay wall", unit=unit, spec={"supply": supply})
        rig = {"tool": "gun", "hose_run": ["S8-20"], "target": {"nozzle_pressure": "500 bar"}}
        task = Task.objects.create(job=job, name="Wash", spec=rig)
        plan = self.as_(self.ada).get(f"/jobs/{job.pk}/tasks/{task.pk}/plan/").content.decode()
        said = re.sub("<[^>]+>", "", plan.split("Not judged, to be checked by hand:")[1].split("</ul>")[0])
        self.assertRegex(said, r"Relief opens at[^(]*\(no relief device is described\)")
        sign = self.as_(self.ada).get(f"/records/sign/{task.pk}/").content.decode()
        self.assertRegex(sign, r"Relief opens at.*\s.*not judged: no relief device is described")

    def test_the_day_of_the_hoses_test_is_asked(self):
        self.post(**{"hose-tested": "2026-03-02"})
        self.assertEqual(Piece.objects.get(kind="hose").spec["tested"], "2026-03-02")

    def test_what_is_wrong_is_counted_and_listed_above_and_has_the_focus(self):
        answer = self.post(question=3, **{"tip-bore": "fast", "gun-rating": "9000 bar", "gun-bore": ""})
        self.assertContains(answer, "Not kept yet: 3 things to put right", status_code=422)
        self.assertEqual(listed(answer), ["tip-bore", "gun-bore", "gun-rating"])
        self.assertContains(answer, 'role="alert" tabindex="-1" autofocus', count=1, status_code=422)
        self.assertContains(answer, " autofocus", count=1, status_code=422)
        self.assertContains(answer, "<details open>", count=1, status_code=422)  # what is wrong is not folded away

    def test_all_that_is_missing_of_a_question_is_said_in_one_round(self):
        missing = {
            1: {"unit", "pump-rating", "pump-top_speed", "flow"}, 2: {"hose", "hose-bore", "hose-length"},
            3: {"tip-bore", "gun-bore"}, 4: {"gauge-full_scale", "pump-start_speed", "drive", "engine"},
            5: {"release", "bypass-kind", "bypass-returns_to"},
        }  # fmt: skip
        for number, names in missing.items():
            answer = self.post(question=number, **dict.fromkeys(OF_QUESTION[number], ""))
            self.assertEqual(set(listed(answer)), names)
            self.assertContains(answer, f"{len(names)} things to put right", status_code=422)

    def test_rights(self):
        for number in (1, 5):
            self.assertEqual(self.post(self.rae, number).status_code, 403)
            self.assertEqual(self.post(self.bo, number).status_code, 404)
        page = f"{self.address}?crew={self.crew.pk}&question=3"
        self.assertEqual(self.as_(self.rae).get(page).status_code, 403)
        self.assertEqual(self.as_(self.bo).get(page).status_code, 404)
        answer = self.client.post(self.address, ANSWERS)
        self.assertTrue(answer.url.startswith("/people/enter/"))
        self.assertEqual(Piece.objects.count(), 0)
