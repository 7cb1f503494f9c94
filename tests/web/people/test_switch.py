"""Changing the person at a shared device, with a PIN."""

from django.contrib.auth import get_user
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jetwright.web.people.models import Entered
from tests.web.crew import PASSWORD, PIN, CrewTestCase


class SwitchTest(CrewTestCase):
    def setUp(self):
        for username in ("olu", "ada"):
            self.client.post(reverse("people:enter"), {"username": username, "password": PASSWORD})

    def post(self, who, pin=PIN):
        return self.client.post(reverse("people:switch"), {"person": who.pk, "pin": pin})

    def test_those_who_typed_a_password_here_are_named_and_no_others(self):
        answer = self.client.get(reverse("people:switch"))
        self.assertContains(answer, "Olu")
        self.assertContains(answer, "Ada")
        self.assertNotRegex(answer.content.decode(), r"\bMia\b")

    def test_the_pin_puts_the_person_at_the_device(self):
        self.assertEqual(self.post(self.olu).status_code, 302)
        self.assertEqual(get_user(self.client), self.olu)
        self.assertEqual(self.client.get("/people/me/").status_code, 200)

    def test_the_session_of_the_person_before_is_gone(self):
        before = self.client.session.session_key
        self.post(self.olu)
        self.assertFalse(Session.objects.filter(session_key=before).exists())

    def test_a_locked_device_is_handed_on(self):
        self.client.post(reverse("people:lock"))
        self.assertEqual(self.client.get(reverse("people:switch")).status_code, 200)
        self.post(self.olu)
        self.assertEqual(self.client.get("/people/me/").status_code, 200)

    def test_a_wrong_pin_changes_nothing(self):
        self.assertContains(self.post(self.olu, "4712"), "does not do here", status_code=422)
        self.assertEqual(get_user(self.client), self.ada)

    def test_somebody_who_typed_no_password_here_is_refused_with_the_right_pin(self):
        self.assertEqual(self.post(self.mia).status_code, 422)
        self.assertEqual(get_user(self.client), self.ada)

    def test_another_device_knows_nobody(self):
        other = Client()
        self.assertContains(other.get(reverse("people:switch")), "no PIN does here")
        self.assertEqual(other.post(reverse("people:switch"), {"person": self.ada.pk, "pin": PIN}).status_code, 422)
        self.assertFalse(get_user(other).is_authenticated)

    def test_after_sixteen_hours_the_password_is_asked_for(self):
        left = Entered.objects.filter(person=self.olu).first().until - timezone.now()
        self.assertAlmostEqual(left.total_seconds() / 3600, 16, delta=0.1)
        Entered.objects.update(until=timezone.now())
        self.assertEqual(self.post(self.olu).status_code, 422)

    def test_a_pin_does_not_make_it_longer(self):
        until = Entered.objects.get(person=self.olu).until
        self.post(self.olu)
        self.assertEqual(Entered.objects.get(person=self.olu).until, until)

    def test_a_closed_account_is_not_named_and_not_let_in(self):
        self.olu.is_active = False
        self.olu.save()
        self.assertNotRegex(self.client.get(reverse("people:switch")).content.decode(), r"\bOlu\b")
        self.assertEqual(self.post(self.olu).status_code, 422)

    def test_nonsense_is_refused(self):
        answer = self.client.post(reverse("people:switch"), {"person": "x", "pin": PIN})
        self.assertContains(answer, "Choose your name", status_code=422)
