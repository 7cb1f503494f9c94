"""Ratings and test dates written anew stand on what is signed: what, from, to, who, when."""

import datetime
import json

from auditlog.context import disable_auditlog
from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.utils import timezone

from jetwright.web.jobs.models import Job
from jetwright.web.records.retyped import retyped
from jetwright.web.trail import acting
from jetwright.web.yard.models import Piece
from tests.web.records.cases import AFTERNOON, NOON, RecordsTestCase, words
from tests.web.records.test_page import pages


def without(spec, key="tested"):
    return {name: value for name, value in spec.items() if name != key}


class Retyped(RecordsTestCase):
    def change(self, piece, who, **spec):
        with acting(who):
            piece.spec = piece.spec | spec
            piece.save()

    def empty(self, piece, who, key):
        with acting(who):
            piece.spec = without(piece.spec, key)
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
        self.assertIn("Ratings and test dates written anew", pages(record.sheet)[0])
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
        self.change(self.piece("S8-20", "hose"), self.mia, count=5)
        self.change(self.piece("V8-20", "hose"), self.mia, rating="1500 bar", tested="2026-03-01")
        self.assertEqual(self.told(), [])

    def test_a_test_date_typed_anew_or_emptied_is_on_page_and_sheet(self):
        hose, relief = self.piece("S8-20", "hose"), self.piece("Heron 2", "unit").carried.get(kind="relief")
        was = relief.spec["tested"]
        self.change(hose, self.mia, tested="2026-05-01")
        self.empty(hose, self.ada, "traceable")
        self.empty(relief, self.mia, "tested")
        typed = f"from 2026-02-24 to 2026-05-01, Mia (mia), {timezone.localdate()}"
        emptied = f"was {was}, is not there any more, Mia (mia), {timezone.localdate()}"
        page = words(self.as_(self.ada).get(self.address()))
        front = pages(self.sign().sheet)[0]
        for line in (typed, emptied, "traced: was yes, is not there any more, Ada (ada)"):
            self.assertIn(line, page)
            self.assertIn(line, front)

    def test_a_piece_put_in_place_of_one_of_its_name_counts_as_that_one_changed(self):
        hose = self.piece("S8-20", "hose")
        was = hose.spec["rating"]
        hose.retired_at = timezone.now()
        hose.save()
        with acting(self.mia):
            Piece.objects.create(crew=self.crew, kind="hose", name="S8-20", spec=hose.spec | {"rating": "1500 bar"})
        self.assertEqual([told[1:] for told in self.told()], [(was, "1500 bar", "Mia (mia)")])

    def test_what_no_person_changed_was_changed_by_the_counter_itself(self):
        self.change(self.piece("S8-20", "hose"), None, rating="1500 bar")
        self.assertEqual([told[3] for told in self.told()], ["the counter itself"])

    def later(self):
        """What is told of a task of a job that was made just now."""
        job = Job.objects.create(crew=self.crew, name="Later", unit=self.piece("Heron 2", "unit"))
        task = job.tasks.create(name="Later", spec=self.task(AFTERNOON).spec)
        return [(one.before, one.after) for one in retyped(task, {"hoses": {"S8-20": {}}})]

    def test_what_was_typed_away_shortly_before_the_job_was_made_is_told_too(self):
        hose = self.piece("S8-20", "hose")
        self.empty(hose, self.mia, "tested")
        self.change(hose, self.mia, tested="2026-05-01")
        self.assertEqual(self.later(), [("2026-02-24", ""), ("", "2026-05-01")])

    def trail(self, days, before, after):
        """A line of the trail as it was written so many days ago."""
        hose = self.piece("S8-20", "hose")
        specs = [json.dumps(hose.spec | {"tested": day} if day else without(hose.spec)) for day in (before, after)]
        LogEntry.objects.create(
            content_type=ContentType.objects.get_for_model(Piece),
            object_pk=str(hose.pk),
            object_repr=str(hose),
            action=LogEntry.Action.UPDATE,
            changes={"spec": specs},
            actor=self.mia,
            timestamp=timezone.now() - datetime.timedelta(days=days),
        )

    def test_what_was_changed_long_before_the_job_was_made_is_not(self):
        self.trail(15, "2025-02-24", "2026-02-24")
        self.assertEqual(self.later(), [])
        self.trail(13, "2025-02-24", "2026-02-24")
        self.assertEqual(self.later(), [("2025-02-24", "2026-02-24")])

    def test_what_was_filled_in_before_the_job_was_made_replaces_nothing(self):
        self.trail(13, "", "2026-02-24")
        self.assertEqual(self.later(), [])


class InPlace(RecordsTestCase):
    """What the task reads was not retyped but changed for another piece: under its name, or of its kind on the unit."""

    def told(self):
        written = {"hoses": {"S8-20": {}, "W13-20": {}}, "fittings": {}, "tools": {"gun": {}}, "tips": {}}
        return [(one.key, one.before, one.after, one.who) for one in retyped(self.task(), written)]

    def saved(self, piece, **fields):
        with acting(self.mia):
            for name, value in fields.items():
                setattr(piece, name, value)
            piece.save()

    def made(self, like, name, **fields):
        """One more like a piece, by Mia; fields: those of its table that are other, or `on`."""
        with acting(self.mia):
            on = fields.pop("on", like.on)
            spec = {**like.spec, **fields}
            return Piece.objects.create(crew=self.crew, kind=like.kind, name=name, on=on, spec=spec)

    def relief(self):
        return self.piece("Heron 2", "unit").carried.get(kind="relief")

    def test_a_hose_renamed_away_and_another_made_under_its_name(self):
        hose = self.piece("W13-20", "hose")
        was = hose.spec["rating"]
        self.saved(hose, name="W13-20 old")
        self.made(hose, "W13-20", rating="2000 bar")
        self.assertEqual(self.told(), [("W13-20, Highest pressure it may see", was, "2000 bar", "Mia (mia)")])
        record = self.sign()
        (given,) = json.loads(record.body)["changed"]
        self.assertEqual((given["before"], given["after"], given["who"]), (was, "2000 bar", "Mia (mia)"))
        self.assertIn(f"from {was} to 2000 bar, Mia (mia), {timezone.localdate()}", pages(record.sheet)[0])

    def test_a_hose_renamed_away_and_another_renamed_into_place(self):
        hose = self.piece("W13-20", "hose")
        other = self.made(hose, "Spare", rating="2000 bar")
        self.saved(hose, name="W13-20 old")
        self.saved(other, name="W13-20")
        self.assertEqual([told[1:3] for told in self.told()], [(hose.spec["rating"], "2000 bar")])

    def test_a_fitting_in_place_of_a_hose(self):
        hose = self.piece("W13-20", "hose")
        self.saved(hose, name="W13-20 old")
        with acting(self.mia):
            spec = {"bore": "13 mm", "rating": "2000 bar"}
            Piece.objects.create(crew=self.crew, kind="fitting", name="W13-20", spec=spec)
        written = {"hoses": {}, "fittings": {"W13-20": {}}}
        told = {(one.before, one.after) for one in retyped(self.task(), written)}
        self.assertIn((hose.spec["rating"], "2000 bar"), told)

    def test_a_rating_typed_anew_is_told_though_the_piece_is_another_by_now(self):
        hose = self.piece("W13-20", "hose")
        was = hose.spec["rating"]
        self.saved(hose, spec=hose.spec | {"rating": "2000 bar"})
        self.saved(hose, name="W13-20 old")
        self.made(hose, "W13-20")
        self.saved(hose, spec=hose.spec | {"rating": "900 bar"})  # nobody reads it any more
        self.assertEqual([told[1:3] for told in self.told()], [(was, "2000 bar")])

    def test_a_piece_that_was_renamed_where_the_task_names_it_too(self):
        hose = self.piece("W13-20", "hose")
        was = hose.spec["rating"]
        self.saved(hose, spec=hose.spec | {"rating": "2000 bar"})
        self.saved(hose, name="Main")
        told = [(one.key, one.before, one.after) for one in retyped(self.task(), {"hoses": {"Main": {}}})]
        self.assertEqual(told, [("Main, Highest pressure it may see", was, "2000 bar")])

    def test_a_relief_device_retired_and_another_put_on_the_unit(self):
        relief = self.relief()
        was = relief.spec["set"]
        self.saved(relief, retired_at=timezone.now())
        self.assertIn((f"{relief}, Set pressure on the certificate", was, "", "Mia (mia)"), self.told())
        self.made(relief, "Relief B", set="1045 bar")
        self.assertEqual(self.told(), [("Relief B, Set pressure on the certificate", was, "1045 bar", "Mia (mia)")])
        (given,) = json.loads(self.sign().body)["changed"]
        self.assertEqual((given["before"], given["after"]), (was, "1045 bar"))

    def test_a_relief_device_put_beside_the_one_that_is_retired_then(self):
        relief = self.relief()
        self.made(relief, "Relief B", set="1045 bar")
        self.saved(relief, retired_at=timezone.now())
        told = [one[1:3] for one in self.told() if "Set pressure" in one[0]]
        self.assertEqual(told, [("", "1045 bar"), (relief.spec["set"], "")])

    def test_a_gauge_of_another_name_and_one_moved_on_from_another_unit(self):
        unit = self.piece("Heron 2", "unit")
        gauge = unit.carried.get(kind="gauge")
        other = self.made(unit, "Heron 3")
        moved = self.made(gauge, "From Heron 3", on=other, full_scale="4000 bar")
        self.assertEqual(self.told(), [])
        self.saved(gauge, on=other)
        self.saved(moved, on=unit)
        told = [one[:3] for one in self.told()]
        self.assertEqual(told, [("From Heron 3, Full scale", gauge.spec["full_scale"], "4000 bar")])

    def test_a_unit_of_the_name_of_the_one_before(self):
        unit, job = self.piece("Heron 2", "unit"), self.task().job
        self.saved(unit, name="Heron 2 old")
        job.unit = self.made(unit, "Heron 2", pump=unit.spec["pump"] | {"top_speed": "520 rpm"})
        job.save()
        self.assertIn("520 rpm", [one[2] for one in self.told()])

    def test_one_retired_before_there_was_the_job(self):
        hose = self.piece("W13-20", "hose")
        with disable_auditlog():  # so long ago that the trail since then does not tell of it
            old = {"rating": "1000 bar"}
            Piece.objects.create(crew=self.crew, kind="hose", name="Long", spec=old, retired_at=timezone.now())
        self.made(hose, "Long", rating="2000 bar")
        told = [(one.before, one.after) for one in retyped(self.task(), {"hoses": {"Long": {}}})]
        self.assertIn(("1000 bar", "2000 bar"), told)

    def test_what_went_and_came_back_as_it_was_says_nothing(self):
        hose, relief = self.piece("W13-20", "hose"), self.relief()
        for piece in (hose, relief):
            self.saved(piece, retired_at=timezone.now())
            self.saved(piece, retired_at=None)
        self.assertEqual(self.told(), [])

    def test_more_of_what_the_task_does_not_read_says_nothing(self):
        self.made(self.piece("W13-20", "hose"), "W13-21", rating="2000 bar")
        self.assertEqual(self.told(), [])
