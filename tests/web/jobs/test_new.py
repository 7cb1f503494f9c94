"""Making a job."""

from jetwright.web.jobs.models import Job
from jetwright.web.yard.models import Piece
from tests.web.crew import CrewTestCase
from tests.web.seen import words_on

SUPPLY = {"job-supply-pressure": "3 bar", "job-supply-flow": "82 L/min", "job-supply-temperature": "57.2 degF"}


class NewTest(CrewTestCase):
    def post(self, who, crew=None, **fields):
        typed = {"crew": (crew or self.crew).pk, "name": "Rack 4", "day": "2026-05-12"} | SUPPLY
        return self.as_(who).post(
            "/jobs/new/", typed | {name.replace("__", "-"): text for name, text in fields.items()}
        )

    def test_it_is_kept_as_typed(self):
        unit = Piece.objects.create(crew=self.crew, kind="unit", name="Heron 2")
        answer = self.post(self.olu, unit=str(unit.pk), job__altitude="120 ft", job__rule_set="no")
        job = Job.objects.get()
        self.assertRedirects(answer, f"/jobs/{job.pk}/", fetch_redirect_response=False)
        self.assertEqual((job.name, job.unit, job.day.isoformat()), ("Rack 4", unit, "2026-05-12"))
        self.assertEqual(job.spec["supply"], {"pressure": "3 bar", "flow": "82 L/min", "temperature": "57.2 degF"})
        self.assertEqual((job.spec["altitude"], job.spec["rule_set"]), ("120 ft", "no"))

    def test_it_says_once_what_it_cannot_stand_for(self):
        for address in ("/jobs/new/", "/jobs/file/", "/jobs/"):
            page = self.as_(self.ada).get(address)
            self.assertContains(page, 'class="caution"', count=1)
            self.assertNotContains(page, "This plan")

    def test_what_is_left_empty_is_not_kept(self):
        self.post(self.ada)
        self.assertEqual(set(Job.objects.get().spec), {"supply"})

    def test_the_only_unit_of_the_yard_is_chosen(self):
        unit = Piece.objects.create(crew=self.crew, kind="unit", name="Heron 2")
        self.assertContains(self.as_(self.ada).get("/jobs/new/"), f'value="{unit.pk}" selected')

    def test_without_a_unit_it_leads_to_making_one(self):
        link = f'href="/yard/first-unit/?crew={self.crew.pk}"'
        self.assertContains(self.as_(self.ada).get("/jobs/new/"), link)
        page = self.as_(self.olu).get("/jobs/new/")  # plans, and keeps no yard
        self.assertNotContains(page, link)
        self.assertContains(page, "Somebody who keeps the yard makes one there.")
        Piece.objects.create(crew=self.crew, kind="unit", name="Heron 2")
        self.assertNotContains(self.as_(self.ada).get("/jobs/new/"), link)

    def test_what_is_taken_is_shown_and_not_typed(self):
        page = words_on(self.as_(self.ada).get("/jobs/new/"))
        self.assertIn("Left empty: 0 m.", page)
        self.assertIn("Left empty: 20 °C.", page)

    def test_nonsense_is_refused_with_what_was_typed(self):
        answer = self.post(self.ada, name="", job__altitude="2,5 m")
        self.assertContains(answer, "Give it a name.", status_code=422)
        self.assertContains(answer, "a comma may be misread", status_code=422)
        self.assertContains(answer, "2,5 m", status_code=422)
        self.assertFalse(Job.objects.exists())

    def test_a_unit_of_another_crew_cannot_be_named(self):
        unit = Piece.objects.create(crew=self.other, kind="unit", name="Theirs")
        self.assertEqual(self.post(self.ada, unit=str(unit.pk)).status_code, 422)

    def test_a_reader_is_refused(self):
        self.assertEqual(self.post(self.rae).status_code, 403)
        self.assertEqual(self.as_(self.rae).get("/jobs/new/").status_code, 403)

    def test_another_crew_is_not_seen(self):
        self.assertEqual(self.post(self.bo).status_code, 404)

    def test_who_has_not_entered_is_asked_to(self):
        self.assertEqual(self.client.get("/jobs/new/").status_code, 302)
