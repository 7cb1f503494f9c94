"""Making the first account with the one-time link."""

import datetime

from auditlog.models import LogEntry
from django.contrib.auth import get_user
from django.test import TestCase
from django.urls import reverse
from django.utils import timezone

from jetwright.web.people.first import digest, first_link
from jetwright.web.people.models import Crew, FirstLink, Membership, Person
from tests.web.crew import person

TYPED = {
    "name": "Ada Moe",
    "username": "Ada",
    "new": "Nine herons wade",
    "pin": "4711",
    "crew": "North",
    "language": "en",
    "units": "si",
}


class FirstAccountTest(TestCase):
    def setUp(self):
        self.token = first_link()

    def post(self, **fields):
        return self.client.post(reverse("people:first", args=[self.token]), TYPED | fields)

    def test_only_a_digest_is_kept(self):
        link = FirstLink.objects.get()
        self.assertEqual(link.digest, digest(self.token))
        self.assertNotIn(self.token, str(vars(link)))

    def test_the_page_asks_and_its_address_is_not_kept_by_the_browser(self):
        answer = self.client.get(reverse("people:first", args=[self.token]))
        self.assertContains(answer, "Make the account and enter")
        self.assertIn("no-store", answer.headers["Cache-Control"])

    def test_the_account_administers_leads_a_crew_and_has_entered(self):
        self.assertRedirects(self.post(), "/", fetch_redirect_response=False)
        made = Person.objects.get()
        self.assertEqual(
            (made.username, made.is_superuser, made.is_staff, made.must_change), ("ada", True, True, False)
        )
        self.assertTrue(made.check_password(TYPED["new"]))
        self.assertTrue(made.has_pin("4711"))
        self.assertEqual(made.role_in(Crew.objects.get(name="North")), "crew lead")
        self.assertEqual(get_user(self.client), made)

    def test_it_works_once(self):
        self.post()
        again = self.client.post(reverse("people:first", args=[self.token]), TYPED | {"username": "eve"})
        self.assertContains(again, "It was used", status_code=410)
        self.assertEqual(Person.objects.count(), 1)

    def test_after_a_day_it_opens_nothing(self):
        FirstLink.objects.update(until=timezone.now() - datetime.timedelta(seconds=1))
        self.assertContains(self.post(), "more than a day old", status_code=410)
        self.assertFalse(Person.objects.exists())

    def test_it_is_good_for_a_day(self):
        left = FirstLink.objects.get().until - timezone.now()
        self.assertTrue(datetime.timedelta(hours=23.9) < left <= datetime.timedelta(hours=24))

    def test_a_wrong_link_says_so(self):
        self.token += "x"
        self.assertContains(self.post(), "No such link", status_code=404)

    def test_a_newer_link_ends_the_older(self):
        first_link()
        self.assertEqual(self.post().status_code, 410)

    def test_there_is_no_link_where_somebody_has_an_account(self):
        person("ada")
        self.assertIsNone(first_link())
        self.assertContains(self.post(username="eve"), "It was used", status_code=410)

    def test_a_weak_password_or_pin_is_refused_and_the_link_stays_good(self):
        for wrong in ({"new": "password12"}, {"new": "short"}, {"new": "ada moe ada"}, {"crew": ""}):
            self.assertEqual(self.post(**wrong).status_code, 422, wrong)
        for pin in ("1234", "0000", "9876", "1212", "123", "123456789", "12a4", "٤٧١١", "345678", "8901"):
            self.assertContains(self.post(pin=pin), 'id="id_pin_error"', status_code=422)
        self.assertFalse(Person.objects.exists())
        self.assertEqual(self.post().status_code, 302)

    def test_what_is_made_after_the_account_is_signed_by_it(self):
        self.post()
        made = Person.objects.get()
        self.assertEqual(LogEntry.objects.get_for_object(Membership.objects.get()).get().actor, made)
        self.assertIsNone(LogEntry.objects.get_for_object(made).first().actor)
