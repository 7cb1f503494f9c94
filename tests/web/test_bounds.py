"""What is sent may be large, deep or odd: it is refused in words, and soon."""

import time

from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.received import MOST_TASKS
from tests.web.jobs.cases import DemoTestCase


class BoundsTest(DemoTestCase):
    def bring(self, job, yard="", **more):
        began = time.monotonic()
        answer = self.as_(self.ada).post("/jobs/file/", {"crew": self.crew.pk, "job": job, "yard": yard, **more})
        self.assertLess(time.monotonic() - began, 5.0)  # it took a minute
        return answer

    def test_a_key_of_fifty_thousand_parts_is_refused_at_once(self):
        text = ".".join("a" * 50_000) + " = 1"
        self.assertContains(self.bring(text), "nested too deep", status_code=422)
        named = 'title = "x"\nyard = "yard.toml"\n'
        self.assertContains(self.bring(named, text), "nested too deep", status_code=422)

    def test_a_text_that_was_typed_is_no_larger_than_a_file(self):
        self.assertContains(self.bring("a" * 300_000), "too large", status_code=422)
        self.assertContains(self.bring("a = 1", "é" * 200_000), "too large", status_code=422)

    def test_a_yard_is_refused_as_soon(self):
        from django.core.files.uploadedfile import SimpleUploadedFile

        began = time.monotonic()
        sent = SimpleUploadedFile("yard.toml", (".".join("a" * 50_000) + " = 1").encode())
        fields = {"crew": self.crew.pk, "kind": "toml", "file": sent}
        answer = self.as_(self.ada).post("/yard/files/read/", fields)
        self.assertContains(answer, "nested too deep", status_code=422)
        self.assertLess(time.monotonic() - began, 5.0)

    def test_a_yard_of_a_name_that_no_file_can_have(self):
        for name in ("x" * 300, "job.toml/x", "x" * 190 + "/y.toml", "a/" * 90 + "y"):
            answer = self.bring(f'title = "T"\nyard = "{name}"\n', 'title = "Y"')
            self.assertEqual(answer.status_code, 422, name)

    def test_a_job_takes_so_many_tasks_and_no_more(self):
        job = Job.objects.create(crew=self.crew, name="Many", unit=self.job.unit, spec=self.job.spec)
        for place in range(MOST_TASKS):
            task = Task.objects.create(job=job, name=f"T{place}", place=place, spec={})
        ada = self.as_(self.ada)
        told = "at most 100 tasks"
        self.assertContains(ada.post(self.address(job, "tasks/new/"), {"name": "One more"}), told, status_code=422)
        self.assertContains(ada.post(self.address(task, "copy/")), told, status_code=422)
        ada.post(self.address(task, "retire/"), {"version": task.version})
        self.assertEqual(ada.post(self.address(job, "tasks/new/"), {"name": "One more"}).status_code, 302)
        task.refresh_from_db()
        answer = ada.post(self.address(task, "back/"), {"version": task.version})
        self.assertContains(answer, told, status_code=422)

    def test_a_file_with_more_is_not_put_in(self):
        text = self.as_(self.ada).get(self.address(self.job, "file/")).content.decode()
        at = text.index("[[task]]")
        one = "[[task]]" + text[at:].split("[[task]]")[1]
        many = text[:at] + "".join(one.replace('name = "', f'name = "{n} ', 1) for n in range(MOST_TASKS + 1))
        self.assertContains(self.bring(many, act="put in"), "at most 100 tasks", status_code=422)

    def test_a_number_of_a_hundred_thousand_figures_is_read_at_once(self):
        long = "1" * 100_000 + "x"
        began = time.monotonic()
        asked = {"kind": "pressure", "field": "x", "x": long, "x-unit": "bar"}
        self.assertLess(self.as_(self.ada).get("/yard/understood/", asked).status_code, 500)
        sent = {"crew": self.crew.pk, "name": "T", "spec-bore": long, "spec-bore-unit": "mm"}
        self.assertEqual(self.as_(self.ada).post("/yard/new/tip/", sent).status_code, 422)
        self.assertLess(time.monotonic() - began, 5.0)  # it took two minutes

    def test_names_that_nobody_knows_are_refused_soon_however_many_there_are(self):
        hoses = "".join(f'[hoses.H{n}]\nbore = "8 mm"\nlength = "20 m"\n' for n in range(1000))
        run = ", ".join(f'"h{n}x"' for n in range(20))
        tasks = "".join(
            f'[[task]]\nname = "T{n}"\nhose_run = [{run}]\ntool = "gun"\ntarget = {{ flow = "9 L/min" }}\n'
            for n in range(20)
        )
        answer = self.bring('title = "T"\nyard = "yard.toml"\n' + tasks, hoses)  # it took a minute and a half
        self.assertEqual(answer.status_code, 422)
