"""Two pages of one session at once: neither undoes what the other kept, a lock above all."""

import time

from django.conf import settings
from django.urls import reverse

from jetwright.web.sessions import SessionStore
from tests.web.crew import CrewTestCase


class AtOnceTest(CrewTestCase):
    def setUp(self):
        self.browser = self.as_(self.ada)
        self.browser.get("/people/me/")

    def slow(self):
        """The session as a page has it that was asked for before."""
        session = SessionStore(self.browser.session.session_key)
        session.load()
        return session

    def test_a_slow_page_does_not_open_what_was_locked_meanwhile(self):
        for changed in ({"seen": time.time() + 1}, {"seen": time.time() + 1, "other": 1}):
            slow = self.slow()
            slow.update(changed)
            self.browser.post(reverse("people:lock"))
            slow.save()
            self.assertEqual(self.browser.get("/jobs/").status_code, 302)
            self.assertTrue(SessionStore(slow.session_key)["locked"])

    def test_what_another_page_kept_or_took_away_stays_so(self):
        first, second = self.slow(), self.slow()
        first["a"], second["b"] = 1, 2
        first.save()
        second.save()
        third, fourth = self.slow(), self.slow()
        del third["a"]
        fourth["b"] = 3
        third.save()
        fourth.save()
        self.assertEqual((self.slow().get("a"), self.slow()["b"]), (None, 3))

    def test_a_list_that_grew_is_kept(self):
        first = self.slow()
        first["list"] = [1]
        first.save()
        second = self.slow()
        second["list"].append(2)
        second.save()
        self.assertEqual(self.slow()["list"], [1, 2])

    def test_one_who_never_did_a_thing_is_locked_out_too(self):
        browser = self.as_(self.olu)
        browser.get("/jobs/", headers={"X-Unattended": "yes"})
        session = browser.session
        session["seen"] -= 60 * settings.IDLE_MINUTES + 1
        session.save()
        self.assertEqual(browser.get("/jobs/").status_code, 302)
