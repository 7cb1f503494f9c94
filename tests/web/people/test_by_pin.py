"""An administrator whom a PIN let in does what a crew does, and nothing of an administrator's."""

from django.urls import reverse

from tests.web.crew import PASSWORD, PIN, CrewTestCase


class ByPinTest(CrewTestCase):
    def setUp(self):
        self.browser = self.as_(self.zoe)
        self.browser.post(reverse("people:lock"))
        self.browser.post(reverse("people:unlock"), {"secret": PIN})

    def acts(self):
        yield self.browser.get(reverse("people:new"))
        yield self.browser.post(reverse("people:new"), {})
        yield self.browser.get(reverse("people:new_crew"))
        for act in ("reset", "close", "reopen", "role"):
            yield self.browser.post(reverse(f"people:{act}", args=[self.kim.pk]))
        yield self.browser.post(reverse("people:end_role", args=[self.kim.pk, self.kim.memberships.get().pk]))

    def test_every_act_asks_for_the_password(self):
        for answer in self.acts():
            self.assertEqual((answer.status_code, answer.url.split("?")[0]), (302, reverse("people:enter")))
        self.kim.refresh_from_db()
        self.assertTrue(self.kim.is_active)
        self.assertTrue(self.kim.has_pin(PIN))

    def test_so_do_the_administrators_pages(self):
        answer = self.browser.get(reverse("admin:people_person_change", args=[self.kim.pk]))
        self.assertEqual(answer.status_code, 302)
        self.assertIn("login", answer.url)

    def test_what_a_crew_does_goes_on(self):
        self.assertEqual(self.browser.get("/jobs/").status_code, 200)

    def test_with_the_password_it_is_done_and_leads_back(self):
        asked = self.browser.get(reverse("people:new")).url
        self.assertContains(self.browser.get(asked), "enter with your password")
        answer = self.browser.post(asked, {"username": "zoe", "password": PASSWORD})
        self.assertEqual(self.browser.get(answer.url).status_code, 200)
        self.assertEqual(answer.url, reverse("people:new"))

    def test_others_are_refused_as_before(self):
        self.assertEqual(self.as_(self.ada).post(reverse("people:close", args=[self.kim.pk])).status_code, 403)
        self.assertEqual(self.as_(self.bo).post(reverse("people:close", args=[self.kim.pk])).status_code, 404)
