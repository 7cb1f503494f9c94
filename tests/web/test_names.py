"""What crews, pieces, jobs and tasks are called: seen, kept in one spelling, and the same whatever its capitals."""

import json

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse

from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.received import taken_apart, unused_name
from jetwright.web.people.first import first_link
from jetwright.web.people.models import Crew
from jetwright.web.yard.models import Piece
from tests.web.jobs.cases import DemoTestCase
from tests.web.people.test_first import TYPED

UNSEEN = ("No\u200bon", "\u202enooN", "Noon\u2066", "No\x07on", "Noon\ue000", "Noon\ufe0f", "\u3164", "No\u00adon", "—")
"""No width, turned round, a bell, a letter of no alphabet, a choice of shape, a filler, a soft hyphen, no word."""
COMPOSED, IN_TWO = "Ca\u00f1\u00f3n", "Can\u0303o\u0301n"
"""One name in the two spellings that Unicode calls the same: the second is what a Mac types into a file's name."""


class NamesTest(DemoTestCase):
    def new_crew(self, name):
        return self.as_(self.zoe).post(reverse("people:new_crew"), {"name": name})

    def piece(self, name, kind="hose"):
        typed = {"name": name, "spec-bore": "8 mm", "spec-length": "20 m", "spec-rating": "1400 bar"}
        return self.as_(self.ada).post(f"/yard/new/{kind}/?crew={self.crew.pk}", typed)

    def task(self, name):
        return self.as_(self.ada).post(self.address(self.job, "tasks/new/"), {"name": name})

    def rename(self, name):
        task = Task.objects.get(pk=self.gun.pk)
        typed = {"version": task.version, "name": name, "task-target-nozzle_pressure": "800 bar"}
        return self.as_(self.ada).post(self.address(task, "change/"), typed)

    def new_job(self, name):
        typed = {"crew": self.crew.pk, "name": name, "job-rule_set": "eu-generic", "job-supply-pressure": "3 bar",
                 "job-supply-flow": "150 L/min", "job-supply-temperature": "18 degC"}  # fmt: skip
        return self.as_(self.ada).post("/jobs/new/", typed)

    def test_what_nobody_sees_is_no_name(self):
        before = [model.objects.count() for model in (Crew, Piece, Task, Job)]
        for name in UNSEEN:
            for act in (self.new_crew, self.piece, self.task, self.rename, self.new_job):
                answer = act(name)
                self.assertContains(answer, "signs that are seen", status_code=422, msg_prefix=f"{act} {name!a}")
        self.assertEqual([model.objects.count() for model in (Crew, Piece, Task, Job)], before)

    def test_a_name_is_kept_in_one_spelling_without_gaps_around_it(self):
        for act, model in ((self.new_crew, Crew), (self.piece, Piece), (self.task, Task), (self.new_job, Job)):
            self.assertEqual(act(f"  {IN_TWO} ").status_code, 302, act)
            self.assertEqual(model.objects.filter(name=COMPOSED).count(), 1, model)
        self.assertEqual(self.rename(f"Noon {IN_TWO}").status_code, 302)
        self.assertEqual(Task.objects.get(pk=self.gun.pk).name, f"Noon {COMPOSED}")

    def test_a_letter_that_is_kept_as_two_finds_room_or_is_refused(self):
        for act, most in ((self.new_crew, 80), (self.piece, 80), (self.task, 120), (self.new_job, 120)):
            self.assertEqual(act("\u0958" * most).status_code, 422, act)  # a letter of Hindi with its dot below
            self.assertEqual(act("\u0958" * (most // 2)).status_code, 302, act)

    def test_capitals_width_and_spelling_make_no_other_name(self):
        for act in (self.new_crew, self.piece):
            self.assertEqual(act(COMPOSED).status_code, 302)
            for name in (COMPOSED, IN_TWO, COMPOSED.upper(), "\uff23a\u00f1\u00f3n"):
                self.assertEqual(act(name).status_code, 422, f"{act} {name!a}")
        self.assertContains(self.piece("s8-20"), "there is one of this name", status_code=422)
        self.assertContains(self.rename("MORNING: hall floor"), "Another one here has this name", status_code=422)
        self.task(COMPOSED)
        self.task(IN_TWO.upper())
        self.assertTrue(Task.objects.filter(name=f"{COMPOSED.upper()} (2)").exists())

    def test_a_piece_and_a_task_keep_their_own_name_in_other_capitals(self):
        hose = Piece.objects.get(crew=self.crew.pk, name="S8-20")
        facts = {f"spec-{key}": hose.spec[key] for key in ("bore", "length", "rating")}
        typed = {"version": hose.version, "name": "s8-20", "rename": "too"} | facts
        self.assertEqual(self.as_(self.ada).post(f"/yard/{hose.pk}/change/", typed).status_code, 302)
        self.assertEqual(self.rename(self.gun.name.upper()).status_code, 302)

    def test_nor_does_a_file_bring_one(self):
        whole = self.as_(self.ada).get(self.address(self.job, "file/")).content.decode()
        for name in ("S8-20", "Noon: pump footings by gun", self.job.name):
            text = whole.replace("hoses.S8-20", 'hoses."S8-20"').replace(f'"{name}"', f'"{name[:3]}\u200b{name[3:]}"')
            self.assertNotEqual(text, whole)
            answer = self.as_(self.ada).post("/jobs/file/", {"crew": self.crew.pk, "job": text, "act": "put in"})
            self.assertContains(answer, "signs that are seen", status_code=422, msg_prefix=name)
        yard = ("toml", '[hoses."S8\u200b-20"]\nbore = "8 mm"\nlength = "20 m"\nrating = "1400 bar"\n')
        table = ("hose", "name,bore,length,rating\nS8\u200b-20,8 mm,20 m,1400 bar\n")
        for kind, text in (yard, table):
            fields = {"crew": self.crew.pk, "kind": kind, "file": SimpleUploadedFile("f", text.encode())}
            answer = self.as_(self.ada).post("/yard/files/read/", fields)
            self.assertContains(answer, "signs that are seen", status_code=422, msg_prefix=kind)

    def test_the_tasks_of_a_file_keep_the_names_that_its_readings_use(self):
        tables = json.loads(json.dumps({"title": "T", "unit": {"name": "U"}, "task": [{"name": "A"}, {"name": "a"}]}))
        self.assertEqual([name for name, _spec in taken_apart(tables).tasks], ["A", "a"])
        self.assertEqual(unused_name("a", ["A", "A (2)"]), "a (3)")


class FirstCrewTest(TestCase):
    def test_the_first_crew_has_a_name_that_is_seen(self):
        address = reverse("people:first", args=[first_link()])
        for name in UNSEEN:
            answer = self.client.post(address, TYPED | {"crew": name})
            self.assertContains(answer, "signs that are seen", status_code=422, msg_prefix=ascii(name))
        self.assertEqual(self.client.post(address, TYPED | {"crew": IN_TWO}).status_code, 302)
        self.assertEqual(Crew.objects.get().name, COMPOSED)
