"""What a plan lacks of a unit leads to the form and the field in which it is written."""

import re
from html import unescape

from jetwright.actions.called import called
from jetwright.actions.plan import plan_read
from jetwright.files.tables import from_json, job_in
from jetwright.web.yard.first_unit import first_look
from jetwright.web.yard.missing import address_of
from jetwright.web.yard.models import Piece
from tests.web.crew import CrewTestCase
from tests.web.yard.pieces import stock


class MissingTest(CrewTestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.pieces = stock(cls.crew)
        cls.unit = cls.pieces["Heron 2"]
        spec = {key: value for key, value in cls.unit.spec.items() if key != "engine"}
        Piece.objects.filter(pk=cls.unit.pk).update(spec=spec)
        Piece.objects.filter(kind="relief").update(retired_at="2026-05-01T00:00:00Z", retired_why="gone")

    def page(self, who=None) -> str:
        return self.as_(who or self.ada).get(f"/yard/{self.unit.pk}/taken/").content.decode()

    def links(self, who=None) -> dict[str, str]:
        lists = self.page(who).split("<main")[1].split('<p class="acts">')[0]
        return {words: unescape(to) for to, words in re.findall(r'<a href="([^"]+)">([^<]+)</a>', lists)}

    def test_each_leads_to_a_form_that_has_the_field(self):
        links = {words: to for words, to in self.links().items() if not words.startswith("Heron")}
        self.assertGreater(len(links), 8)
        for words, to in links.items():
            page, _sign, field = to.partition("#")
            answer = self.as_(self.ada).get(page)
            self.assertEqual(answer.status_code, 200, words)
            if field:
                self.assertContains(answer, f'id="{field}"')

    def test_an_engine_is_written_on_the_unit_and_a_relief_device_anew(self):
        links = self.links()
        self.assertEqual(links["Engine"], f"/yard/{self.unit.pk}/change/#id_spec-engine-power")
        to = f"/yard/new/relief/?crew={self.crew.pk}&on={self.unit.pk}"
        self.assertEqual(links["Relief devices"], to)
        self.assertContains(self.as_(self.ada).get(to), f'<option value="{self.unit.pk}" selected>')

    def test_what_holds_a_gun_is_written_on_the_gun(self):
        gun = self.pieces["gun"]
        self.assertEqual(self.links()["gun: What supports the person"], f"/yard/{gun.pk}/change/#id_spec-support")

    def test_what_is_taken_leads_to_its_field_too(self):
        slip = f"/yard/{self.unit.pk}/change/#id_spec-pump-slip"
        self.assertEqual(self.links()["Pump: Share of swept volume lost"], slip)

    def test_a_name_with_a_dot_and_one_that_begins_another(self):
        pieces = [Piece(crew=self.crew, kind="hose", name=name, spec={}) for name in ("S8", "S8.20", "S8-20")]
        for piece in pieces:
            at = address_of(f"hoses.{piece.name}.tested", self.unit, pieces)
            self.assertEqual(at, f"/yard/{piece.pk}/change/#id_spec-tested")
        self.assertEqual(address_of("hoses.gone.tested", self.unit, pieces), "")
        self.assertEqual(address_of("task.stops", self.unit, pieces), "")

    def test_what_sits_on_the_unit_is_written_on_itself(self):
        gauge = self.pieces["Gauge 7"]
        at = address_of("unit.gauge.class", self.unit, list(self.pieces.values()))
        self.assertEqual(at, f"/yard/{gauge.pk}/change/#id_spec-class")

    def test_the_act_leads_to_the_form_of_the_unit(self):
        self.assertIn(f'href="/yard/{self.unit.pk}/change/">Write what is missing', self.page())

    def test_who_does_not_keep_the_yard_is_sent_nowhere(self):
        self.assertEqual(set(self.links(self.rae)), {"Heron 2"})
        self.assertNotIn("Write what is missing", self.page(self.rae))


class UnwrittenTest(CrewTestCase):
    """The page of a unit says what is still to be written of it."""

    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.pieces = stock(cls.crew)
        cls.unit = cls.pieces["Heron 2"]
        cls.unit.spec = cls.unit.spec | {"bypass": cls.unit.spec["bypass"] | {"turns": 12}}
        cls.unit.save()
        full = {"set": "1040 bar", "tested": "2026-01-19", "full_flow": "150 L/min"}
        Piece.objects.filter(kind="relief").update(spec=full)
        Piece.objects.filter(kind="gauge").update(spec={"full_scale": "1600 bar", "class": 1.6})

    def page(self, who=None) -> str:
        return self.as_(who or self.ada).get(f"/yard/{self.unit.pk}/").content.decode()

    def told(self, who=None) -> dict[str, str]:
        page = self.page(who)
        card = page.split("Still to be filled in</h2>")[1].split("</ul>")[0] if "Still to be" in page else ""
        return {words: unescape(to) for to, words in re.findall('<li>(?:<a href="([^"]+)">)?([^<]+)', card)}

    def without(self, *kinds: str) -> None:
        Piece.objects.filter(kind__in=kinds).update(retired_at="2026-05-01T00:00:00Z", retired_why="gone")

    def test_nothing_is_said_where_nothing_lacks(self):
        self.assertEqual(self.told(), {})
        hose = self.pieces["S8-20"]
        self.assertNotContains(self.as_(self.ada).get(f"/yard/{hose.pk}/"), "Still to be filled in")

    def test_a_relief_device_that_nobody_wrote(self):
        self.without("relief")
        to = f"/yard/new/relief/?crew={self.crew.pk}&on={self.unit.pk}"
        self.assertEqual(self.told(), {"Relief devices": to})

    def test_the_day_of_a_certificate_leads_to_the_device_that_lacks_it(self):
        late = Piece.objects.create(crew=self.crew, kind="relief", name="Z", on=self.unit, spec={"set": "1100 bar"})
        to = f"/yard/{late.pk}/change/#id_spec-tested"
        self.assertEqual(self.told(), {"Relief devices: Day of the certificate": to})

    def test_it_is_said_without_a_lance_in_the_yard_too(self):
        self.without("relief", "tool", "tip", "hose")
        self.assertEqual(list(self.told()), ["Relief devices"])

    def test_it_is_what_the_plan_lacks_of_the_unit(self):
        spec = {key: value for key, value in self.unit.spec.items() if key != "engine"}
        Piece.objects.filter(pk=self.unit.pk).update(spec=spec)
        for kinds in ((), ("relief",), ("gauge",), ("relief", "gauge")):
            Piece.objects.update(retired_at=None)
            self.without(*kinds)
            tables = first_look(Piece.objects.get(pk=self.unit.pk))
            task = plan_read(job_in(from_json(tables), "x"), cures=False).tasks[0]
            lacks = {limit.missing for limit in task.limits if limit.verdict == "not_judged"}
            self.assertEqual(set(self.told()), {called(key) for key in lacks if key.startswith("unit.")})

    def test_a_unit_that_no_plan_can_be_made_with_has_its_page(self):
        for spec in ({}, {"pump": {"rating": "high"}}, {"pump": {"rating": "1000 bar"}}):
            Piece.objects.filter(pk=self.unit.pk).update(spec=spec)
            self.assertNotIn("Still to be filled in", self.page())
            taken = self.as_(self.ada).get(f"/yard/{self.unit.pk}/taken/")
            self.assertContains(taken, "told error")

    def test_it_is_the_first_that_the_page_says(self):
        self.without("relief")
        self.assertLess(self.page().index("Still to be filled in"), self.page().index('<dl class="facts">'))

    def test_who_does_not_keep_the_yard_reads_it_and_is_sent_nowhere(self):
        self.without("relief")
        self.assertEqual(self.told(self.rae), {"Relief devices": ""})
