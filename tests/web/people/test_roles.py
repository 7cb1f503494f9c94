"""An administrator gives, changes and ends roles."""

from django.urls import reverse

from jetwright.web.people.models import Membership
from tests.web.crew import CrewTestCase


class GiveRoleTest(CrewTestCase):
    def post(self, who=None, **fields):
        typed = {"crew": self.crew.pk, "role": "trainer"}
        return self.as_(who or self.zoe).post(reverse("people:role", args=[self.olu.pk]), typed | fields)

    def test_another_role_ends_the_one_before(self):
        self.assertEqual(self.post().status_code, 302)
        roles = Membership.objects.filter(person=self.olu, crew=self.crew)
        self.assertEqual(roles.get(ended_at=None).role, "trainer")
        self.assertEqual(roles.exclude(ended_at=None).get().role, "operator")

    def test_a_double_tap_gives_it_once(self):
        self.post()
        self.post()
        self.assertEqual(Membership.objects.filter(person=self.olu).count(), 2)

    def test_a_role_in_a_second_crew_leaves_the_first(self):
        self.post(crew=self.other.pk)
        self.assertEqual((self.olu.role_in(self.crew), self.olu.role_in(self.other)), ("operator", "trainer"))

    def test_nonsense_is_refused(self):
        for wrong in ({"role": "boss"}, {"crew": "x"}, {"role": ""}):
            self.assertEqual(self.post(**wrong).status_code, 422, wrong)

    def test_only_administrators_do(self):
        self.assertEqual(self.post(self.ada).status_code, 403)
        self.assertEqual(self.post(self.rae).status_code, 403)
        self.assertEqual(self.post(self.bo).status_code, 404)

    def test_looking_does_not_give(self):
        self.assertEqual(self.as_(self.zoe).get(reverse("people:role", args=[self.olu.pk])).status_code, 405)

    def test_who_has_not_entered_is_sent_to_enter(self):
        answer = self.client.post(reverse("people:role", args=[self.olu.pk]))
        self.assertIn(reverse("people:enter"), answer.url)


class EndRoleTest(CrewTestCase):
    def address(self, of=None):
        row = Membership.objects.get(person=self.olu)
        return reverse("people:end_role", args=[(of or self.olu).pk, row.pk])

    def test_the_person_sees_the_crew_no_more_and_the_role_is_kept(self):
        self.assertEqual(self.as_(self.zoe).post(self.address()).status_code, 302)
        self.assertEqual(self.olu.role_in(self.crew), "")
        self.assertContains(self.as_(self.zoe).get(reverse("people:page", args=[self.olu.pk])), "Roles before")
        self.assertNotContains(self.as_(self.olu).get("/people/"), "North")

    def test_ending_twice_keeps_the_first_day(self):
        self.as_(self.zoe).post(self.address())
        ended = Membership.objects.get(person=self.olu).ended_at
        self.as_(self.zoe).post(self.address())
        self.assertEqual(Membership.objects.get(person=self.olu).ended_at, ended)

    def test_a_role_of_somebody_else_is_not_found(self):
        self.assertEqual(self.as_(self.zoe).post(self.address(self.mia)).status_code, 404)

    def test_only_administrators_do(self):
        self.assertEqual(self.as_(self.ada).post(self.address()).status_code, 403)
        self.assertEqual(self.as_(self.rae).post(self.address()).status_code, 403)
        self.assertEqual(self.as_(self.bo).post(self.address()).status_code, 404)

    def test_looking_does_not_end(self):
        self.assertEqual(self.as_(self.zoe).get(self.address()).status_code, 405)

    def test_who_has_not_entered_is_sent_to_enter(self):
        self.assertIn(reverse("people:enter"), self.client.post(self.address()).url)
