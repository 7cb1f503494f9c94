"""Between the look and the seal: what changed is not sealed, and what was said is what is kept."""

import json
import sys
from contextlib import contextmanager

from django.db import connection
from django.utils import timezone

from jetwright.web.jobs.models import Job, Task
from jetwright.web.people.models import Membership
from jetwright.web.records.models import Record
from jetwright.web.yard.models import Piece
from tests.web.records.cases import MORNING, NOON, RecordsTestCase, reason_names, words


@contextmanager
def profiled():
    """Whatever watches calls inside watches none afterwards."""
    try:
        yield
    finally:
        sys.setprofile(None)


class Meanwhile(RecordsTestCase):
    """Somebody does something once the PIN was found right, and before anything is sealed."""

    def sign_while(self, act):
        done = []

        def once(execute, sql, params, many, context):
            if not done and 'FROM "records_record"' in sql:  # asked once the crew is held
                done.append(True)
                act()
            return execute(sql, params, many, context)

        filled, browser = self.filled(), self.as_(self.ada)
        with connection.execute_wrapper(once):
            answer = browser.post(self.address(), filled)
        self.assertTrue(done)
        return answer

    def refused(self, act):
        answer = self.sign_while(act)
        self.assertEqual(answer.status_code, 409, words(answer))
        self.assertIn("in the same moment", words(answer))
        self.assertFalse(Record.objects.exists())

    def used(self):
        return self.piece(self.task().spec["hose_run"][0], "hose")

    def test_a_hose_that_was_retired(self):
        def retire():
            Piece.objects.filter(pk=self.used().pk).update(retired_at=timezone.now(), retired_why="burst")

        self.refused(retire)

    def test_a_hose_that_is_worth_less(self):
        hose = self.used()
        spec = hose.spec | {"rating": "1450 bar"}
        self.refused(lambda: Piece.objects.filter(pk=hose.pk).update(spec=spec))

    def test_a_task_that_was_saved(self):
        task = self.task()
        self.refused(lambda: task.change(task.version, ["name"]))

    def test_a_job_on_another_day(self):
        self.refused(lambda: Job.objects.filter(pk=self.task().job_id).update(day="2026-05-13"))

    def test_the_task_before_it_that_leaves_another_setting(self):
        before = self.task(MORNING)
        spec = before.spec | {"target": {"nozzle_pressure": "650 bar"}}
        self.refused(lambda: Task.objects.filter(pk=before.pk).update(spec=spec))

    def test_nothing_is_solved_while_others_wait(self):
        solved = []

        def watch(frame, event, _argument):
            if event == "call" and frame.f_globals.get("__name__", "").startswith("jetwright.solve."):
                solved.append(frame.f_code.co_qualname)

        with profiled():
            sys.setprofile(watch)
            self.filled()
            self.assertTrue(solved)  # it would be seen
            sys.setprofile(None)
            solved.clear()
            self.assertEqual(self.sign_while(lambda: sys.setprofile(watch)).status_code, 302)
        self.assertEqual(solved, [])

    def test_a_role_that_ended(self):
        self.refused(lambda: Membership.objects.filter(person=self.ada).update(ended_at=timezone.now()))

    def test_what_has_no_part_in_it_stops_nobody(self):
        answer = self.sign_while(lambda: Piece.objects.create(crew=self.other, kind="tip", name="T", spec={}))
        self.assertEqual(answer.status_code, 302)
        self.assertEqual(Record.objects.count(), 1)


class Again(RecordsTestCase):
    def test_the_same_form_once_more_leads_to_the_same_record(self):
        filled, browser = self.filled(), self.as_(self.ada)
        first, second = browser.post(self.address(), filled), browser.post(self.address(), filled)
        self.assertEqual((second.status_code, second.url), (302, first.url))
        self.assertEqual(Record.objects.count(), 1)

    def test_other_reasons_are_not_dropped_unsaid(self):
        filled, browser = self.filled(), self.as_(self.ada)
        browser.post(self.address(), filled)
        name = reason_names(browser.get(self.address()))[0]
        answer = browser.post(self.address(), filled | {name: "Hose is leaking, told the office"})
        self.assertContains(answer, "signed already, and not with these reasons", status_code=409)
        self.assertNotIn("leaking", Record.objects.get().body)


class Confirmed(RecordsTestCase):
    def test_a_record_says_by_what_and_under_which_name(self):
        signed = json.loads(self.sign(NOON).body)["signed"]
        self.assertEqual((signed["confirmed_by"], signed["username"]), ("pin", "ada"))
