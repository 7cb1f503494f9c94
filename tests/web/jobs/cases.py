"""A crew with the demo shift in its yard and jobs, as the pages put it in."""

from jetwright.web.jobs.demo import put_in_demo
from jetwright.web.jobs.models import Job, Task
from tests.web.crew import CrewTestCase


class DemoTestCase(CrewTestCase):
    """The shift of three tasks, the one that is not allowed, and addresses of both."""

    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        put_in_demo(cls.crew)
        cls.job = Job.objects.get(name="Evaporator hall, Sundby works")
        cls.what_if = Job.objects.get(name="Evaporator hall, Sundby works: what if")
        cls.gun: Task = cls.job.tasks.get(name__startswith="Noon")

    def address(self, row, act="") -> str:
        if isinstance(row, Job):
            return f"/jobs/{row.pk}/{act}"
        return f"/jobs/{row.job_id}/tasks/{row.pk}/{act}"

    def act_on_rig(self, who, act, task=None, **fields):
        task = Task.objects.get(pk=(task or self.gun).pk)
        fields = {"version": task.version, "act": act, "run": 0, "at": 0} | fields
        return self.as_(who).post(self.address(task, "rig/act/"), fields)

    def spec(self, task=None) -> dict:
        return Task.objects.get(pk=(task or self.gun).pk).spec
