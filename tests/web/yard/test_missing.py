"""What a plan lacks of a unit leads to the form and the field in which it is written."""

import re
from html import unescape

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
