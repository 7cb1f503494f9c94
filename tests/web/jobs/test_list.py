"""Looking at the jobs."""

from django.utils import timezone

from jetwright.web.jobs.models import Job
from tests.web.crew import CrewTestCase
from tests.web.jobs.cases import DemoTestCase


class ListTest(DemoTestCase):
    def test_it_shows_day_unit_and_tasks(self):
        answer = self.as_(self.rae).get("/jobs/")
        for text in ("Evaporator hall, Sundby works", "2026-05-12", "Heron 2", "Noon: pump footings by gun"):
            self.assertContains(answer, text)

    def test_a_retired_job_stands_below(self):
        Job.objects.filter(pk=self.what_if.pk).update(retired_at=timezone.now())
        page = self.as_(self.ada).get("/jobs/").content.decode()
        self.assertIn("1 retired job", page)
        self.assertGreater(page.index("what if"), page.index("1 retired job"))

    def test_it_says_of_which_crew_a_job_is(self):
        self.assertContains(self.as_(self.rae).get("/jobs/"), "crew North")
        self.assertContains(self.as_(self.rae).get(self.address(self.job)), "crew North")

    def test_older_jobs_stand_on_another_leaf(self):
        for number in range(99):
            Job.objects.create(crew=self.crew, name=f"Job {number}")
        client = self.as_(self.rae)
        first, second = client.get("/jobs/"), client.get("/jobs/?leaf=2")
        self.assertContains(first, "Job 0<")
        self.assertContains(first, "?leaf=2")
        self.assertNotContains(first, "?leaf=0")
        shown = [leaf.content.decode().count('<li class="card">') for leaf in (first, second)]
        self.assertEqual(shown, [100, 1])
        self.assertContains(second, "?leaf=1")
        self.assertNotContains(second, "?leaf=3")
        for nonsense in ("x", "-1", "0", "99999999999", "²"):
            self.assertContains(client.get("/jobs/", {"leaf": nonsense}), "Job 0<")

    def test_another_crew_sees_none_of_it(self):
        self.assertNotContains(self.as_(self.bo).get("/jobs/"), "Evaporator")

    def test_a_reader_is_offered_nothing_to_make(self):
        self.assertNotContains(self.as_(self.rae).get("/jobs/"), "New job")

    def test_who_has_not_entered_is_asked_to(self):
        self.assertEqual(self.client.get("/jobs/").status_code, 302)


class EmptyListTest(CrewTestCase):
    def test_a_reader_is_told_who_can_put_one_in(self):
        answer = self.as_(self.rae).get("/jobs/")
        self.assertContains(answer, "There is no job yet")
        self.assertNotContains(answer, "Put in the demo shift")
