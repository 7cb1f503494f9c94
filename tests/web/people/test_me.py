"""One's own page: name, language, units, light or dark."""

import re

from django.urls import reverse

from tests.web.crew import CrewTestCase

TYPED = {"name": "Ada Moe", "language": "es", "units": "us", "theme": "dark", "version": "1"}


class MeTest(CrewTestCase):
    def post(self, **fields):
        return self.as_(self.ada).post(reverse("people:me"), TYPED | fields)

    def test_what_is_typed_is_kept_and_shown(self):
        self.assertRedirects(self.post(), reverse("people:me"), fetch_redirect_response=False)
        self.ada.refresh_from_db()
        kept = (self.ada.name, self.ada.language, self.ada.units, self.ada.theme, self.ada.version)
        self.assertEqual(kept, ("Ada Moe", "es", "us", "dark", 2))
        page = self.as_(self.ada).get(reverse("people:me"))
        self.assertContains(page, '<html lang="es" data-theme="dark">')

    def test_everybody_has_one(self):
        self.assertContains(self.as_(self.rae).get(reverse("people:me")), "Reader")

    def test_no_two_fields_share_a_name_for_their_labels(self):
        page = self.as_(self.ada).get(reverse("people:me")).content.decode()
        names = re.findall(r' id="([^"]+)"', page)
        self.assertEqual(len(names), len(set(names)))

    def test_nonsense_is_refused(self):
        for wrong in ({"name": ""}, {"name": "x" * 81}, {"language": "de"}, {"units": "cgs"}, {"theme": "pink"}):
            self.assertEqual(self.post(**wrong).status_code, 422, wrong)

    def test_rights_are_not_among_the_fields(self):
        self.post(is_superuser="on", username="root", is_staff="on")
        self.ada.refresh_from_db()
        self.assertEqual((self.ada.is_superuser, self.ada.is_staff, self.ada.username), (False, False, "ada"))

    def test_what_was_changed_meanwhile_is_not_overwritten(self):
        self.ada.name = "Ada Berg"
        self.ada.change(1, ["name"])
        self.assertContains(self.post(), "changed this meanwhile", status_code=409)
        self.ada.refresh_from_db()
        self.assertEqual(self.ada.name, "Ada Berg")
        self.assertContains(self.post(), 'value="Ada Moe"', status_code=409)
        self.assertContains(self.post(), 'name="version" value="2"', status_code=409)

    def test_who_has_not_entered_is_sent_to_enter(self):
        self.assertIn(reverse("people:enter"), self.client.post(reverse("people:me"), TYPED).url)
