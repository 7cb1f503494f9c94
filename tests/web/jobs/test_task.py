"""One task: what is cleaned, what is asked for, and what stands in the way of a plan."""

import html

from django.utils import timezone

from jetwright.errors import FileError
from jetwright.web.jobs.forms import TaskForm
from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.said import in_the_way
from jetwright.web.jobs.written import read_task
from jetwright.web.yard.models import Piece
from tests.web.jobs.cases import DemoTestCase


class ChangeTest(DemoTestCase):
    def change(self, who=None, **fields):
        task = Task.objects.get(pk=self.gun.pk)
        typed = {
            "version": task.version, "name": task.name, "task-target-nozzle_pressure": "11600 psi",
            "task-object-what": "cast iron", "task-hazards-ignition": "no",
        }  # fmt: skip
        return self.as_(who or self.olu).post(self.address(task, "change/"), typed | fields)

    def test_facts_are_kept_as_typed_and_the_rig_stays(self):
        self.assertRedirects(self.change(**{"task-stops": "trigger: Olu\nunit: Ada"}), self.address(self.gun))
        spec = self.spec()
        self.assertEqual(spec["target"], {"nozzle_pressure": "11600 psi"})
        self.assertEqual(spec["object"], {"what": "cast iron"})
        self.assertEqual(spec["hazards"], {"ignition": False})
        self.assertEqual(spec["stops"], ["trigger: Olu", "unit: Ada"])
        self.assertEqual((spec["hose_run"], spec["tool"]), (self.gun.spec["hose_run"], "gun"))
        self.assertNotIn("times", spec)

    def test_what_is_typed_is_kept_and_planned_in_one_act(self):
        self.assertRedirects(self.change(then="plan"), self.address(self.gun, "plan/"))
        self.assertEqual(self.spec()["target"], {"nozzle_pressure": "11600 psi"})

    def test_nonsense_is_not_planned(self):
        self.assertContains(self.change(then="plan", **{"task-rise": "high"}), "high", status_code=422)

    def test_who_changes_nothing_writes_nothing_and_comes_to_the_plan(self):
        form = TaskForm(Task.objects.get(pk=self.gun.pk), None)
        typed = {one.html_name: one.value() or "" for one in form.table} | {"name": self.gun.name, "then": "plan"}
        answer = self.as_(self.olu).post(self.address(self.gun, "change/"), typed)
        self.assertRedirects(answer, self.address(self.gun, "plan/"))
        task = Task.objects.get(pk=self.gun.pk)
        self.assertEqual((task.version, task.spec), (self.gun.version, self.gun.spec))

    def test_the_target_comes_first_then_the_rig_and_then_one_act_that_plans(self):
        page = self.as_(self.olu).get(self.address(self.gun)).content.decode()
        places = [page.index(one) for one in ('name="task-target-nozzle_pressure"', 'id="rig-title"', "Keep and plan")]
        self.assertEqual(places, sorted(places))
        self.assertEqual(page.count("Keep and plan"), 1)
        self.assertLess(page.index("Keep and plan"), page.index('form="facts">Keep it'))  # so Enter plans
        self.assertNotIn("Plan this task", page)

    def test_what_is_typed_stands_there_once(self):
        kept = "Pressure asked for, right behind the tips</dt>"
        page = self.as_(self.olu).get(self.address(self.gun)).content.decode()
        self.assertNotIn(kept, page)
        self.assertIn("<dt>What it is</dt>", page)  # the other facts are still said
        answer = self.change(**{"task-target-nozzle_pressure": "850"})
        self.assertContains(answer, 'value="850"', status_code=422)
        self.assertNotContains(answer, "800 bar", status_code=422)
        self.assertContains(self.as_(self.rae).get(self.address(self.gun)), kept)

    def test_a_reader_goes_to_the_plan_by_a_link(self):
        page = self.as_(self.rae).get(self.address(self.gun))
        self.assertContains(page, f'href="{self.address(self.gun, "plan/")}">Plan this task')

    def test_two_tasks_of_a_job_have_two_names(self):
        answer = self.change(name="Morning: hall floor")
        self.assertContains(answer, "Another one here has this name", status_code=422)

    def test_nonsense_is_refused_with_what_was_typed(self):
        answer = self.change(**{"task-target-nozzle_pressure": "14,500 psi"})
        self.assertContains(answer, "14,500 psi", status_code=422)
        self.assertEqual(self.spec(), self.gun.spec)

    def test_who_saves_second_is_told_and_loses_nothing(self):
        answer = self.change(version=77, **{"task-object-what": "typed by Olu"})
        self.assertContains(answer, "Somebody saved this meanwhile", status_code=409)
        self.assertContains(answer, "typed by Olu", status_code=409)

    def test_the_jobs_readings_follow_a_new_name(self):
        reading = {"task": self.gun.name, "day": "2026-05-11", "pump_speed": "110 rpm", "gauge": "300 bar"}
        Job.objects.filter(pk=self.job.pk).update(spec=self.job.spec | {"reading": [reading]})
        self.change(name="Noon: footings")
        self.assertEqual(Job.objects.get(pk=self.job.pk).spec["reading"], [reading | {"task": "Noon: footings"}])

    def test_a_reader_sees_the_facts_alone(self):
        page = self.as_(self.rae).get(self.address(self.gun))
        self.assertContains(page, "cast iron, 20 mm wall")
        self.assertNotContains(page, "Keep it")
        self.assertNotContains(page, "Add a piece here")


class InTheWayTest(DemoTestCase):
    def lines(self, task=None):
        task = Task.objects.get(pk=(task or self.gun).pk)
        way = in_the_way(task)
        page = self.as_(self.rae).get(self.address(task)).content.decode()
        for line in way.of_rig + way.of_facts + way.of_job + way.of_yard:
            self.assertIn(html.escape(line, quote=False), page)
        return way.of_rig, way.of_facts, way.of_job, way.of_yard

    def put(self, **changes):
        spec = {key: value for key, value in (self.gun.spec | changes).items() if value is not None}
        Task.objects.filter(pk=self.gun.pk).update(spec=spec)

    def test_nothing_stands_in_the_way_of_the_shift(self):
        self.assertEqual(self.lines(), ((), (), (), ()))

    def test_a_piece_that_the_yard_lacks(self):
        self.put(hose_run=["W13-20", "R12-40"])
        (line,), facts, job, yard = self.lines()
        self.assertIn("there is no hose or fitting of this name", line)
        self.assertIn("R12-40", line)
        self.assertEqual((facts, job, yard), ((), (), ()))

    def test_a_gun_without_a_target(self):
        self.put(target={})
        self.assertIn("Nothing is asked for yet", self.lines()[1][0])

    def test_a_new_task_says_what_it_lacks(self):
        new = Task.objects.create(job=self.job, name="New", place=9)
        rig, facts, job, yard = self.lines(new)
        self.assertIn("There is no tool yet", "".join(rig))
        self.assertIn("Nothing is asked for yet", "".join(facts))
        self.assertEqual((job, yard), ((), ()))

    def test_a_missing_supply_and_unit_are_the_jobs(self):
        Job.objects.filter(pk=self.job.pk).update(spec={}, unit=None)
        _rig, _facts, job, _yard = self.lines()
        self.assertEqual(set(job), {"The water supply is not described yet.", "Unit: none is named yet"})

    def test_a_row_that_it_uses_is_the_yards(self):
        Piece.objects.filter(crew=self.crew, name="S8-20").update(spec={"bore": "8 mm"})
        rig, _facts, _job, yard = self.lines()
        self.assertIn("S8-20", "".join(yard))
        self.assertEqual(rig, ())

    def test_a_draft_beside_it_keeps_nobody_from_planning(self):
        Task.objects.create(job=self.job, name="Draft", place=0)
        Piece.objects.filter(crew=self.crew, name__in=["V8-20", "L14"]).update(spec={"bore": "wide"})
        read, index = read_task(self.gun)
        self.assertEqual(read.job.task[index].name, self.gun.name)
        self.assertEqual(self.lines(), ((), (), (), ()))

    def test_a_tip_that_it_uses_does(self):
        Piece.objects.filter(crew=self.crew, name="L11").update(spec={"bore": "wide"})
        with self.assertRaises(FileError):
            read_task(self.gun)

    def test_a_retired_task_can_still_be_looked_at(self):
        Task.objects.filter(pk=self.gun.pk).update(retired_at=timezone.now())
        page = self.as_(self.ada).get(self.address(self.gun))
        self.assertContains(page, "This task is retired")
        self.assertNotContains(page, "Add a piece here")
        with self.assertRaises(FileError):
            read_task(Task.objects.get(pk=self.gun.pk))
