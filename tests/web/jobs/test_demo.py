"""Putting in the demo shift, and what its jobs plan to."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from jetwright.actions.plan import plan_read
from jetwright.report.plan_json import plan_json
from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.written import job_tables, read_task, read_written
from jetwright.web.people.models import Crew, Membership
from jetwright.web.yard.models import Piece
from tests.web.crew import CrewTestCase
from tests.web.jobs.cases import DemoTestCase
from tests.web.yard.pieces import stock

SHIFT = Path(__file__).resolve().parents[3] / "examples" / "shift"
SHIFT_NAME = "Evaporator hall, Sundby works"


def by_command(path: Path) -> dict:
    ran = subprocess.run(
        [sys.executable, "-m", "jetwright", "plan", str(path), "--json"], capture_output=True, text=True, check=False
    )
    assert ran.returncode in (0, 3), ran.stderr
    return json.loads(ran.stdout)


class PutInTest(CrewTestCase):
    def put_in(self, who):
        return self.as_(who).post("/jobs/demo/")

    def demos(self):
        return Crew.objects.filter(name__startswith="Demo")

    def test_two_jobs_with_their_tasks_and_the_yard_are_in_a_crew_of_their_own(self):
        answer = self.put_in(self.ada)
        crew = self.demos().get()
        self.assertRedirects(answer, f"/jobs/{Job.objects.get(name=SHIFT_NAME).pk}/")
        self.assertEqual(Job.objects.filter(crew=crew).count(), 2)
        self.assertEqual(Task.objects.count(), 6)
        self.assertEqual(set(Piece.objects.filter(crew=crew).values_list("kind", flat=True)), {
            "unit", "gauge", "relief", "hose", "fitting", "tip", "tool"
        })  # fmt: skip
        self.assertEqual(list(crew.memberships.values_list("person", "role")), [(self.ada.pk, "crew lead")])

    def test_nothing_of_it_is_in_the_yard_that_was_there_and_nothing_of_that_in_it(self):
        own = stock(self.crew)
        own["S8-20"].spec = {"bore": "12 mm", "length": "1 m"}
        own["S8-20"].save()
        job = Job.objects.create(crew=self.crew, name="Quay", unit=own["Heron 2"])
        task = Task.objects.create(job=job, name="Wall", spec={})
        self.put_in(self.ada)
        offered = self.as_(self.ada).get(f"/jobs/{job.pk}/tasks/{task.pk}/", {"run": 0, "at": 0})
        self.assertContains(offered, "S8-20")
        self.assertNotContains(offered, "W13-20")
        shift = Job.objects.get(name=SHIFT_NAME)
        self.assertEqual(
            json.loads(plan_json(plan_read(read_written(job_tables(shift), shift.name)))),
            by_command(SHIFT / "job.toml"),
        )

    def test_a_second_click_adds_nothing_and_opens_it(self):
        first = self.put_in(self.ada)
        before = (Job.objects.count(), Task.objects.count(), Piece.objects.count(), Crew.objects.count())
        answer = self.as_(self.ada).post("/jobs/demo/", follow=True)
        self.assertContains(answer, "was in already")
        self.assertEqual(answer.redirect_chain[-1][0], first.url)
        after = (Job.objects.count(), Task.objects.count(), Piece.objects.count(), Crew.objects.count())
        self.assertEqual(after, before)

    def test_each_who_clicks_has_a_demo_that_the_others_do_not_see(self):
        self.put_in(self.ada)
        self.put_in(self.bo)
        self.assertEqual(sorted(self.demos().values_list("name", flat=True)), ["Demo", "Demo 2"])
        self.assertContains(self.as_(self.bo).get("/jobs/"), "crew Demo 2")
        self.assertNotContains(self.as_(self.bo).get("/jobs/"), "crew Demo<")
        self.assertNotContains(self.as_(self.kim).get("/jobs/"), "Evaporator")

    def test_a_crew_that_is_called_so_and_holds_no_demo_is_left_alone(self):
        mine = Crew.objects.create(name="Demo")
        Membership.objects.create(person=self.ada, crew=mine, role="crew lead")
        self.put_in(self.ada)
        self.assertFalse(Piece.objects.filter(crew=mine).exists())

    def test_nothing_of_ones_own_is_begun_in_the_demo_unasked(self):
        self.put_in(self.ada)
        client = self.as_(self.ada)
        self.assertContains(client.get("/jobs/new/"), "For crew North")
        self.assertContains(client.get("/yard/"), f'value="{self.crew.pk}" selected')

    def test_the_empty_list_offers_it(self):
        answer = self.as_(self.ada).get("/jobs/")
        self.assertContains(answer, "Put in the demo shift", count=1)
        self.assertContains(answer, "New job")

    def test_who_may_not_keep_the_yard_is_not_offered_it_and_refused(self):
        self.assertNotContains(self.as_(self.olu).get("/jobs/"), "demo shift")
        self.assertEqual(self.put_in(self.olu).status_code, 403)

    def test_a_reader_is_refused(self):
        self.assertEqual(self.put_in(self.rae).status_code, 403)
        self.assertFalse(self.demos().exists())

    def test_looking_does_not_put_in(self):
        self.assertEqual(self.as_(self.ada).get("/jobs/demo/").status_code, 405)

    def test_who_has_not_entered_is_asked_to(self):
        answer = self.client.post("/jobs/demo/")
        self.assertRedirects(answer, "/people/enter/?next=/jobs/demo/", fetch_redirect_response=False)


class SamePlanTest(DemoTestCase):
    maxDiff = 4000

    def test_the_shift_plans_as_its_file_does(self):
        read = read_written(job_tables(self.job), self.job.name)
        self.assertEqual(json.loads(plan_json(plan_read(read))), by_command(SHIFT / "job.toml"))

    def test_each_task_alone_plans_as_in_its_file(self):
        expected = by_command(SHIFT / "job.toml")["tasks"] + by_command(SHIFT / "not-allowed.toml")["tasks"]
        found = []
        for job in (self.job, self.what_if):
            for task in job.tasks.all():
                read, _index = read_task(task)
                found += json.loads(plan_json(plan_read(read, task.name)))["tasks"]
        self.assertEqual(found, expected)


@pytest.mark.parametrize("name", ["job.toml", "not-allowed.toml", "yard.toml"])
def test_the_demo_lies_where_it_is_looked_for(name):
    from jetwright.web.jobs.demo import demo_folder

    assert (demo_folder() / name).read_bytes() == (SHIFT / name).read_bytes()
