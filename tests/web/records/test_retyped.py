"""Ratings written anew since the job was made stand on what is signed: what, from, to, who, when."""

import json

from django.utils import timezone

from jetwright.web.jobs.models import Job
from jetwright.web.records.retyped import retyped
from jetwright.web.trail import acting
from jetwright.web.yard.models import Piece
from tests.web.records.cases import AFTERNOON, NOON, RecordsTestCase, words
from tests.web.records.test_page import pages


class Retyped(RecordsTestCase):
    def change(self, piece, who, **spec):
        with acting(who):
            piece.spec = piece.spec | spec
            piece.save()

    def told(self, name=NOON):
        written = {"hoses": {"S8-20": {}, "W13-20": {}}, "fittings": {}, "tools": {"gun": {}}, "tips": {}}
        return [(one.key, one.before, one.after, one.who) for one in retyped(self.task(name), written)]

    def test_nothing_was_changed(self):
        self.assertEqual(self.told(), [])

    def test_what_from_to_who_and_when_are_on_page_sheet_and_in_the_body(self):
        hose = self.piece("S8-20", "hose")
        was = hose.spec["rating"]
        self.change(hose, self.mia, rating="1500 bar")
        line = f"from {was} to 1500 bar, Mia (mia), {timezone.localdate()}"
        self.assertIn(line, words(self.as_(self.ada).get(self.address())))
        record = self.sign()
        (given,) = json.loads(record.body)["changed"]
        self.assertEqual((given["before"], given["after"], given["who"]), (was, "1500 bar", "Mia (mia)"))
        self.assertIn(line, pages(record.sheet)[0])
        self.assertIn("Ratings written anew since the job was made", pages(record.sheet)[0])
        self.assertIn(line, words(self.as_(self.rae).get(f"/records/{record.pk}/")))

    def test_each_step_of_there_and_back_is_told(self):
        hose = self.piece("S8-20", "hose")
        was = hose.spec["rating"]
        self.change(hose, self.mia, rating="1500 bar")
        self.change(hose, self.ada, rating=was)
        self.assertEqual(
            [(told[1], told[2], told[3]) for told in self.told()],
            [(was, "1500 bar", "Mia (mia)"), ("1500 bar", was, "Ada (ada)")],
        )

    def test_of_the_unit_the_task_and_the_job_too(self):
        self.change(
            self.piece("Heron 2", "unit"),
            self.mia,
            pump={**self.piece("Heron 2", "unit").spec["pump"], "top_speed": "520 rpm"},
        )
        task = self.task()
        self.change(task, self.ada, object={**task.spec["object"], "withstands": "1300 bar"})
        self.change(task.job, self.ada, rule_set="us-generic")
        self.assertEqual([told[2] for told in self.told()], ["520 rpm", "1300 bar", "us-generic"])

    def test_what_is_no_rating_or_of_another_piece_is_not(self):
        self.change(self.piece("S8-20", "hose"), self.mia, tested="2026-03-01")
        self.change(self.piece("V8-20", "hose"), self.mia, rating="1500 bar")
        self.assertEqual(self.told(), [])

    def test_a_piece_put_in_place_of_one_of_its_name_counts_as_that_one_changed(self):
        hose = self.piece("S8-20", "hose")
        was = hose.spec["rating"]
        hose.retired_at = timezone.now()
        hose.save()
        with acting(self.mia):
            Piece.objects.create(crew=self.crew, kind="hose", name="S8-20", spec=hose.spec | {"rating": "1500 bar"})
        self.assertEqual([told[1:] for told in self.told()], [(was, "1500 bar", "Mia (mia)")])

    def test_what_was_changed_before_the_job_was_made_is_not(self):
        self.change(self.piece("S8-20", "hose"), self.mia, rating="1500 bar")
        job = Job.objects.create(crew=self.crew, name="Later", unit=self.piece("Heron 2", "unit"))
        task = job.tasks.create(name="Later", spec=self.task(AFTERNOON).spec)
        self.assertEqual(retyped(task, {"hoses": {"S8-20": {}}}), ())
