"""What a person is called: seen, in one line, nobody else's."""

from django.urls import reverse

from tests.web.crew import CrewTestCase

UNSEEN = (
    "A\u202eda", "Ra\u200be", "Rae\nX", "\u3164", "R\u3164ae", "\u2800\u2800", "...", "Ra\u00a0e", "Rae\ue000",
    "Ra\ufe0fe", "Ra\U000e0100e", "Ra\u2066e",
)  # fmt: skip
LOOK_ALIKE = ("\u0410da", "Ad\u0430", "\u0391da", "Olu B\u043e", "\uff21d\u0430")
"""Cyrillic and Greek letters that look like Latin ones."""
IN_ONE_SCRIPT = (
    "\u0410\u0434\u0430 \u041c\u043e", "Maria \u041c\u043e", "M\u00aa Jos\u00e9 N\u00fa\u00f1ez", "O'Neill-\u00d1u",
    "\u5c71\u7530\u592a\u90ce", "\u9ad8\u6a4b\u3042\u3044\u30a2\u30a4", "\uae40\ubbfc\uc900",
    "Li 2", "\u0639\u0644\u064a",
)  # fmt: skip
"""Names as they are written: Cyrillic, Latin beside Cyrillic, Spanish, Irish, Japanese, Korean, Arabic."""


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

    def test_no_word_of_a_name_mixes_letters_that_look_alike(self):
        for name in LOOK_ALIKE:
            self.assertEqual(self.call(name), (422, "Rae"), ascii(name))

    def test_names_as_they_are_written_are_taken(self):
        for name in IN_ONE_SCRIPT:
            self.assertEqual(self.call(name), (302, name), ascii(name))

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
