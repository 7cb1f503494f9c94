"""A job out as a job file, and a job file in as a job."""

import dataclasses
import html
import json
import re
import tempfile
from pathlib import Path

from django.core.files.uploadedfile import SimpleUploadedFile

from jetwright.actions.plan import plan_read
from jetwright.report.plan_json import plan_json
from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.received import STATES, Row, put_in, read_texts
from jetwright.web.jobs.written import job_tables, read_written
from jetwright.web.yard.models import Piece
from tests.web.crew import CrewTestCase
from tests.web.jobs.cases import DemoTestCase
from tests.web.jobs.test_demo import SHIFT, by_command
from tests.web.seen import words_on

EXAMPLES = SHIFT.parent
HELD = {name: re.compile(f'<input type="hidden" name="{name}" value="([^"]*)"') for name in ("job", "yard")}
ROW = re.compile('<th scope="row">([^<]+)</th><td>([^<]+)</td>')


class OutTest(DemoTestCase):
    def text(self, job):
        return self.as_(self.rae).get(self.address(job, "file/"))

    def test_the_command_line_plans_the_file_as_the_page_plans_the_job(self):
        for job in (self.job, self.what_if):
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / "job.toml"
                path.write_bytes(self.text(job).content)
                read = read_written(job_tables(job), job.name)
                self.assertEqual(by_command(path), json.loads(plan_json(plan_read(read))))

    def test_it_is_whole_and_holds_only_the_rows_it_uses(self):
        answer = self.text(self.job)
        text = answer.content.decode()
        self.assertIn("[hoses.S8-20]", text)
        self.assertIn("date = 2026-05-12", text)
        for name in ("V8-20", "shut-off-gun", "yard ="):
            self.assertNotIn(name, text)
        self.assertEqual(answer["Content-Disposition"], 'attachment; filename="evaporator-hall-sundby-works.toml"')

    def test_another_crew_and_a_stranger_get_none(self):
        self.assertEqual(self.as_(self.bo).get(self.address(self.job, "file/")).status_code, 404)
        self.assertEqual(self.client.get(self.address(self.job, "file/")).status_code, 302)


class InTest(CrewTestCase):
    def look(self, who=None, job="shift/job.toml", yard="shift/yard.toml", **fields):
        files = {"job_file": SimpleUploadedFile("j.toml", (EXAMPLES / job).read_bytes())}
        if yard:
            files["yard_file"] = SimpleUploadedFile("y.toml", (EXAMPLES / yard).read_bytes())
        return self.as_(who or self.ada).post("/jobs/file/", {"crew": self.crew.pk} | files | fields)

    def put_in(self, look, who=None):
        held = {name: html.unescape(HELD[name].search(look.content.decode())[1]) for name in ("job", "yard")}
        return self.as_(who or self.ada).post("/jobs/file/", {"crew": self.crew.pk, "act": "put in"} | held)

    def test_first_it_is_only_said_what_would_come_in(self):
        answer = self.look()
        self.assertContains(answer, "Nothing is put in yet")
        self.assertContains(answer, "new in the yard")
        self.assertEqual((Job.objects.count(), Piece.objects.count()), (0, 0))

    def test_its_readings_are_said_with_what_would_come_in(self):
        self.assertNotContains(self.look(), "<h3>Readings</h3>")
        shift = (SHIFT / "job.toml").read_text()
        name = re.search(r'\[\[task\]\]\nname = "([^"]+)"', shift)[1]
        row = f'[[reading]]\ntask = "{name}"\nday = 2026-05-11\npump_speed = "110 rpm"\ngauge = "300 bar"\n'
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "job.toml"
            path.write_text(f"{shift}\n{row}")
            looked = self.look(job=path)
        self.assertIn(f"Readings {name}: 2026-05-11, gauge 300 bar Pieces", words_on(looked))
        self.put_in(looked)
        self.assertEqual(len(Job.objects.get().spec["reading"]), 1)

    def test_then_it_comes_in_and_plans_as_the_file(self):
        answer = self.put_in(self.look())
        job = Job.objects.get()
        self.assertRedirects(answer, f"/jobs/{job.pk}/")
        read = read_written(job_tables(job), job.name)
        self.assertEqual(json.loads(plan_json(plan_read(read))), by_command(SHIFT / "job.toml"))

    def test_a_file_without_a_yard_with_branches(self):
        self.put_in(self.look(job="two-guns.toml", yard=""))
        job = Job.objects.get()
        read = read_written(job_tables(job), job.name)
        self.assertEqual(json.loads(plan_json(plan_read(read))), by_command(EXAMPLES / "two-guns.toml"))
        for task in job.tasks.all():
            self.assertEqual(self.as_(self.ada).get(f"/jobs/{job.pk}/tasks/{task.pk}/").status_code, 200)

    def test_the_yards_own_row_stays(self):
        self.put_in(self.look())
        Piece.objects.filter(name="S8-20").update(spec={"bore": "8 mm", "length": "18 m"})
        answer = self.look(job="shift/not-allowed.toml")
        states = dict(ROW.findall(answer.content.decode()))
        self.assertEqual(states["S8-20"], "differs from the yard; the yard&#39;s own row stays")
        self.assertEqual(states["W13-20"], "as in the yard")
        self.put_in(answer)
        self.assertEqual(Piece.objects.get(name="S8-20").spec["length"], "18 m")
        self.assertEqual(Job.objects.count(), 2)

    def test_a_hose_that_has_the_name_of_a_fitting_of_the_yard_is_refused(self):
        Piece.objects.create(crew=self.crew, kind="fitting", name="S8-20", spec={"bore": "8 mm"})
        answer = self.look()
        self.assertContains(answer, "“S8-20”: the yard has a hose or a fitting of this name", status_code=422)
        self.assertEqual(dict(ROW.findall(answer.content.decode()))["S8-20"], STATES["taken"])
        self.assertFalse(Job.objects.exists())

    def test_what_was_kept_since_it_was_looked_at_is_looked_at_again(self):
        looked = self.look()
        Piece.objects.create(crew=self.crew, kind="fitting", name="S8-20", spec={"bore": "8 mm"})
        self.assertContains(self.put_in(looked), "a hose or a fitting of this name", status_code=422)
        self.assertEqual((Job.objects.count(), Piece.objects.count()), (0, 1))

    def test_two_units_may_have_a_kit_of_one_name(self):
        read = read_texts((SHIFT / "job.toml").read_text(), (SHIFT / "yard.toml").read_text())
        unit = Piece.objects.create(crew=self.crew, kind="unit", name="Other", spec={})
        Piece.objects.create(crew=self.crew, kind="kit", name="P32", on=unit, spec={"rating": "1 bar"})
        kit = Row("kit", "P32", {"rating": "1100 bar"}, read.unit)
        put_in(self.crew, dataclasses.replace(read, rows=(*read.rows, kit)))
        self.assertEqual(Piece.objects.get(name="P32", on__name=read.unit).spec, {"rating": "1100 bar"})

    def test_a_yard_that_was_not_chosen_is_asked_for(self):
        answer = self.look(yard="")
        self.assertContains(answer, "there is no such file", status_code=422)
        self.assertNotContains(answer, "/tmp", status_code=422)

    def test_every_problem_is_said_with_its_line(self):
        bad = SimpleUploadedFile("j.toml", b'title = "Rack"\n[supply]\nflow = "82"\n')
        answer = self.look(yard="", job_file=bad)
        self.assertContains(answer, "job.toml:3", status_code=422)
        self.assertContains(answer, "Nothing was put in", status_code=422)

    def test_what_is_no_text_or_too_large_is_refused(self):
        for bytes_ in (b"\xff\xfe\x00", b"#" * 300_000):
            answer = self.look(job_file=SimpleUploadedFile("j.toml", bytes_))
            self.assertEqual(answer.status_code, 422)

    def test_a_file_with_rules_of_a_site_is_refused(self):
        text = b'site_rules = "plant.toml"\n' + (EXAMPLES / "two-guns.toml").read_bytes()
        answer = self.look(yard="", job_file=SimpleUploadedFile("j.toml", text))
        self.assertContains(answer, "rules of a site", status_code=422)

    def test_a_yard_outside_the_folder_is_refused_and_nothing_is_written_there(self):
        text = (SHIFT / "job.toml").read_bytes().replace(b'"yard.toml"', b'"../jetwright-yard.toml"')
        answer = self.look(job_file=SimpleUploadedFile("j.toml", text))
        self.assertContains(answer, "folder or below it", status_code=422)
        self.assertFalse((Path(tempfile.gettempdir()) / "jetwright-yard.toml").exists())

    def test_who_does_not_keep_the_yard_brings_no_pieces(self):
        self.assertContains(self.look(self.olu), "Somebody who keeps the yard", status_code=422)
        self.put_in(self.look())
        self.assertEqual(self.put_in(self.look(self.olu), self.olu).status_code, 302)
        self.assertEqual(Job.objects.count(), 2)

    def test_a_reader_another_crew_and_a_stranger(self):
        self.assertEqual(self.look(self.rae).status_code, 403)
        self.assertEqual(self.look(self.bo).status_code, 404)
        self.assertEqual(self.client.get("/jobs/file/").status_code, 302)
        self.assertFalse(Task.objects.exists())
