"""The lock: by hand or after a while of nothing; opened with the PIN or the password."""

import time

from django.conf import settings
from django.contrib.auth import get_user
from django.urls import reverse

from jetwright.web.people.models import Entered
from tests.web.crew import PASSWORD, PIN, CrewTestCase


class LockTest(CrewTestCase):
    def setUp(self):
        self.browser = self.as_(self.ada)
        self.browser.get(reverse("people:me"))

    def idle(self, minutes):
        session = self.browser.session
        session["seen"] = time.time() - 60 * minutes
        session.save()

    def unlock(self, secret, **fields):
        return self.browser.post(reverse("people:unlock"), {"secret": secret} | fields)

    def test_after_a_while_of_nothing_every_page_asks_for_the_pin(self):
        self.idle(settings.IDLE_MINUTES + 0.1)
        for page in ("/people/", "/people/me/", "/jobs/", "/yard/", "/admin/", "/people/no-such-page/"):
            answer = self.browser.get(page)
            self.assertEqual(answer.status_code, 302, page)
            self.assertTrue(answer.url.startswith(reverse("people:unlock")), page)

    def test_shortly_before_that_nothing_is_asked(self):
        self.idle(settings.IDLE_MINUTES - 0.5)
        self.assertEqual(self.browser.get("/people/me/").status_code, 200)

    def test_once_locked_it_stays_locked(self):
        self.idle(settings.IDLE_MINUTES + 1)
        self.browser.get("/people/")
        self.idle(0)
        self.assertEqual(self.browser.get("/people/").status_code, 302)

    def test_the_page_of_the_lock_shows_a_name_and_no_pages(self):
        self.browser.post(reverse("people:lock"))
        answer = self.browser.get(reverse("people:unlock"))
        self.assertContains(answer, "Ada")
        self.assertNotContains(answer, "North")
        self.assertNotContains(answer, reverse("people:list") + '"')

    def test_the_browser_keeps_no_page(self):
        self.assertIn("no-store", self.browser.get("/people/").headers["Cache-Control"])

    def test_the_pin_opens_and_leads_back(self):
        self.idle(settings.IDLE_MINUTES + 1)
        asked = self.browser.get("/people/trail/?before=7").url
        answer = self.browser.post(asked, {"secret": PIN})
        self.assertRedirects(answer, "/people/trail/?before=7")

    def test_the_password_opens_too(self):
        self.browser.post(reverse("people:lock"))
        self.assertEqual(self.unlock(PASSWORD).status_code, 302)
        self.assertEqual(self.browser.get("/people/").status_code, 200)

    def test_a_wrong_pin_does_not(self):
        self.browser.post(reverse("people:lock"))
        self.assertContains(self.unlock("4712"), "does not do here", status_code=422)
        self.assertEqual(self.browser.get("/people/").status_code, 302)

    def test_another_persons_password_does_not(self):
        self.browser.post(reverse("people:lock"))
        self.olu.set_password("Six herons stood here")
        self.olu.save()
        self.assertEqual(self.unlock("Six herons stood here").status_code, 422)

    def test_sixteen_hours_after_the_password_the_pin_does_not(self):
        self.browser.post(reverse("people:lock"))
        row = Entered.objects.get(person=self.ada)
        row.until = row.until.__class__.now(row.until.tzinfo)
        row.save()
        self.assertEqual(self.unlock(PIN).status_code, 422)
        self.assertEqual(self.unlock(PASSWORD).status_code, 302)

    def test_the_session_gets_a_new_name(self):
        before = self.browser.session.session_key
        self.browser.post(reverse("people:lock"))
        self.unlock(PIN)
        self.assertNotEqual(self.browser.session.session_key, before)

    def test_what_was_sent_meanwhile_is_lost_and_that_is_said(self):
        self.idle(settings.IDLE_MINUTES + 1)
        answer = self.browser.post("/people/me/", {"name": "Eve"}, headers={"Referer": "http://testserver/people/me/"})
        self.ada.refresh_from_db()
        self.assertEqual(self.ada.name, "Ada")
        self.assertContains(self.browser.get(answer.url), "was not kept")
        self.assertEqual(self.browser.post(answer.url, {"secret": PIN}).url, "/people/me/")

    def test_a_piece_of_a_page_sends_the_whole_page_to_the_lock(self):
        self.idle(settings.IDLE_MINUTES + 1)
        headers = {"HX-Request": "true", "HX-Current-URL": "http://testserver/jobs/?a=1"}
        answer = self.browser.get("/jobs/", headers=headers)
        self.assertEqual((answer.status_code, answer.content), (204, b""))
        self.assertEqual(answer.headers["HX-Redirect"], "/people/unlock/?next=%2Fjobs%2F%3Fa%3D1")

    def test_a_program_is_told_and_not_sent_elsewhere(self):
        self.idle(settings.IDLE_MINUTES + 1)
        answer = self.browser.post("/people/me/", "{}", content_type="application/json")
        self.assertEqual(answer.status_code, 401)

    def test_what_a_page_asks_for_by_itself_is_no_act(self):
        self.idle(5)
        seen = self.browser.session["seen"]
        self.browser.get("/people/here/", headers={"X-Unattended": "yes"})
        self.assertEqual(self.browser.session["seen"], seen)
        self.assertEqual(self.browser.get("/people/here/").status_code, 204)
        self.assertGreater(self.browser.session["seen"], seen)

    def test_looking_does_not_lock(self):
        self.assertEqual(self.browser.get(reverse("people:lock")).status_code, 405)
        self.assertEqual(self.browser.get("/people/me/").status_code, 200)

    def test_an_open_page_has_nothing_to_unlock(self):
        self.assertRedirects(self.browser.get("/people/unlock/?next=/people/me/"), "/people/me/")

    def test_one_leaves_a_locked_page(self):
        self.browser.post(reverse("people:lock"))
        self.browser.post(reverse("people:leave"))
        self.assertFalse(get_user(self.browser).is_authenticated)

    def test_who_has_not_entered_is_sent_to_enter(self):
        for name in ("people:lock", "people:unlock", "people:here"):
            self.assertIn(reverse("people:enter"), self.client.post(reverse(name)).url)
