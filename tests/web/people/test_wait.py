"""After too many wrong passwords or PINs one waits, and others do not."""

import datetime

from axes.models import AccessAttempt
from django.contrib.auth import get_user
from django.urls import reverse
from django.utils import timezone

from tests.web.crew import PASSWORD, PIN, CrewTestCase

TRIES = 8


class WaitTest(CrewTestCase):
    def enter(self, username="ada", password="wrong", address="10.0.0.1"):
        fields = {"username": username, "password": password}
        return self.client.post(reverse("people:enter"), fields, REMOTE_ADDR=address)

    def wrong(self, tries=TRIES):
        return [self.enter() for _ in range(tries)]

    def test_the_ninth_try_is_refused_even_when_right(self):
        codes = [answer.status_code for answer in self.wrong()]
        self.assertEqual(codes[:-1], [422] * (TRIES - 1))
        answer = self.enter(password=PASSWORD)
        self.assertContains(answer, "Too many wrong tries", status_code=429)
        self.assertFalse(get_user(self.client).is_authenticated)

    def test_seven_wrong_ones_are_forgiven(self):
        self.wrong(TRIES - 1)
        self.assertEqual(self.enter(password=PASSWORD).status_code, 302)
        self.assertFalse(AccessAttempt.objects.exists())

    def test_the_page_says_when_to_try_again_and_trying_does_not_move_it(self):
        self.wrong()
        first, later = self.enter(), self.enter()
        at = timezone.localtime(AccessAttempt.objects.get().attempt_time + datetime.timedelta(minutes=15))
        self.assertContains(first, f"<b>{at:%H:%M}</b>", status_code=429)
        self.assertContains(later, f"<b>{at:%H:%M}</b>", status_code=429)
        self.assertTrue(880 < int(first.headers["Retry-After"]) <= 900)

    def test_after_the_wait_the_right_one_opens(self):
        self.wrong()
        AccessAttempt.objects.update(attempt_time=timezone.now() - datetime.timedelta(minutes=15, seconds=1))
        self.assertEqual(self.enter(password=PASSWORD).status_code, 302)

    def test_others_and_other_places_do_not_wait(self):
        self.wrong()
        self.assertEqual(self.enter("olu", PASSWORD).status_code, 302)
        self.assertEqual(self.enter(password=PASSWORD, address="10.0.0.2").status_code, 302)

    def test_capitals_in_the_name_are_no_way_round(self):
        for username in ("ada", "Ada", "ADA", "aDa") * 2:
            self.enter(username)
        self.assertEqual(self.enter(password=PASSWORD).status_code, 429)

    def test_a_header_from_the_browser_is_no_way_round(self):
        for number in range(TRIES):
            fields = {"username": "ada", "password": "wrong"}
            self.client.post(reverse("people:enter"), fields, headers={"X-Forwarded-For": f"10.0.1.{number}"})
        self.assertEqual(self.enter(password=PASSWORD, address="127.0.0.1").status_code, 429)

    def test_what_was_typed_is_not_kept(self):
        self.enter(password="Nine herons wde")
        browser = self.as_(self.ada)
        browser.post(reverse("people:lock"))
        browser.post(reverse("people:unlock"), {"secret": "4712"})
        browser.post(reverse("people:unlock"), {"secret": "Nine herons wde"})
        browser.post(reverse("people:switch"), {"person": self.ada.pk, "pin": "4713"})
        kept = [str(one) for row in AccessAttempt.objects.values() for one in row.values() if isinstance(one, str)]
        self.assertGreater(len(kept), 3)
        for typed in ("herons", "4712", "4713"):
            self.assertEqual([one for one in kept if typed in one], [])


class WaitForPinTest(CrewTestCase):
    def setUp(self):
        self.browser = self.as_(self.ada)

    def test_pins_count_at_the_lock(self):
        self.browser.post(reverse("people:lock"))
        for _ in range(TRIES):
            answer = self.browser.post(reverse("people:unlock"), {"secret": "4712"})
        self.assertEqual(answer.status_code, 429)
        self.assertEqual(self.browser.post(reverse("people:unlock"), {"secret": PIN}).status_code, 429)
        self.assertEqual(self.browser.get("/people/").status_code, 302)

    def test_pins_count_at_the_change_of_person(self):
        for _ in range(TRIES):
            answer = self.browser.post(reverse("people:switch"), {"person": self.ada.pk, "pin": "4712"})
        self.assertEqual(answer.status_code, 429)

    def test_after_the_wait_the_password_is_asked_for_not_the_pin(self):
        self.browser.post(reverse("people:lock"))
        for _ in range(TRIES):
            self.browser.post(reverse("people:unlock"), {"secret": "4712"})
        AccessAttempt.objects.all().delete()
        self.assertEqual(self.browser.post(reverse("people:unlock"), {"secret": PIN}).status_code, 422)
        self.assertEqual(self.browser.post(reverse("people:unlock"), {"secret": PASSWORD}).status_code, 302)

    def test_passwords_count_on_ones_own_page(self):
        for _ in range(TRIES):
            answer = self.browser.post(reverse("people:pin"), {"password": "wrong", "pin": "2580"})
        self.assertEqual(answer.status_code, 429)
