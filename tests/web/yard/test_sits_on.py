"""The unit that a gauge, a relief device or a kit sits on: offered where there is one, missed where it is not said."""

from jetwright.web.yard.models import Piece
from tests.web.crew import CrewTestCase
from tests.web.yard.pieces import stock


class SitsOnTest(CrewTestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.pieces = stock(cls.crew)
        cls.unit = cls.pieces["Heron 2"]

    def chosen(self, kind):
        page = self.as_(self.ada).get(f"/yard/new/{kind}/?crew={self.crew.pk}").content.decode()
        return f'<option value="{self.unit.pk}" selected>' in page

    def test_the_only_unit_is_chosen(self):
        self.assertTrue(self.chosen("relief"))
        self.assertTrue(self.chosen("kit"))

    def test_a_second_gauge_sits_nowhere_until_somebody_says_so(self):
        self.assertFalse(self.chosen("gauge"))
        Piece.objects.filter(kind="gauge").update(retired_at="2026-05-01T00:00:00Z", retired_why="broken")
        self.assertTrue(self.chosen("gauge"))

    def test_of_two_units_none_is_chosen(self):
        Piece.objects.create(crew=self.crew, kind="unit", name="Heron 3", spec=self.unit.spec)
        self.assertFalse(self.chosen("relief"))

    def test_what_sits_on_no_unit_says_so_and_leads_to_the_field(self):
        relief = self.pieces["RV 3"]
        for on, said in ((self.unit, self.assertNotContains), (None, self.assertContains)):
            Piece.objects.filter(pk=relief.pk).update(on=on)
            said(self.as_(self.ada).get(f"/yard/{relief.pk}/"), "It sits on no unit, so no plan knows of it.")
        self.assertContains(self.as_(self.ada).get(f"/yard/{relief.pk}/"), f"/yard/{relief.pk}/change/#id_on")
        self.assertNotContains(self.as_(self.rae).get(f"/yard/{relief.pk}/"), "#id_on")
        self.assertNotContains(self.as_(self.ada).get(f"/yard/{self.pieces['gun'].pk}/"), "It sits on no unit")
