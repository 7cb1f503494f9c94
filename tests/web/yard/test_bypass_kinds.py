"""The fields of a unit's bypass stand under the kind of bypass that they belong to."""

import re
from dataclasses import fields

from jetwright.files.shapes import keys_of
from jetwright.rig.description import Bypass
from jetwright.web.yard.forms import OF_ONE_BYPASS
from tests.web.crew import CrewTestCase
from tests.web.yard.pieces import stock

LOT = re.compile(
    r'<fieldset data-asks="spec-bypass-kind" data-is="([^"]+)"><legend>([^<]+)</legend>(.*?)</fieldset>', re.S
)


class BypassKindsTest(CrewTestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.unit = stock(cls.crew)["Heron 2"]

    def page(self) -> str:
        return self.as_(self.ada).get(f"/yard/{self.unit.pk}/change/").content.decode()

    def test_each_lot_says_for_which_kind_it_is_and_holds_its_fields_alone(self):
        page = self.page()
        lots = {
            kind: (words, re.findall(' name="spec-bypass-([a-z_]+)"', part)) for kind, words, part in LOT.findall(page)
        }
        self.assertEqual(lots["hand-set"], ("For a hand-set bypass", ["full_open_area", "turns"]))
        self.assertEqual(lots["regulating"], ("For a regulating bypass", ["accumulation", "full_flow", "spill"]))
        self.assertEqual(lots["unloader"], ("For an unloader", ["set", "idle_pressure", "reset"]))
        for key in (one.name for one in fields(Bypass)):
            self.assertEqual(page.count(f' name="spec-bypass-{key}"'), 1, key)

    def test_every_kind_has_its_lot(self):
        self.assertEqual(set(OF_ONE_BYPASS), set(keys_of(Bypass)["kind"].shape.words))

    def test_what_is_written_for_a_kind_is_kept_where_it_was(self):
        form = {"version": 1, "name": "Heron 2", "spec-drive-kind": "hydrostatic", "spec-drive-top_ratio": "0.28",
                "spec-pump-flow_per_turn": "0.25 L", "spec-pump-start_speed": "110 rpm",
                "spec-pump-top_speed": "460 rpm", "spec-pump-rating": "1000 bar", "spec-bypass-kind": "regulating",
                "spec-bypass-returns_to": "tank", "spec-bypass-accumulation": "12 %",
                "spec-bypass-full_flow": "110 L/min"}  # fmt: skip
        self.assertEqual(self.as_(self.ada).post(f"/yard/{self.unit.pk}/change/", form).status_code, 302)
        self.unit.refresh_from_db()
        kept = {"kind": "regulating", "returns_to": "tank", "accumulation": 0.12, "full_flow": "110 L/min"}
        self.assertEqual(self.unit.spec["bypass"], kept)

    def test_what_is_missing_for_a_kind_is_said_under_it(self):
        form = {"version": 1, "name": "Heron 2", "spec-bypass-kind": "unloader", "spec-bypass-returns_to": "tank"}
        page = self.as_(self.ada).post(f"/yard/{self.unit.pk}/change/", form).content.decode()
        lots = {kind: part for kind, _words, part in LOT.findall(page)}
        self.assertIn('id="id_spec-bypass-set-wrong"', lots["unloader"])
        self.assertIn("For an unloader: Pressure at which it lets go", page)

    def test_the_script_is_on_the_page_of_a_unit_alone(self):
        self.assertIn("js/kinds.js", self.page())
        self.assertNotContains(self.as_(self.ada).get(f"/yard/new/hose/?crew={self.crew.pk}"), "kinds.js")
