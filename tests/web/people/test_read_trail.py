"""The page that says who changed what."""

import re
from zoneinfo import ZoneInfo

from auditlog.models import LogEntry
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jetwright.web.jobs.models import Job, Task
from jetwright.web.people.models import Person
from jetwright.web.people.told import MOST_LINES, lines
from jetwright.web.yard.models import Photo, Piece
from tests.web.crew import CrewTestCase
from tests.web.seen import words_on


class ReadTrailTest(CrewTestCase):
    def setUp(self):
        self.ours = Piece.objects.create(crew=self.crew, kind="hose", name="H-1", spec={"bore": "12 mm"})
        self.theirs = Piece.objects.create(crew=self.other, kind="hose", name="K-9", spec={"bore": "12 mm"})

    def page(self, who, **query):
        return self.as_(who).get(reverse("people:trail"), query)

    def test_it_says_what_was_and_what_is_and_who(self):
        self.as_(self.ada).post("/people/me/", {"name": "Ada Moe", "language": "en", "units": "si", "version": "1"})
        page = self.page(self.zoe)
        self.assertContains(page, "<del>Ada</del> → Ada Moe")
        self.assertContains(page, "changed, Ada Moe (ada),")

    def test_a_crew_lead_reads_what_ones_own_crews_keep(self):
        page = self.page(self.ada)
        self.assertContains(page, "H-1")
        self.assertNotContains(page, "K-9")

    def test_an_administrator_reads_all(self):
        page = self.page(self.zoe)
        self.assertContains(page, "H-1")
        self.assertContains(page, "K-9")

    def test_it_calls_things_by_their_names_and_says_no_fractions_of_a_second(self):
        self.ours.spec = {"bore": "13 mm"}
        self.ours.retired_at, self.ours.retired_why = timezone.now(), "burst"
        self.ours.save()
        self.bo.must_change = True
        self.bo.save()
        page = self.page(self.zoe)
        self.assertIn("Bore 12 mm → 13 mm", words_on(page))
        self.assertIn(f"Retired {self.ours.retired_at:%Y-%m-%d %H:%M} UTC", words_on(page))
        self.assertContains(page, "<dt>Must choose a new password</dt><dd><del>no</del> → yes</dd>")
        listed = page.content.decode()
        named = set(re.findall(r"<dt>([^<]*)</dt>", listed))
        fields = {field.name for model in (Piece, Job, Person) for field in model._meta.fields} - {"name"}
        self.assertEqual({name for name in named if name in fields or "_" in name}, set())
        self.assertIsNone(re.search(r">[^<]*\d\d:\d\d:\d\d\.\d+[^<]*<", listed))

    def test_a_number_is_a_number_and_what_is_said_already_is_not_said_again(self):
        job = Job.objects.create(crew=self.crew, name="Quay")
        Task.objects.create(job=job, name="Wall", place=1, spec={})
        tested = Piece.objects.create(crew=self.crew, kind="hose", name="T-1", spec={"tested": "2026-10-15"})
        tested.note = "read again"
        tested.save()
        told = {(line.name, line.act): line.changes for line in lines([self.crew])[0]}
        self.assertIn(("Place in its job", "", "1"), [(one.field, one.was, one.now) for one in told["Wall", "added"]])
        self.assertEqual([one.field for one in told["T-1", "changed"]], ["Note"])
        self.assertEqual([one.now for one in told["T-1", "added"]].count("2026-10-15"), 1)
        self.assertNotIn("Added", [one.field for line in lines(None)[0] for one in line.changes])
        self.assertIs(all(one.was != one.now for line in lines(None)[0] for one in line.changes), True)

    def test_times_are_by_the_clock_of_the_counter(self):
        with timezone.override(ZoneInfo("Europe/Oslo")):
            self.assertRegex(words_on(self.page(self.zoe)), r"\d{4}-\d\d-\d\d \d\d:\d\d CES?T")

    def test_others_do_not(self):
        for who in (self.rae, self.olu, self.kim, self.mia, self.tom):
            self.assertEqual(self.page(who).status_code, 403)

    def test_older_lines_are_a_page_further(self):
        for number in range(MOST_LINES + 5):
            Piece.objects.create(crew=self.crew, kind="hose", name=f"N{number}", spec={})
        newest, before = lines(None)
        older, _ = lines(None, before)
        self.assertEqual(newest[0].name, f"N{MOST_LINES + 4}")
        self.assertEqual(older[0].name, "N4")
        self.assertContains(self.page(self.zoe, before=before), "N4<")
        self.assertContains(self.page(self.zoe), "?before=")
        self.assertEqual(self.page(self.zoe, before="nonsense").status_code, 200)

    def test_a_link_is_told_by_the_name_that_its_row_had_then(self):
        heron, egret = (Piece.objects.create(crew=self.crew, kind="unit", name=name) for name in ("Heron", "Egret"))
        job = Job.objects.create(crew=self.crew, name="Quay", unit=heron)
        Job.objects.filter(pk=job.pk).update(unit=egret)
        heron.name, heron.retired_at, heron.retired_why = "Heron, sold", timezone.now(), "sold"
        heron.save()
        job.unit = None
        job.save()
        job.unit = heron
        job.save()
        told = [line for line in lines([self.crew])[0] if line.name == "Quay"]
        self.assertEqual(
            [[(change.field, change.was, change.now) for change in line.changes] for line in told[:-1]],
            [[("Unit", "", "Heron, sold")], [("Unit", "Egret", "")], [("Unit", "Heron", "Egret")]],
        )
        self.assertEqual([change.field for change in told[-1].changes], ["Name"])  # a new row's links say nothing
        for page in (self.page(self.ada), self.page(self.zoe)):
            self.assertContains(page, "<dt>Unit</dt><dd><del>Heron</del> → Egret</dd>")
            listed = re.sub(r"<[^>]*>", "", page.content.decode().partition("<main")[2])
            self.assertIsNone(re.search("[0-9a-f]{8}-[0-9a-f]{4}", listed))

    def test_a_link_to_a_row_that_the_trail_does_not_know_is_short(self):
        """As where a database was filled by other hands."""
        job = Job.objects.create(crew=self.crew, name="Quay")
        lost = {"unit": ["None", "6a3f0a9e-0f4e-4e9a-8f45-3b2c8f1f1e11"], "spec": ["{}", "{'odd': 1}"]}
        LogEntry.objects.log_create(job, action=LogEntry.Action.UPDATE, changes=lost)
        told = {change.field: change.now for change in lines([self.crew])[0][0].changes}
        self.assertEqual(told, {"Unit": "6a3f0a9e", "odd": "1"})

    def test_links_are_named_with_as_many_questions_for_many_lines_as_for_one(self):
        unit = Piece.objects.create(crew=self.crew, kind="unit", name="Heron")
        counts = []
        for number in range(4):
            job = Job.objects.create(crew=self.crew, name=f"J{number}")
            job.unit = unit
            job.save()
            with CaptureQueriesContext(connection) as asked:
                lines([self.crew])
            counts.append(len(asked))
        self.assertEqual(counts, counts[:1] * 4)

    def test_who_has_not_entered_is_sent_to_enter(self):
        self.assertIn(reverse("people:enter"), self.client.get(reverse("people:trail")).url)

    def test_a_crew_of_many_rows_is_not_put_into_the_question_row_by_row(self):
        job = Job.objects.create(crew=self.crew, name="Quay")
        Task.objects.create(job=job, name="Wall", spec={})
        Photo.objects.create(piece=self.ours, width=1, height=1, digest="0" * 64)
        with CaptureQueriesContext(connection) as few:
            shown, _ = lines([self.crew])
        self.assertTrue({"H-1", "Quay", "Wall", "North"} <= {line.name for line in shown})
        for number in range(30):
            Piece.objects.create(crew=self.crew, kind="tip", name=f"T{number}", spec={})
        with CaptureQueriesContext(connection) as many:
            shown, _ = lines([self.crew])
        self.assertEqual(shown[0].name, "T29")
        self.assertLess(max(len(one["sql"]) for one in many), max(len(one["sql"]) for one in few) + 100)
