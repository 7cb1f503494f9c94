"""Seeing that a task was signed, and whether what is kept is still what was signed."""

from django.urls import reverse

from jetwright.web.jobs.models import Job, Task
from jetwright.web.yard.models import Piece
from tests.web.records.cases import NOON, RecordsTestCase


class SignedTest(RecordsTestCase):
    """Ada signs the noon; Olu and Rae look."""

    def setUp(self):
        self.record = self.sign(NOON)

    def pages(self, who=None):
        task = self.task(NOON)
        names = (
            ("jobs:plan", [task.job_id, task.pk]),
            ("jobs:task", [task.job_id, task.pk]),
            ("jobs:page", [task.job_id]),
        )
        return [self.as_(who or self.ada).get(reverse(name, args=args)) for name, args in names]

    def test_plan_task_and_job_lead_to_the_record_and_its_sheet(self):
        for page in self.pages(self.rae):
            self.assertContains(page, f'href="{reverse("records:page", args=[self.record.pk])}">record 1</a>')
            self.assertContains(page, reverse("records:sheet", args=[self.record.pk]))
            self.assertContains(page, "Ada")
            self.assertNotContains(page, "Changed since")

    def test_what_is_signed_is_opened_and_may_be_signed_again(self):
        plan = self.pages()[0]
        self.assertContains(plan, "Open record 1")
        self.assertContains(plan, "Sign again")

    def test_another_target_is_a_change_since(self):
        task = self.task(NOON)
        task.spec = {**task.spec, "target": {"nozzle_pressure": "700 bar"}}
        self.assertTrue(task.change(task.version, ["spec"]))
        self.told_changed()

    def test_a_tip_measured_since_is_one_too(self):
        tip = Piece.objects.get(crew=self.crew, name="L11")
        tip.spec = {**tip.spec, "bore": "1.12 mm"}
        self.assertTrue(tip.change(tip.version, ["spec"]))
        self.told_changed()

    def told_changed(self):
        for page in self.pages():
            self.assertContains(page, "Changed since")
        plan = self.pages()[0]
        self.assertContains(plan, ">Sign again</a>")
        self.assertNotContains(plan, "Open record 1")

    def test_a_piece_that_it_does_not_use_is_none(self):
        tip = Piece.objects.get(crew=self.crew, name="L14")
        tip.spec = {**tip.spec, "bore": "1.42 mm"}
        self.assertTrue(tip.change(tip.version, ["spec"]))
        for page in self.pages():
            self.assertNotContains(page, "Changed since")

    def test_the_last_record_counts(self):
        again = self.sign(NOON)
        for page in self.pages():
            self.assertContains(page, f'href="{reverse("records:page", args=[again.pk])}">record 2</a>')
            self.assertNotContains(page, ">record 1</a>")

    def test_a_task_that_nobody_signed_says_nothing(self):
        other = Task.objects.filter(job=self.task(NOON).job).exclude(name=NOON).first()
        page = self.as_(self.ada).get(reverse("jobs:plan", args=[other.job_id, other.pk]))
        self.assertNotContains(page, "Signed:")
        self.assertEqual(Job.objects.filter(pk=other.job_id).count(), 1)
