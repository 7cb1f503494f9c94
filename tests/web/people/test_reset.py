"""An administrator gives a person a new password."""

import re

from django.urls import reverse

from jetwright.web.people.devices import people_of
from jetwright.web.people.models import Entered
from tests.web.crew import PASSWORD, CrewTestCase


class ResetTest(CrewTestCase):
    def post(self, who=None, of=None):
        return self.as_(who or self.zoe).post(reverse("people:reset", args=[(of or self.olu).pk]))

    def test_the_password_is_new_the_pin_is_gone_and_must_be_changed(self):
        secret = re.search(r"<b>([a-z2-9-]{14})</b>", self.post().content.decode()).group(1)
        self.olu.refresh_from_db()
        self.assertTrue(self.olu.check_password(secret))
        self.assertEqual((self.olu.pin, self.olu.must_change), ("", True))

    def test_everywhere_it_ends(self):
        elsewhere = self.as_(self.olu)
        self.post()
        self.assertIn(reverse("people:enter"), elsewhere.get("/people/me/").url)
        self.assertFalse(people_of(Entered.objects.get(person=self.olu).device).exists())

    def test_the_wait_after_wrong_tries_ends(self):
        for _ in range(8):
            self.client.post(reverse("people:enter"), {"username": "olu", "password": "wrong"})
        secret = re.search(r"<b>([a-z2-9-]{14})</b>", self.post().content.decode()).group(1)
        answer = self.client.post(reverse("people:enter"), {"username": "olu", "password": secret})
        self.assertEqual(answer.status_code, 302)

    def test_ones_own_is_changed_on_ones_own_page(self):
        self.assertRedirects(self.post(of=self.zoe), reverse("people:me"), fetch_redirect_response=False)
        self.zoe.refresh_from_db()
        self.assertTrue(self.zoe.check_password(PASSWORD))

    def test_only_administrators_do(self):
        self.assertEqual(self.post(self.ada).status_code, 403)
        self.assertEqual(self.post(self.rae).status_code, 403)
        self.assertEqual(self.post(self.bo).status_code, 404)

    def test_looking_does_not_reset(self):
        answer = self.as_(self.zoe).get(reverse("people:reset", args=[self.olu.pk]))
        self.assertEqual(answer.status_code, 405)

    def test_who_has_not_entered_is_sent_to_enter(self):
        answer = self.client.post(reverse("people:reset", args=[self.olu.pk]))
        self.assertIn(reverse("people:enter"), answer.url)
