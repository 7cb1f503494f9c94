"""Changing one's own PIN."""

from django.urls import reverse

from tests.web.crew import PASSWORD, CrewTestCase


class PinTest(CrewTestCase):
    def post(self, **fields):
        return self.as_(self.ada).post(reverse("people:pin"), {"password": PASSWORD, "pin": "25807"} | fields)

    def test_it_is_changed(self):
        self.assertEqual(self.post().status_code, 302)
        self.ada.refresh_from_db()
        self.assertTrue(self.ada.has_pin("25807"))
        self.assertNotIn("25807", self.ada.pin)

    def test_the_password_is_needed(self):
        for wrong in ("4711", "wrong"):
            self.assertContains(self.post(password=wrong), "not your password", status_code=422)

    def test_a_pin_that_anybody_guesses_is_refused(self):
        for pin in ("1111", "1234", "654321", "7890", "121212", "12", ""):
            self.assertEqual(self.post(pin=pin).status_code, 422, pin)

    def test_looking_does_not_change(self):
        self.assertEqual(self.as_(self.ada).get(reverse("people:pin")).status_code, 405)

    def test_who_has_not_entered_is_sent_to_enter(self):
        self.assertIn(reverse("people:enter"), self.client.post(reverse("people:pin")).url)
