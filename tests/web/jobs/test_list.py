"""Looking at the jobs."""

import time
import uuid

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.signed import signed_of
from jetwright.web.jobs.standing import standing_of
from jetwright.web.records.models import Record
from jetwright.web.yard.models import Piece
from tests.web.crew import CrewTestCase
from tests.web.jobs.cases import DemoTestCase
from tests.web.records.cases import AFTERNOON, NOON, RecordsTestCase, words


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


class SignedListTest(RecordsTestCase):
    """What the list says of the tasks that were signed, and that it is cheap to say."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.job = cls.task(NOON).job
        cls.noon, cls.afternoon = cls.sign(NOON), cls.sign(AFTERNOON)

    def told(self):
        """What the card of the job says, and that its own page agrees on which tasks changed."""
        page = self.as_(self.rae).get("/jobs/")
        said = words(page)
        kept = Job.objects.get(pk=self.job.pk)
        [listed] = standing_of(Job.objects.filter(pk=kept.pk).select_related("unit").prefetch_related("tasks"))
        own = signed_of(kept, kept.tasks.filter(retired_at=None))
        self.assertEqual(
            {task.pk: how == "changed" for task, how in listed.tasks if how},
            {pk: signed.changed for pk, signed in own.items()},
        )
        return said[said.index(self.job.name) :].partition("what if")[0]

    def change(self, row, **spec):
        row = type(row).objects.get(pk=row.pk)
        row.spec = {**row.spec, **spec}
        self.assertTrue(row.change(row.version, ["spec"]))

    def test_it_says_how_many_tasks_are_signed_and_which(self):
        said = self.told()
        self.assertIn("2 of 3 tasks signed", said)
        self.assertIn(f"{NOON} · signed", said)
        self.assertNotIn("changed since", said)
        self.assertIn("No task is signed", words(self.as_(self.rae).get("/jobs/")))  # of the other job

    def test_what_changed_since_is_said_beside_its_task(self):
        self.change(self.task(AFTERNOON), target={"nozzle_pressure": "650 bar"})
        said = self.told()
        self.assertIn("2 of 3 tasks signed; 1 changed since it was signed", said)
        self.assertIn(f"{NOON} · signed", said)
        self.assertIn(f"{AFTERNOON} · changed since it was signed", said)

    def test_the_task_before_and_the_unit_count_too(self):
        self.change(self.task(NOON), target={"nozzle_pressure": "780 bar"})
        self.assertIn("2 changed since they were signed", self.told())

    def test_a_piece_counts_where_it_is_used(self):
        self.change(Piece.objects.get(crew=self.crew, name="F13"), bore="1.32 mm")  # of the morning, before the noon
        said = self.told()
        self.assertIn(f"{NOON} · changed since", said)
        self.assertIn(f"{AFTERNOON} · signed", said)

    def test_signed_again_it_is_signed(self):
        self.change(self.task(NOON), target={"nozzle_pressure": "780 bar"})
        self.sign(NOON)
        said = self.told()
        self.assertIn(f"{NOON} · signed", said)
        self.assertIn(f"{AFTERNOON} · changed since", said)

    def test_a_task_that_is_retired_is_not_counted(self):
        Task.objects.filter(pk=self.task(AFTERNOON).pk).update(retired_at=timezone.now())
        self.assertIn("1 of 2 tasks signed", self.told())

    def test_a_hundred_jobs_take_as_many_questions_as_two_and_no_body_is_read(self):
        def asked():
            browser = self.as_(self.rae)
            browser.get("/jobs/")
            begun = time.process_time()
            with CaptureQueriesContext(connection) as found:
                said = words(browser.get("/jobs/"))
            return said, [one["sql"] for one in found], time.process_time() - begun

        _said, few, _took = asked()
        for number in range(97):
            job = Job.objects.create(crew=self.crew, name=f"Job {number}", unit=self.job.unit, spec=self.job.spec)
            for task in self.job.tasks.all():
                copy = Task.objects.create(job=job, name=task.name, place=task.place, spec=task.spec)
                mark = {"number": 1000 + 3 * number + task.place, "digest": uuid.uuid4().hex, "written": "as it was"}
                Record(crew=self.crew, task=copy, by=self.ada, body="not to be read", **mark).save()
        said, many, took = asked()
        self.assertEqual(said.count("3 of 3 tasks signed; 3 changed since they were signed"), 97)
        self.assertEqual(len(many), len(few))
        self.assertFalse([sql for sql in many if '"body"' in sql or '"sheet"' in sql])
        self.assertLess(took, 1.0)  # of 291 tasks not one is planned: that would take many seconds
