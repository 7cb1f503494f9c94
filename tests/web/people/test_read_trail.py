"""The page that says who changed what."""

import re

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jetwright.web.jobs.models import Job, Task
from jetwright.web.people.models import Person
from jetwright.web.people.told import MOST_LINES, lines
from jetwright.web.yard.models import Photo, Piece
from tests.web.crew import CrewTestCase


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
        self.assertContains(page, "<dt>Bore</dt><dd><del>12 mm</del> → 13 mm</dd>", html=False)
        self.assertContains(page, f"<dt>Retired</dt><dd>{self.ours.retired_at:%Y-%m-%d %H:%M}</dd>")
        self.assertContains(page, "<dt>Must choose a new password</dt><dd><del>no</del> → yes</dd>")
        listed = page.content.decode()
        named = set(re.findall(r"<dt>([^<]*)</dt>", listed))
        fields = {field.name for model in (Piece, Job, Person) for field in model._meta.fields} - {"name"}
        self.assertEqual({name for name in named if name in fields or "_" in name}, set())
        self.assertIsNone(re.search(r">[^<]*\d\d:\d\d:\d\d\.\d+[^<]*<", listed))

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
