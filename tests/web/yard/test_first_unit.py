"""From an empty yard by five questions to a unit that can be planned with."""

import re

from jetwright.web.jobs.written import read_written
from jetwright.web.yard.first_unit import first_look
from jetwright.web.yard.models import Piece
from tests.web.crew import CrewTestCase

ANSWERS = {
    "unit": "Heron 2", "drive": "hydrostatic", "flow": "125 L/min", "engine": "1800 rpm",
    "pump-rating": "1000", "pump-rating-unit": "bar", "pump-top_speed": "500 rpm", "pump-start_speed": "110 rpm",
    "bypass-kind": "hand-set", "bypass-returns_to": "tank", "bypass-full_open_area": "20 mm2",
    "hose": "S8-20", "hose-bore": "8 mm", "hose-length": "20 m", "hose-rating": "1400 bar", "hose-count": "3",
    "tip": "L11", "tip-bore": "1.1 mm", "gauge-full_scale": "1600 bar", "gauge-class": "1.6",
    "gun": "gun", "release": "dump", "gun-bore": "6 mm", "dump-bore": "6 mm",
}  # fmt: skip

FOLDED = (
    "pump-flow_per_turn", "bypass-set", "hose-count", "tip", "gauge-class", "gun", "gun-rating",
)  # fmt: skip


def words(answer) -> str:
    return " ".join(re.findall('class="wrong"[^>]*>([^<]+)', answer.content.decode()))


class FirstUnitTest(CrewTestCase):
    def post(self, who=None, **fields):
        told = ANSWERS | {"crew": self.crew.pk} | {name.replace("__", "-"): value for name, value in fields.items()}
        return self.as_(who or self.ada).post("/yard/first-unit/", told)

    def test_the_questions_are_there(self):
        self.assertContains(self.as_(self.ada).get("/yard/first-unit/"), "I do not know")

    def test_the_answers_make_a_yard(self):
        answer = self.post()
        unit = Piece.objects.get(kind="unit")
        self.assertEqual(answer.url, f"/yard/{unit.pk}/taken/")
        self.assertEqual(
            unit.spec,
            {
                "drive": {"kind": "hydrostatic", "top_ratio": 0.2778},
                "pump": {
                    "top_speed": "500 rpm", "rating": "1000 bar", "start_speed": "110 rpm", "flow_per_turn": "0.25 L",
                },
                "bypass": {"kind": "hand-set", "returns_to": "tank", "full_open_area": "20 mm2"},
            },
        )  # fmt: skip
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
        answer = self.post(pump__rating="9000 bar", hose__bore="8", unit="")
        self.assertContains(answer, "at most 6000 bar", status_code=422)
        self.assertContains(answer, "a unit is missing", status_code=422)

    def test_what_a_plate_may_leave_out_is_folded_away_and_said_what_it_is_taken_as(self):
        page = self.as_(self.ada).get("/yard/first-unit/").content.decode()
        folded = " ".join(part.partition("</details>")[0] for part in page.split("<details")[1:])
        names = set(re.findall(' name="([^"]+)"', folded)) - {f"{n}-unit" for n in FOLDED}
        self.assertEqual(names, set(FOLDED))
        self.assertEqual(folded.count("More from the"), 5)
        self.assertIn("Left empty: “First gun”.", folded)
        for number in range(1, 6):
            self.assertIn(f"<h2>{number}. ", page)

    def test_all_of_it_may_stay_empty(self):
        for gun in ("First gun", "First gun 2"):
            answer = self.post(**{"unit": gun, "hose": gun, **dict.fromkeys(FOLDED, "")})
            self.assertEqual(answer.status_code, 302, words(answer))
            self.assertTrue(Piece.objects.filter(kind="tool", name=gun).exists())
        self.assertEqual(Piece.objects.filter(kind="tip").count(), 2)

    def test_the_day_of_the_hoses_test_is_asked(self):
        self.post(**{"hose-tested": "2026-03-02"})
        self.assertEqual(Piece.objects.get(kind="hose").spec["tested"], "2026-03-02")

    def test_what_is_wrong_is_listed_above_and_the_first_of_it_has_the_focus(self):
        answer = self.post(**{"pump-top_speed": "fast", "gun-rating": "9000 bar", "drive": ""})
        page = answer.content.decode()
        listed = re.findall('<li><a href="#([^"]+)">', page)
        self.assertEqual(listed, ["id_drive", "id_pump-top_speed", "id_gun-rating"])
        self.assertEqual(page.count(" autofocus"), 1)
        self.assertRegex(page, '<select id="id_drive"[^>]* autofocus')
        self.assertIn("<details open>", page)  # what is wrong is not folded away
        self.assertEqual(page.count("<details open>"), 1)

    def test_all_that_is_missing_is_said_in_one_round(self):
        page = self.as_(self.ada).post("/yard/first-unit/", {"crew": self.crew.pk}).content.decode()
        listed = set(re.findall('<li><a href="#id_([^"]+)">', page))
        self.assertEqual(
            listed,
            {
                "unit", "drive", "pump-rating", "pump-top_speed", "pump-start_speed", "flow", "engine", "bypass-kind",
                "bypass-returns_to", "hose", "hose-bore", "hose-length", "tip-bore", "gauge-full_scale", "release",
                "gun-bore",
            },
        )  # fmt: skip

    def test_rights(self):
        self.assertEqual(self.post(self.rae).status_code, 403)
        self.assertEqual(self.post(self.bo).status_code, 404)
        self.assertEqual(self.client.post("/yard/first-unit/", ANSWERS).status_code, 302)
