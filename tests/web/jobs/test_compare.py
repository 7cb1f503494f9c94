"""Setting two tasks of a job side by side."""

import re

from jetwright.web.yard.models import Piece
from tests.web.jobs.cases import DemoTestCase


class CompareTest(DemoTestCase):
    """The noon's gun beside the afternoon's bigger tip."""

    def look(self, who=None, a=None, b=None):
        shell = self.job.tasks.get(name__startswith="Afternoon")
        sent = {"a": self.gun.pk if a is None else a, "b": shell.pk if b is None else b}
        return self.as_(who or self.olu).get(self.address(self.job, "compare/"), sent)

    def test_both_stand_line_by_line_with_what_the_other_has_more(self):
        page = self.look()
        for words in ("Noon: pump footings by gun", "Afternoon: heat exchanger shell", "B − A", "At the tip", "−100"):
            self.assertContains(page, words)

    def test_a_copy_of_a_task_is_a_variant_of_it(self):
        self.as_(self.ada).post(self.address(self.gun, "copy/"))
        copy = self.job.tasks.order_by("-place").first()
        page = self.look(b=copy.pk)
        self.assertContains(page, "same")
        self.assertContains(page, "none: each limit has the same verdict in both")

    def test_a_limit_that_one_of_them_does_not_have_does_not_apply_there(self):
        morning = self.job.tasks.get(name__startswith="Morning")
        page = self.look(a=morning.pk, b=self.gun.pk).content.decode().split('id="limits-title"')[1]
        self.assertRegex(page, r'<b>A</b>\s*<span class="quiet">does not apply</span>')
        self.assertNotRegex(page, r"[AB]:? *(</b>)?\s*–")
        self.assertRegex(page, r'<b>B</b>\s*<span class="verdict look">.*</svg> <span>look first</span></span> <span>')

    def test_neither_is_called_the_better_one(self):
        self.assertNotContains(self.look(), "better")

    def test_a_refused_one_is_not_to_be_set(self):
        one, other = self.what_if.tasks.all()[:2]
        page = self.as_(self.olu).get(self.address(self.what_if, "compare/"), {"a": one.pk, "b": other.pk})
        self.assertContains(page, "are not to be set")
        self.assertContains(page, "Limits that differ")

    def test_what_is_not_judged_is_said_once(self):
        job = {key: value for key, value in self.what_if.spec.items() if key != "restraints"}
        self.what_if.spec = job
        self.what_if.change(self.what_if.version, ["spec"])
        one, other = self.what_if.tasks.all()[:2]
        tool = Piece.objects.get(crew=self.crew, kind="tool", name=other.spec["tool"])
        tool.spec = {key: value for key, value in tool.spec.items() if key != "rating"}
        self.assertTrue(tool.change(tool.version, ["spec"]))
        page = self.as_(self.olu).get(self.address(self.what_if, "compare/"), {"a": one.pk, "b": other.pk})
        self.assertContains(page, "not judged")
        self.assertNotRegex(page.content.decode(), r"not judged\s*</span>\s*not judged")

    def test_one_and_the_same_is_refused(self):
        self.assertEqual(self.look(b=self.gun.pk).status_code, 422)

    def test_without_two_tasks_they_are_asked_for(self):
        page = self.look(a="", b="nonsense")
        self.assertContains(page, "Set side by side")

    def test_the_first_two_are_chosen_until_somebody_chooses(self):
        first, second = self.job.tasks.all()[:2]
        self.assertEqual(self.chosen(), [str(first.pk), str(second.pk)])
        self.assertEqual(self.chosen(a=str(second.pk)), [str(second.pk), str(first.pk)])
        self.assertEqual(self.chosen(b=str(first.pk)), [str(second.pk), str(first.pk)])

    def chosen(self, **asked):
        page = self.as_(self.olu).get(self.address(self.job, "compare/"), asked)
        self.assertNotContains(page, "B − A")  # nothing is set side by side before somebody asks
        return re.findall(r'<option value="([^"]+)" selected>', page.content.decode())

    def test_a_task_of_another_job_is_not_taken(self):
        self.assertNotContains(self.look(b=self.what_if.tasks.first().pk), "B − A")

    def test_another_crew_sees_nothing(self):
        self.assertEqual(self.look(self.bo).status_code, 404)

    def test_a_reader_sees_it(self):
        self.assertEqual(self.look(self.rae).status_code, 200)

    def test_who_has_not_entered_is_sent_to_the_door(self):
        self.assertIn("/people/enter/", self.client.get(self.address(self.job, "compare/")).url)

    def test_it_is_looked_at_and_not_posted(self):
        self.assertEqual(self.as_(self.ada).post(self.address(self.job, "compare/")).status_code, 405)
