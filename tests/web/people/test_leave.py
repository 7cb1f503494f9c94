"""Leaving."""

from django.contrib.auth import get_user
from django.urls import reverse

from jetwright.web.people.devices import people_of
from jetwright.web.people.models import Entered
from tests.web.crew import CrewTestCase


class LeaveTest(CrewTestCase):
    def test_the_session_ends_and_the_password_is_asked_for_next_time(self):
        browser = self.as_(self.ada)
        self.assertRedirects(browser.post(reverse("people:leave")), reverse("people:enter"))
        self.assertFalse(get_user(browser).is_authenticated)
        self.assertFalse(people_of(Entered.objects.get(person=self.ada).device).exists())

    def test_looking_does_not_leave(self):
        self.assertEqual(self.as_(self.ada).get(reverse("people:leave")).status_code, 405)

    def test_who_has_not_entered_is_sent_to_enter(self):
        self.assertIn(reverse("people:enter"), self.client.post(reverse("people:leave")).url)
