"""What a person is called: seen, in one line, nobody else's."""

from django.urls import reverse

from tests.web.crew import CrewTestCase

UNSEEN = ("A\u202eda", "Ra\u200be", "Rae\nX", "\u3164", "R\u3164ae", "\u2800\u2800", "...", "Ra\u00a0e")


class NameTest(CrewTestCase):
    def call(self, name, who=None):
        who = who or self.rae
        who.refresh_from_db()
        fields = {"name": name, "language": "en", "units": "si", "theme": "", "version": who.version}
        status = self.as_(who).post(reverse("people:me"), fields).status_code
        who.refresh_from_db()
        return status, who.name

    def test_what_nobody_sees_is_no_name(self):
        for name in UNSEEN:
            self.assertEqual(self.call(name), (422, "Rae"), ascii(name))

    def test_nobody_takes_the_name_of_another(self):
        self.bo.is_active = False
        self.bo.save()
        for name in ("Ada", "ADA", "\uff21da", "ada", "Bo"):
            self.assertEqual(self.call(name), (422, "Rae"), ascii(name))

    def test_one_keeps_ones_own_and_writes_it_anew(self):
        self.assertEqual(self.call("rae"), (302, "rae"))
        self.assertEqual(self.call("Rae\u0301 O'Neill-Ñu 2"), (302, "Ra\u00e9 O'Neill-Ñu 2"))

    def test_a_new_person_is_called_as_nobody_else(self):
        fields = {"username": "ada2", "name": "Ada", "language": "en", "units": "si", "crew": "", "role": ""}
        self.assertEqual(self.as_(self.zoe).post(reverse("people:new"), fields).status_code, 422)

    def test_nor_in_the_administrators_pages(self):
        page = reverse("admin:people_person_change", args=[self.rae.pk])
        fields = {"username": "rae", "name": "Ada", "language": "en", "units": "si", "theme": "", "is_active": "on"}
        self.as_(self.zoe).post(page, fields)
        self.rae.refresh_from_db()
        self.assertEqual(self.rae.name, "Rae")

    def test_the_trail_tells_the_name_to_enter_with_too(self):
        self.call("Rae Two")
        self.assertContains(self.as_(self.zoe).get(reverse("people:trail")), "Rae Two (rae)")
