"""An administrator closes an account, and opens it again."""

from django.urls import reverse

from jetwright.web.people.models import Person
from tests.web.crew import PASSWORD, CrewTestCase


class CloseTest(CrewTestCase):
    def post(self, who=None, of=None, name="people:close"):
        return self.as_(who or self.zoe).post(reverse(name, args=[(of or self.olu).pk]))

    def test_what_was_open_ends_and_nothing_lets_in(self):
        browser = self.as_(self.olu)
        self.post()
        self.assertIn(reverse("people:enter"), browser.get("/people/").url)
        answer = self.client.post(reverse("people:enter"), {"username": "olu", "password": PASSWORD})
        self.assertEqual(answer.status_code, 422)

    def test_the_person_stays(self):
        self.post()
        self.assertTrue(Person.objects.filter(pk=self.olu.pk, is_active=False).exists())

    def test_it_opens_again(self):
        self.post()
        self.post(name="people:reopen")
        answer = self.client.post(reverse("people:enter"), {"username": "olu", "password": PASSWORD})
        self.assertEqual(answer.status_code, 302)

    def test_nobody_closes_their_own(self):
        self.post(of=self.zoe)
        self.zoe.refresh_from_db()
        self.assertTrue(self.zoe.is_active)

    def test_only_administrators_do(self):
        for name in ("people:close", "people:reopen"):
            self.assertEqual(self.post(self.ada, name=name).status_code, 403)
            self.assertEqual(self.post(self.rae, name=name).status_code, 403)
            self.assertEqual(self.post(self.bo, name=name).status_code, 404)

    def test_looking_does_not_close(self):
        for name in ("people:close", "people:reopen"):
            self.assertEqual(self.as_(self.zoe).get(reverse(name, args=[self.olu.pk])).status_code, 405)

    def test_who_has_not_entered_is_sent_to_enter(self):
        for name in ("people:close", "people:reopen"):
            self.assertIn(reverse("people:enter"), self.client.post(reverse(name, args=[self.olu.pk])).url)
