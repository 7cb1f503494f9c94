"""Signing a task: what is shown, what is asked, what is kept, and what cannot be signed."""

import json
import re
import uuid

from django.test import Client

from jetwright.actions.plan import plan_read
from jetwright.report.plan_json import plan_facts
from jetwright.web.jobs.models import Task
from jetwright.web.jobs.written import job_tables, read_written
from jetwright.web.people.models import Crew
from jetwright.web.records.models import Record
from jetwright.web.records.seal import at_text, canonical, check_crew
from tests.web.crew import PASSWORD, PIN
from tests.web.records.cases import (
    AFTERNOON,
    MORNING,
    NOON,
    OLD_HOSE,
    RecordsTestCase,
    fields,
    reason_names,
    words,
)
from tests.web.records.test_page import pages


class LookAtIt(RecordsTestCase):
    def test_it_shows_verdict_setting_what_to_look_at_and_who_signs(self):
        page = self.as_(self.ada).get(self.address())
        self.assertEqual(page.status_code, 200)
        told = words(page)
        for words_of_it in (
            "Look first",
            "4 of 65 limits to look at",
            "830",
            "Spilt over the bypass",
            "Ada",
            "Crew lead",
        ):
            self.assertIn(words_of_it, told)
        self.assertEqual(told.count("This plan supports and never replaces"), 1)

    def test_there_is_a_reason_for_each_thing_to_look_at(self):
        page = self.as_(self.ada).get(self.address())
        looks = [limit for limit in self.solved(NOON)["limits"] if limit["verdict"] == "look"]
        self.assertEqual(len(reason_names(page)), len(looks))
        self.assertEqual(len(looks), 4)

    def solved(self, name):
        read = read_written(job_tables(self.task(name).job), "job")
        return next(task for task in plan_facts(plan_read(read))["tasks"] if task["name"] == name)

    def test_a_fact_nobody_gave_that_counts_as_look_first_wants_a_reason_too(self):
        unit = self.piece("Heron 2", "unit")
        gauge = unit.carried.get(kind="gauge")
        gauge.retired_at = gauge.changed_at
        gauge.save()
        page = self.as_(self.ada).get(self.address(AFTERNOON))
        self.assertIn("not judged: no gauge is described", words(page))
        self.assertNotIn("unit.gauge", words(page))
        self.assertTrue(any("unit.gauge" in name for name in reason_names(page)))
        record = self.sign(AFTERNOON)
        (given,) = json.loads(record.body)["signed"]["reasons"]
        self.assertEqual(given["missing"], "unit.gauge")
        self.assertTrue(given["lacks"].startswith("no gauge is described. Fit a gauge"))
        self.assertGreater(len(given["limits"]), 1)
        told = words(self.as_(self.ada).get(f"/records/{record.pk}/"))
        self.assertEqual(told.count(given["reason"]), 1)
        self.assertNotIn("unit.gauge", told)

    def lacking(self, name, *keys):
        """A task of which some things were not said, and the page on which it is signed."""
        task = self.task(name)
        task.spec = {key: value for key, value in task.spec.items() if key not in keys}
        task.save()
        return self.as_(self.ada).get(self.address(name))

    def test_ways_to_stop_that_nobody_named_want_a_reason_and_the_permit_one_for_all(self):
        page = self.lacking(AFTERNOON, "stops", "hazards")
        told = words(page)
        self.assertEqual([name.split("|")[1] for name in reason_names(page)], ["task.stops", "task.hazards"])
        self.assertIn("not judged: the ways to stop are not given", told)
        self.assertIn("Fire hazard, Confined space, Live electrical parts, Dangerous product", told)
        self.assertIn("whether it is a confined space is not given; whether live electrical parts are near", told)
        record = self.sign(AFTERNOON)
        self.assertEqual(len(json.loads(record.body)["signed"]["reasons"]), 2)
        self.assertIn(
            "whether it is a confined space is not given", words(self.as_(self.ada).get(f"/records/{record.pk}/"))
        )

    def test_a_test_date_that_was_emptied_wants_a_reason(self):
        for piece, key in ((self.piece("S8-20", "hose"), "hoses.S8-20.tested"), (self.relief(), "unit.relief.tested")):
            piece.spec = {name: value for name, value in piece.spec.items() if name != "tested"}
            piece.save()
            names = reason_names(self.as_(self.ada).get(self.address(AFTERNOON)))
            self.assertIn(key, [name.split("|")[1] for name in names])

    def relief(self):
        return self.piece("Heron 2", "unit").carried.get(kind="relief")

    def test_what_hurts_nobody_wants_no_reason(self):
        job = self.task(AFTERNOON).job
        job.spec = job.spec | {"supply": {**job.spec["supply"], "filter": None}}
        del job.spec["supply"]["filter"]
        job.save()
        page = self.as_(self.ada).get(self.address(AFTERNOON))
        self.assertEqual(reason_names(page), [])
        self.assertIn("the filter's opening is not given", words(page))

    def test_a_recoil_that_only_a_body_rest_would_allow_stands_there_in_newtons(self):
        tool = self.piece("gun-with-rest", "tool")
        tool.spec = {name: value for name, value in tool.spec.items() if name != "support"}
        tool.save()
        told = words(self.as_(self.ada).get(self.address(AFTERNOON)))
        line = re.search(
            r"Recoil of gun-with-rest: (\d+) N as planned, up to (\d+) N\. More than 150 N: not allowed", told
        )
        self.assertTrue(150 < int(line[1]) < int(line[2]) <= 250, told)
        record = self.sign(AFTERNOON)
        self.assertIn(line[0], words(self.as_(self.ada).get(f"/records/{record.pk}/")))
        self.assertIn(line[0], pages(record.sheet)[0])

    def test_one_within_limits_asks_for_no_reason(self):
        self.assertEqual(reason_names(self.as_(self.ada).get(self.address(AFTERNOON))), [])

    def test_another_crew_sees_nothing(self):
        self.assertEqual(self.as_(self.bo).get(self.address()).status_code, 404)

    def test_only_a_crew_lead_may(self):
        for who in (self.rae, self.olu, self.mia, self.tom, self.kim):
            self.assertEqual(self.as_(who).get(self.address()).status_code, 403, who)
            self.assertEqual(self.as_(who).post(self.address(), {"pin": PIN}).status_code, 403, who)

    def test_whoever_has_not_entered_is_asked_to(self):
        answer = Client().get(self.address())
        self.assertEqual((answer.status_code, answer.url.split("?")[0]), (302, "/people/enter/"))

    def test_a_retired_task_is_not_there_to_be_signed(self):
        task = self.task()
        task.retired_at = task.changed_at
        task.save()
        self.assertEqual(self.as_(self.ada).get(f"/records/sign/{task.pk}/").status_code, 404)

    def test_a_task_that_cannot_be_planned_says_why(self):
        task = self.task()
        task.spec = task.spec | {"tool": "no such tool"}
        task.save()
        page = self.as_(self.ada).get(f"/records/sign/{task.pk}/")
        self.assertIn("there is no tool of this name", words(page))
        self.assertEqual(self.as_(self.ada).post(f"/records/sign/{task.pk}/", {"pin": PIN}).status_code, 422)

    def test_after_a_task_that_cannot_be_read_nobody_knows_what_is_left_on(self):
        before = self.task(MORNING)
        before.spec = before.spec | {"tool": "no such tool"}
        before.save()
        self.assertIn("what it leaves on is not known", words(self.as_(self.ada).get(self.address())))
        self.assertEqual(self.as_(self.ada).post(self.address(), {"pin": PIN}).status_code, 422)
        self.assertEqual(Record.objects.count(), 0)


class SignIt(RecordsTestCase):
    def post(self, told, name=NOON, who=None):
        return self.as_(who or self.ada).post(self.address(name), told)

    def test_it_is_kept_and_shown(self):
        answer = self.post(self.filled())
        record = Record.objects.get()
        self.assertEqual((answer.status_code, answer.url), (302, f"/records/{record.pk}/"))
        self.assertEqual((record.number, record.previous, record.kind), (1, "", "plan"))
        self.assertEqual((record.by, record.crew, record.task), (self.ada, self.crew, self.task()))
        self.assertEqual(check_crew(self.crew), [])

    def test_the_body_holds_what_was_written_solved_printed_and_signed(self):
        record = self.sign()
        body = json.loads(record.body)
        self.assertEqual(canonical(body), record.body.encode())
        self.assertEqual(body["task"]["name"], NOON)
        self.assertEqual(body["written"]["task"][-1], {"name": NOON, **self.task().spec})
        self.assertEqual(body["written"]["hoses"]["S8-20"], self.piece("S8-20", "hose").spec)
        self.assertNotIn("V8-20", body["written"]["hoses"])
        self.assertEqual(body["day"], "2026-05-12")
        self.assertEqual((body["rules"]["name"], 0.0 < body["rules"]["verified_share"] < 1.0), ("eu-generic", True))
        signed = body["signed"]
        self.assertEqual((signed["who"], signed["role"], signed["units"]), ("Ada", "crew lead", "si"))
        self.assertEqual((signed["language"], signed["at"]), ("en", at_text(record.made_at)))
        reasons = {
            (limit["limit"], limit["about"]): one["reason"] for one in signed["reasons"] for limit in one["limits"]
        }
        self.assertEqual(len(reasons), 4)
        self.assertEqual(reasons["recoil.relief", "tools.gun"], "Seen, reason 3")

    def test_what_was_written_plans_again_to_what_was_solved(self):
        for name in (MORNING, NOON, AFTERNOON):
            body = json.loads(self.sign(name).body)
            again = plan_facts(plan_read(read_written(body["written"], "again"), cures=False))
            self.assertEqual(canonical(again["tasks"][-1]), canonical(body["solved"]), name)

    def test_numbers_count_up_and_each_names_the_one_before(self):
        first, second, third = (self.sign(name) for name in (MORNING, NOON, AFTERNOON))
        self.assertEqual([one.number for one in (first, second, third)], [1, 2, 3])
        self.assertEqual((second.previous, third.previous), (first.digest, second.digest))

    def test_crews_count_apart(self):
        self.sign()
        from jetwright.web.jobs.demo import put_in_demo
        from jetwright.web.jobs.models import Task

        put_in_demo(self.other)
        task = Task.objects.get(job__crew=self.other, name=AFTERNOON)
        address = f"/records/sign/{task.pk}/"
        self.as_(self.bo).post(address, fields(self.as_(self.bo).get(address)) | {"pin": PIN})
        self.assertEqual(Record.objects.get(crew=self.other).number, 1)

    def test_a_later_record_of_the_same_task_names_the_one_it_follows(self):
        first = self.sign()
        self.sign(MORNING)
        body = json.loads(self.sign().body)
        self.assertEqual(body["follows"], {"number": 1, "record": str(first.pk), "digest": first.digest})

    def test_an_empty_reason_is_refused_and_what_was_typed_is_kept(self):
        told = self.filled()
        names = [name for name in told if name.startswith("why|")]
        for nothing in ("", "   ", "\u200b\u200e"):
            answer = self.post(told | {names[1]: nothing})
            self.assertContains(answer, "Say why it may start in spite of this.", status_code=422)
            self.assertContains(answer, 'value="Seen, reason 1"', status_code=422)
        del told[names[1]]
        self.assertEqual(self.post(told).status_code, 422)
        self.assertEqual(Record.objects.count(), 0)

    def test_what_gives_no_reason_is_refused(self):
        told = self.filled()
        name = next(name for name in told if name.startswith("why|"))
        for nothing in ("ok", "x", "...", "1234 5678 9012", "a b c d e f g h", "okayokayokay", ". . . seen"):
            answer = self.post(told | {name: nothing})
            self.assertContains(answer, "Say it in words, two or more", status_code=422)
        self.assertEqual(Record.objects.count(), 0)

    def test_a_reason_that_is_too_long_is_refused(self):
        told = self.filled(reason="x" * 301)
        self.assertContains(self.post(told), "300 signs or fewer", status_code=422)

    def test_a_wrong_pin_signs_nothing_and_keeps_the_reasons(self):
        answer = self.post(self.filled() | {"pin": "0000"})
        self.assertContains(answer, "This is not your PIN.", status_code=422)
        self.assertContains(answer, 'value="Seen, reason 4"', status_code=422)
        self.assertNotContains(answer, 'value="0000"', status_code=422)
        self.assertEqual(Record.objects.count(), 0)

    def test_on_a_device_where_no_pin_is_taken_it_is_the_password(self):
        browser = Client()
        browser.force_login(self.ada, backend="django.contrib.auth.backends.ModelBackend")
        page = browser.get(self.address(AFTERNOON))
        self.assertContains(page, "Your password, once more")
        wrong = browser.post(self.address(AFTERNOON), fields(page) | {"pin": PIN})
        self.assertContains(wrong, "This is not your password.", status_code=422)
        self.assertEqual(browser.post(self.address(AFTERNOON), fields(page) | {"pin": PASSWORD}).status_code, 302)
        self.assertEqual(Record.objects.get().by, self.ada)

    def test_somebody_elses_password_is_not_ones_own(self):
        self.bo.set_password("Ten herons wade")
        self.bo.save()
        self.assertEqual(self.post(self.filled() | {"pin": "Ten herons wade"}).status_code, 422)
        self.assertEqual(Record.objects.count(), 0)

    def test_a_refused_task_has_no_form_and_posting_anyway_signs_nothing(self):
        page = self.as_(self.ada).get(self.address(OLD_HOSE))
        self.assertContains(page, "It cannot be signed")
        self.assertNotContains(page, 'name="pin"')
        for who in (self.ada, self.zoe):
            told = {"mark": "x", "record": str(uuid.uuid4()), "pin": PIN}
            answer = self.post(told | self.filled(NOON), OLD_HOSE, who)
            self.assertContains(answer, "this task is not allowed", status_code=422)
        self.assertEqual(Record.objects.count(), 0)

    def test_one_that_became_refused_since_it_was_shown_is_not_signed(self):
        told = self.filled()
        hose = self.piece("S8-20", "hose")
        hose.spec = hose.spec | {"rating": "600 bar"}
        hose.save()
        self.assertContains(self.post(told), "this task is not allowed", status_code=422)
        self.assertEqual(Record.objects.count(), 0)

    def test_a_yard_that_changed_meanwhile_is_looked_at_again(self):
        told = self.filled()
        hose = self.piece("S8-20", "hose")
        hose.spec = hose.spec | {"tested": "2026-03-01"}
        hose.save()
        answer = self.post(told)
        self.assertContains(answer, "changed since this page was shown", status_code=409)
        self.assertContains(answer, 'value="Seen, reason 1"', status_code=409)
        self.assertEqual(Record.objects.count(), 0)
        self.assertEqual(self.post(fields(answer) | {"pin": PIN}).status_code, 302)

    def test_a_task_that_changed_meanwhile_is_looked_at_again(self):
        told = self.filled()
        task = self.task()
        task.spec = task.spec | {"planned_time": "2 h"}
        task.save()
        self.assertEqual(self.post(told).status_code, 409)

    def test_a_piece_that_the_task_does_not_use_may_change_meanwhile(self):
        told = self.filled()
        hose = self.piece("V8-20", "hose")
        hose.spec = hose.spec | {"tested": "2026-03-01"}
        hose.save()
        self.assertEqual(self.post(told).status_code, 302)

    def test_a_double_tap_signs_once(self):
        told = self.filled()
        first, second = self.post(told), self.post(told)
        self.assertEqual((first.status_code, first.url), (second.status_code, second.url))
        self.assertEqual(Record.objects.count(), 1)

    def test_the_name_of_somebody_elses_record_is_not_taken(self):
        record = self.sign(MORNING)
        answer = self.post(self.filled() | {"record": str(record.pk)})
        self.assertEqual(answer.status_code, 409)
        self.assertEqual(Record.objects.count(), 1)

    def test_nonsense_in_the_hidden_fields_signs_nothing(self):
        for told in ({"record": "nonsense"}, {"record": ""}, {"mark": "0" * 64}, {"mark": ""}):
            self.assertEqual(self.post(self.filled() | told).status_code, 409, told)
        self.assertEqual(Record.objects.count(), 0)

    def test_an_administrator_signs_as_one(self):
        body = json.loads(self.sign(AFTERNOON, self.zoe).body)
        self.assertEqual((body["signed"]["who"], body["signed"]["role"]), ("Zoe", "administrator"))

    def test_a_mark_up_in_a_reason_is_text(self):
        record = self.sign(reason="<b>{n}</b> #strong & “quoted”")
        page = self.as_(self.ada).get(f"/records/{record.pk}/")
        self.assertContains(page, "&lt;b&gt;1&lt;/b&gt; #strong &amp; “quoted”")


class OfWhichCrew(RecordsTestCase):
    """A right to sign in one crew is none in another: whose it is stands on everything that is signed."""

    def in_demo(self, name=AFTERNOON):
        """Kim, who signs nothing in North, takes its job into the demo, which she leads, and signs it there."""
        browser = self.as_(self.kim)
        browser.post("/jobs/demo/")
        demo = Crew.objects.get(name="Demo")
        written = browser.get(f"/jobs/{self.task(name).job_id}/file/").content
        told = {"crew": demo.pk, "job": written.decode(), "act": "put in"}
        self.assertEqual(browser.post("/jobs/file/", told).status_code, 302)
        task = Task.objects.filter(name=name, job__crew=demo).order_by("-job__changed_at").first()
        address = f"/records/sign/{task.pk}/"
        page = browser.get(address)
        self.assertContains(page, "<dd>Demo</dd>")
        self.assertEqual(browser.post(address, fields(page) | {"pin": PIN}).status_code, 302)
        return Record.objects.get(crew=demo)

    def test_it_stands_on_the_page_on_both_sides_of_the_sheet_and_in_the_body(self):
        record = self.sign(AFTERNOON)
        body = json.loads(record.body)
        self.assertEqual(body["crew"], {"uuid": str(self.crew.pk), "name": "North"})
        self.assertIs(body["signed"]["practice"], False)
        for side in (*pages(record.sheet), words(self.as_(self.rae).get(f"/records/{record.pk}/"))):
            self.assertIn("Ada, Crew lead of North,", side)
            self.assertNotIn("For practice", side)

    def test_in_a_demo_crew_it_is_for_practice_and_says_so(self):
        record = self.in_demo()
        self.assertIs(json.loads(record.body)["signed"]["practice"], True)
        self.assertEqual(len(pages(record.sheet)), 2)
        browser = self.as_(self.kim)
        for told in (browser.get(f"/records/{record.pk}/"), browser.get("/records/")):
            self.assertIn("Kim, Crew lead of Demo,", words(told))
            self.assertIn("For practice: signed in a demo crew", words(told))
        for side in pages(record.sheet):
            self.assertIn("Kim, Crew lead of Demo,", side)
            self.assertIn("For practice: signed in a demo crew", side)
