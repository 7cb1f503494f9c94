"""One job: looking at it, changing what it says, copying and retiring it."""

from jetwright.web.jobs.models import Job, Task
from tests.web.jobs.cases import DemoTestCase
from tests.web.jobs.test_new import SUPPLY

ACTS = ("change/", "copy/", "retire/", "back/", "tasks/new/")


class JobPageTest(DemoTestCase):
    def change(self, who, **fields):
        typed = {"version": Job.objects.get(pk=self.job.pk).version, "name": "Hall 2", "day": ""} | SUPPLY
        return self.as_(who).post(self.address(self.job, "change/"), typed | fields)

    def test_the_tasks_stand_in_order_with_a_plan_each(self):
        page = self.as_(self.rae).get(self.address(self.job)).content.decode()
        self.assertLess(page.index("Morning"), page.index("Noon"))
        self.assertIn(self.address(self.gun, "plan/"), page)
        self.assertEqual(page.count('class="caution"'), 1)

    def test_a_reader_sees_facts_and_no_form(self):
        page = self.as_(self.rae).get(self.address(self.job))
        self.assertContains(page, "82 L/min")
        self.assertNotContains(page, "Keep it")

    def test_changed_facts_are_kept_and_the_rest_stays(self):
        self.assertRedirects(self.change(self.ada, unit=str(self.job.unit_id)), self.address(self.job))
        job = Job.objects.get(pk=self.job.pk)
        self.assertEqual((job.name, job.day, job.unit_id), ("Hall 2", None, self.job.unit_id))
        self.assertEqual(job.spec["supply"]["temperature"], "57.2 degF")
        self.assertEqual(job.tasks.count(), 3)

    def test_nonsense_is_refused_beside_its_field(self):
        answer = self.change(self.ada, **{"job-supply-flow": "82"})
        self.assertContains(answer, "a unit is missing", status_code=422)

    def test_who_saves_second_is_told_and_loses_nothing(self):
        answer = self.change(self.ada, name="Typed by Ada", version=self.job.version + 7)
        self.assertContains(answer, "Somebody saved this meanwhile", status_code=409)
        self.assertContains(answer, "Typed by Ada", status_code=409)
        self.assertEqual(Job.objects.get(pk=self.job.pk).name, self.job.name)

    def test_a_copy_has_the_same_tasks_under_another_name(self):
        self.as_(self.olu).post(self.address(self.job, "copy/"))
        made = Job.objects.get(name="Evaporator hall, Sundby works (2)")
        for field in ("name", "place", "spec"):
            self.assertEqual(list(made.tasks.values_list(field)), list(self.job.tasks.values_list(field)))
        self.assertEqual(
            (made.spec, made.unit, made.day), (self.job.spec, self.job.unit, Job.objects.get(pk=self.job.pk).day)
        )

    def test_a_retired_job_is_kept_and_comes_back(self):
        self.as_(self.ada).post(self.address(self.job, "retire/"), {"version": self.job.version})
        job = Job.objects.get(pk=self.job.pk)
        self.assertIsNotNone(job.retired_at)
        self.assertContains(self.as_(self.ada).get(self.address(self.job)), "This job is retired")
        self.as_(self.ada).post(self.address(self.job, "back/"), {"version": job.version})
        self.assertIsNone(Job.objects.get(pk=self.job.pk).retired_at)

    def test_retiring_what_somebody_changed_meanwhile_is_refused(self):
        answer = self.as_(self.ada).post(self.address(self.job, "retire/"), {"version": 99})
        self.assertContains(answer, "Somebody saved this meanwhile", status_code=409)

    def test_looking_does_nothing(self):
        for act in ACTS:
            self.assertEqual(self.as_(self.ada).get(self.address(self.job, act)).status_code, 405, act)

    def test_a_reader_is_refused(self):
        for act in ACTS:
            self.assertEqual(self.as_(self.rae).post(self.address(self.job, act)).status_code, 403, act)

    def test_another_crew_sees_nothing(self):
        self.assertEqual(self.as_(self.bo).get(self.address(self.job)).status_code, 404)
        for act in ACTS:
            self.assertEqual(self.as_(self.bo).post(self.address(self.job, act)).status_code, 404, act)

    def test_who_has_not_entered_is_asked_to(self):
        for act in ("", *ACTS):
            self.assertEqual(self.client.post(self.address(self.job, act)).status_code, 302, act)


class TasksOfAJobTest(DemoTestCase):
    def names(self):
        return list(self.job.tasks.filter(retired_at=None).values_list("name", flat=True))

    def post(self, act, who=None, **fields):
        task = Task.objects.get(pk=self.gun.pk)
        return self.as_(who or self.ada).post(self.address(task, act), {"version": task.version} | fields)

    def test_a_task_is_added_at_the_end(self):
        answer = self.as_(self.olu).post(self.address(self.job, "tasks/new/"), {"name": " The  pit "})
        made = Task.objects.get(name="The pit")
        self.assertRedirects(answer, self.address(made))
        self.assertEqual(self.names()[-1], "The pit")

    def test_a_second_one_of_a_name_gets_a_number(self):
        for _time in range(2):
            self.as_(self.ada).post(self.address(self.job, "tasks/new/"), {"name": "The pit"})
        self.assertEqual(self.names()[-2:], ["The pit", "The pit (2)"])

    def test_a_task_without_a_name_is_refused(self):
        answer = self.as_(self.ada).post(self.address(self.job, "tasks/new/"), {"name": " "})
        self.assertContains(answer, "Give the task a name", status_code=422)

    def test_a_task_moves_earlier_and_later(self):
        morning, noon, afternoon = self.names()
        self.post("move/", way="earlier")
        self.assertEqual(self.names(), [noon, morning, afternoon])
        self.post("move/", way="earlier")
        self.assertEqual(self.names(), [noon, morning, afternoon])
        self.post("move/", way="later")
        self.post("move/", way="later")
        self.assertEqual(self.names(), [morning, afternoon, noon])

    def test_a_copy_says_the_same(self):
        self.post("copy/")
        made = Task.objects.get(name="Noon: pump footings by gun (2)")
        self.assertEqual(made.spec, self.gun.spec)
        self.assertEqual(self.names()[-1], made.name)

    def test_a_retired_task_is_kept_and_comes_back(self):
        self.post("retire/")
        self.assertNotIn(self.gun.name, self.names())
        self.post("back/")
        self.assertEqual(self.names()[1], self.gun.name)

    def test_acts_on_what_somebody_changed_meanwhile_are_refused(self):
        for act in ("move/", "retire/", "back/"):
            answer = self.post(act, version=99)
            self.assertContains(answer, "Somebody saved this meanwhile", status_code=409)

    def test_looking_a_reader_and_another_crew(self):
        for act in ("move/", "copy/", "retire/", "back/", "change/", "rig/act/"):
            self.assertEqual(self.as_(self.ada).get(self.address(self.gun, act)).status_code, 405, act)
            self.assertEqual(self.post(act, self.rae).status_code, 403, act)
            self.assertEqual(self.post(act, self.bo).status_code, 404, act)
            self.assertEqual(self.client.post(self.address(self.gun, act)).status_code, 302, act)

    def test_a_task_of_another_job_is_not_found_below_this_one(self):
        other = self.what_if.tasks.first()
        self.assertEqual(self.as_(self.ada).get(f"/jobs/{self.job.pk}/tasks/{other.pk}/").status_code, 404)
