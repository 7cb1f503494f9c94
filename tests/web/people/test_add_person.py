"""An administrator adds a person."""

import re

from django.core import mail
from django.test import Client
from django.urls import reverse

from jetwright.web.people.models import Person
from tests.web.crew import CrewTestCase


class AddPersonTest(CrewTestCase):
    def post(self, who=None, **fields):
        typed = {"name": "Ned Aas", "username": "Ned", "language": "es", "units": "si"}
        typed |= {"crew": self.crew.pk, "role": "operator"}
        return self.as_(who or self.zoe).post(reverse("people:new"), typed | fields)

    def test_the_password_is_shown_once_and_lets_in(self):
        answer = self.post()
        secret = re.search(r"<b>([a-z2-9-]{14})</b>", answer.content.decode()).group(1)
        self.assertIn("no-store", answer.headers["Cache-Control"])
        browser = Client()
        browser.post(reverse("people:enter"), {"username": "ned", "password": secret})
        self.assertRedirects(browser.get("/people/"), reverse("people:me"), fetch_redirect_response=False)
        self.assertEqual(mail.outbox, [])

    def test_the_person_has_the_role_and_nothing_more(self):
        self.post()
        made = Person.objects.get(username="ned")
        self.assertEqual((made.role_in(self.crew), made.is_superuser, made.must_change), ("operator", False, True))
        self.assertEqual((made.pin, made.language), ("", "es"))

    def test_without_a_crew_there_is_no_role(self):
        self.assertEqual(self.post(crew="", role="").status_code, 200)
        self.assertFalse(Person.objects.get(username="ned").memberships.exists())

    def test_a_name_twice_a_crew_without_a_role_and_odd_signs_are_refused(self):
        wrongs = ({"username": "ADA"}, {"role": ""}, {"crew": ""}, {"username": "аda"}, {"name": ""}, {"role": "boss"})
        for wrong in wrongs:
            self.assertEqual(self.post(**wrong).status_code, 422, wrong)
        self.assertFalse(Person.objects.filter(username="ned").exists())

    def test_language_and_units_are_those_of_who_adds_until_another_is_chosen(self):
        self.zoe.language, self.zoe.units = "es", "us"
        self.zoe.save()
        page = self.as_(self.zoe).get(reverse("people:new"))
        for value in ("es", "us"):
            self.assertContains(page, f'<option value="{value}" selected>')

    def test_only_administrators_do(self):
        for who in (self.ada, self.rae, self.bo):
            self.assertEqual(self.post(who).status_code, 403)
            self.assertEqual(self.as_(who).get(reverse("people:new")).status_code, 403)

    def test_who_has_not_entered_is_sent_to_enter(self):
        self.assertIn(reverse("people:enter"), self.client.post(reverse("people:new")).url)
