"""An administrator adds a crew."""

from django.urls import reverse

from jetwright.web.people.models import Crew
from tests.web.crew import CrewTestCase


class AddCrewTest(CrewTestCase):
    def post(self, who=None, name="East"):
        return self.as_(who or self.zoe).post(reverse("people:new_crew"), {"name": name})

    def test_it_is_there(self):
        self.assertRedirects(self.post(), reverse("people:list"), fetch_redirect_response=False)
        self.assertContains(self.as_(self.zoe).get("/people/"), "East")

    def test_no_two_have_one_name(self):
        for name in ("North", "north", ""):
            self.assertEqual(self.post(name=name).status_code, 422)
        self.assertEqual(Crew.objects.count(), 2)

    def test_only_administrators_do(self):
        for who in (self.ada, self.rae, self.bo):
            self.assertEqual(self.post(who).status_code, 403)

    def test_who_has_not_entered_is_sent_to_enter(self):
        self.assertIn(reverse("people:enter"), self.client.post(reverse("people:new_crew")).url)
