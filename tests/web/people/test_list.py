"""The page of people and crews, and a person's page."""

from django.urls import reverse

from jetwright.web.people.models import Membership
from tests.web.crew import CrewTestCase


class ListTest(CrewTestCase):
    def test_one_sees_ones_own_crew(self):
        page = self.as_(self.rae).get("/people/")
        self.assertContains(page, "North")
        self.assertContains(page, "Mechanic")
        self.assertNotContains(page, "South")
        self.assertNotContains(page, "Bo<")
        self.assertNotContains(page, "Add a person")
        self.assertNotContains(page, "Who changed what")

    def test_an_administrator_sees_all_and_who_has_no_role(self):
        self.olu.is_active = False
        self.olu.save()
        page = self.as_(self.zoe).get("/people/")
        for words in ("North", "South", "Bo", "Without a role", "Zoe", "Closed accounts", "Olu", "Add a person"):
            self.assertContains(page, words)

    def test_a_crew_lead_finds_who_changed_what(self):
        self.assertContains(self.as_(self.ada).get("/people/"), "Who changed what")

    def test_a_role_that_ended_shows_nobody(self):
        Membership.objects.filter(person=self.mia).update(ended_at="2026-01-01T00:00Z")
        self.assertNotRegex(self.as_(self.rae).get("/people/").content.decode(), r"\bMia\b")
        self.assertContains(self.as_(self.mia).get("/people/"), "no role in a crew yet")


class PageTest(CrewTestCase):
    def page(self, who, of):
        return self.as_(who).get(reverse("people:page", args=[of.pk]))

    def test_the_crew_sees_roles_and_no_acts(self):
        page = self.page(self.rae, self.ada)
        self.assertContains(page, "Crew lead")
        for words in ("Give a role", "Close the account", "Make a new password"):
            self.assertNotContains(page, words)

    def test_an_administrator_sees_the_acts_but_none_against_oneself(self):
        self.assertContains(self.page(self.zoe, self.ada), "Close the account")
        self.assertNotContains(self.page(self.zoe, self.zoe), "Close the account")

    def test_a_role_in_a_crew_that_one_does_not_see_is_not_shown(self):
        Membership.objects.create(person=self.ada, crew=self.other, role="trainer")
        self.assertNotContains(self.page(self.rae, self.ada), "South")
        self.assertContains(self.page(self.bo, self.ada), "South")
        self.assertNotContains(self.page(self.bo, self.ada), "North")

    def test_an_outsider_finds_nobody(self):
        self.assertEqual(self.page(self.bo, self.ada).status_code, 404)

    def test_no_secret_is_on_it(self):
        page = self.page(self.zoe, self.ada)
        self.assertNotContains(page, self.ada.password)
        self.assertNotContains(page, self.ada.pin)

    def test_who_has_not_entered_is_sent_to_enter(self):
        answer = self.client.get(reverse("people:page", args=[self.ada.pk]))
        self.assertTrue(answer.url.startswith(reverse("people:enter")))
