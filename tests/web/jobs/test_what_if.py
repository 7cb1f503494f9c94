"""Asking what another target, tip, hose run or tool would do, and keeping it."""

import re

from auditlog.models import LogEntry

from jetwright.web.jobs.models import Task
from jetwright.web.yard.models import Piece
from tests.web.jobs.cases import DemoTestCase
from tests.web.seen import words_on


class WhatIfTest(DemoTestCase):
    """The noon task is asked about: 800 bar, W13-20, reducer, two S8-20, the gun with one L11."""

    RUN = ("W13-20", "reducer", "S8-20", "S8-20")

    def fields(self, **changed):
        sent = {
            "asked": "yes",
            "target": "800 bar",
            "run": list(self.RUN),
            "tool": "gun",
            "tool_was": "gun",
            "tip": ["L11"],
        }
        task = Task.objects.get(pk=self.gun.pk)
        return sent | {"version": task.version, "tool_version": self.tool().version} | changed

    def tool(self) -> Piece:
        return Piece.objects.get(crew=self.crew, kind="tool", name="gun")

    def ask(self, who=None, act="plan/what-if/", part=True, task=None, **changed):
        headers = {"HX-Request": "true"} if part else {}
        return self.as_(who or self.olu).post(
            self.address(task or self.gun, act), self.fields(**changed), headers=headers
        )

    def keep(self, who=None, part=False, **changed):
        return self.ask(who or self.ada, "plan/keep/", part, **changed)

    def test_a_step_of_the_target_is_twenty_five_bar(self):
        self.assertContains(self.asked_with("target more"), 'value="825 bar"')
        self.assertContains(self.asked_with("target less"), 'value="775 bar"')

    def asked_with(self, act, who=None, **changed):
        sent = self.fields(**changed) | {"act": act}
        return self.as_(who or self.olu).post(
            self.address(self.gun, "plan/what-if/"), sent, headers={"HX-Request": "true"}
        )

    def test_a_step_from_between_goes_to_the_next_round_number(self):
        self.assertContains(self.asked_with("target more", target="810 bar"), 'value="825 bar"')
        self.assertContains(self.asked_with("target less", target="810 bar"), 'value="800 bar"')

    def test_a_step_is_five_hundred_psi_for_who_reads_psi(self):
        self.olu.units = "us"
        self.olu.save()
        self.assertContains(self.asked_with("target more"), 'value="12000 psi"')

    def test_a_typed_target_is_said_back(self):
        """A psi is 6894.757 Pa (NIST SP 811): 758.4 bar, 8702 psi; what a gauge can be read to has no say in it."""
        self.assertIn("11 000 psi = 758 bar", words_on(self.ask(target="11000 psi")))
        self.assertIn("600 bar = 8 700 psi", words_on(self.ask(target="600 bar")))

    def test_it_answers_alone_and_says_that_it_is_not_kept(self):
        answer = self.ask(target="750 bar")
        self.assertNotContains(answer, "<html")
        self.assertContains(answer, "Not kept.")
        self.assertContains(answer, 'id="numbers" hx-swap-oob="true"')
        self.assertContains(answer, 'id="acts" hx-swap-oob="true"')
        self.assertContains(answer, "Back to what is kept")

    def test_without_script_the_whole_page_comes(self):
        answer = self.ask(part=False, target="750 bar")
        self.assertContains(answer, "<h1>Noon: pump footings by gun</h1>")
        self.assertContains(answer, "Not kept.")

    def test_every_part_that_is_not_kept_says_so_and_so_does_a_bar_that_stays(self):
        answer = self.ask(target="750 bar").content.decode()
        for title in ("limits-title", "openings-title", "run-up-title", "profile-title", "set-title"):
            self.assertRegex(answer, f'<h2 id="{title}">[^<]*: not kept</h2>')
        self.assertIn("Not kept: 750 bar, look first", answer.split('<div id="stay"')[1])

    def test_what_is_kept_has_no_such_words(self):
        answer = self.ask().content.decode()
        self.assertNotIn("not kept</h2>", answer)
        self.assertNotIn("Not kept:", answer.split('<div id="stay"')[1])

    def test_where_an_answer_fails_the_page_knows_what_stands_there(self):
        self.assertContains(self.ask(), 'data-lost="Not answered: this is what is kept."')
        self.assertContains(self.ask(target="750 bar"), "what was asked before, and it is not kept")

    def test_what_is_asked_stands_beside_what_is_kept(self):
        self.assertContains(self.ask(target="750 bar"), 'name="beside" value="yes">Beside what is kept')
        table = self.ask(target="750 bar", beside="yes").content.decode().split('id="beside"')[1].split("</table>")[0]
        table = table.replace('<span class="whole">', "").replace("</span>", "")
        rows = [row.split("</td>") for row in table.split("<tr>")[2:]]
        told = {row[0].split(">")[1].split("<")[0]: [cell.split("<td>")[1] for cell in row[:2]] for row in rows}
        self.assertEqual(told["Pressure behind the tips"], ["800 bar", "750 bar"])
        self.assertEqual(told["Gauge"], ["830 bar", "780 bar"])  # as the plan of each says
        for what in ("Verdict", "Pump speed", "Flow of the jets", "Recoil", "Worst limit", "Water in a minute"):
            self.assertEqual(len(told[what]), 2, what)

    def test_the_table_stays_from_step_to_step_until_it_is_put_away(self):
        self.assertContains(self.asked_with("target less", beside="yes"), 'id="beside"')
        self.assertContains(self.asked_with("target less", beside="yes"), 'type="hidden" name="beside" value="yes"')
        self.assertNotContains(self.ask(target="750 bar", beside=["yes", "no"]), 'id="beside"')

    def test_other_tips_stand_beside_those_of_the_yard(self):
        table = self.ask(tip=["F13"], beside="yes").content.decode().split('id="beside"')[1].split("</table>")[0]
        kept, other = table.split("Recoil</th><td>")[1].split("</tr>")[0].split("</td><td>")
        kept, other = (float(re.search("[0-9.]+(?= N)", cell)[0]) for cell in (kept, other))
        self.assertLess(kept, other)  # a larger hole pushes harder

    def test_a_task_that_cannot_be_planned_any_more_is_shown_anew(self):
        Task.objects.filter(pk=self.gun.pk).update(spec={**self.gun.spec, "hose_run": ["nobody's"]})
        answer = self.ask(run=["nobody's"])
        self.assertEqual((answer.status_code, answer.headers["HX-Refresh"]), (204, "true"))
        page = self.ask(part=False, run=["nobody's"], target="7,5 bar")
        self.assertContains(page, "In the way of a plan", status_code=422)

    def test_what_is_kept_is_not_called_a_question(self):
        self.assertNotContains(self.ask(), "Not kept.")

    def test_nothing_is_saved(self):
        kept = LogEntry.objects.filter(content_type__model__in=["job", "task", "piece"])
        before, entries = self.spec(), kept.count()
        self.asked_with("target more")
        self.asked_with("tip 0 more")
        self.assertEqual(self.spec(), before)
        self.assertEqual(kept.count(), entries)

    def test_the_next_tip_is_the_next_larger_hole(self):
        answer = self.asked_with("tip 0 more")
        self.assertContains(answer, '<input type="hidden" name="tip" value="F13">')
        self.assertIn("1.3 mm bore", words_on(answer))

    def test_the_smallest_tip_has_no_smaller_one(self):
        self.assertContains(self.ask(), 'aria-label="Less: Tip in gun" disabled')

    def test_a_hose_more_comes_at_the_end_and_a_hose_less_goes_from_there(self):
        self.assertContains(self.asked_with("run more"), "<output>3 × S8-20</output>")
        self.assertContains(self.asked_with("run less"), "<output>1 × S8-20</output>")

    def test_no_more_hoses_than_the_yard_has(self):
        run = ["W13-20", "reducer", *["S8-20"] * 6]
        answer = self.asked_with("run more", run=run)
        self.assertContains(answer, "6 × S8-20")
        self.assertContains(answer, "no more in the yard")
        self.assertContains(answer, 'aria-label="More: Hose run, at its end" disabled')

    def test_another_tool_comes_with_its_own_tips(self):
        answer = self.ask(tool="gun-with-rest")
        self.assertContains(answer, '<input type="hidden" name="tip" value="L14">')

    def test_a_decimal_comma_is_refused_with_both_readings(self):
        answer = self.ask(target="2,5 bar")
        self.assertEqual(answer.status_code, 422)
        self.assertContains(answer, "2.5 bar", status_code=422)
        self.assertContains(answer, "25 bar", status_code=422)

    def test_what_cannot_be_read_stays_in_the_field_with_the_words_beneath_it(self):
        for typed, words in (
            ("900", "a unit is missing"), ("2,5 bar", "“2.5 bar” or “25 bar”"), ("1e9 bar", "out of range"),
            ("", "missing, and it is needed"), ("9 mPa", "unknown unit “mPa”"),
        ):  # fmt: skip
            answer = self.ask(target=typed)
            self.assertContains(answer, f'id="target" name="target" value="{typed}"', status_code=422)
            page = answer.content.decode()
            field = page.split('<p class="wrong" id="target-wrong">')[1].split("</p>")[0]
            self.assertIn('aria-invalid="true" aria-describedby="target-wrong"', page)
            self.assertIn(words, field)
            self.assertIn("What is shown is for 800 bar.", field)
            self.assertNotIn("told error", page)  # nothing is said a screen above
            self.assertIn(words, page.split('<div id="said"')[1])  # and who listens hears it

    def test_the_rest_of_the_question_stays_too(self):
        answer = self.ask(target="900", run=["W13-20", "reducer", "S8-20"], tip=["F13"])
        self.assertContains(answer, "<output>1 × S8-20</output>", status_code=422)
        self.assertContains(answer, '<input type="hidden" name="tip" value="F13">', status_code=422)
        self.assertContains(answer, "Not kept: 800 bar", status_code=422)
        self.assertNotContains(answer, "Keep this</button>", status_code=422)

    def test_no_step_is_taken_from_what_cannot_be_read(self):
        sent = self.fields(target="900") | {"act": "target more"}
        answer = self.as_(self.olu).post(self.address(self.gun, "plan/what-if/"), sent, headers={"HX-Request": "true"})
        self.assertContains(answer, 'name="target" value="900"', status_code=422)
        self.assertContains(answer, "What is shown is for 800 bar.", status_code=422)

    def test_without_script_the_words_lead_to_the_field(self):
        answer = self.ask(part=False, target="900")
        self.assertContains(answer, '<a href="#target">a unit is missing', status_code=422)
        self.assertContains(answer, 'aria-describedby="target-wrong" autofocus', status_code=422)

    def test_keeping_what_cannot_be_read_leaves_it_in_the_field(self):
        answer = self.keep(target="900")
        self.assertContains(answer, 'name="target" value="900"', status_code=422)
        self.assertEqual(self.spec(), self.gun.spec)

    def test_capitals_are_read(self):
        self.assertIn("850 bar = 12 330 psi", words_on(self.ask(target="850 BAR")))

    def test_in_english_a_point_stands_before_decimals_and_that_is_said(self):
        answer = self.ask(target="1.250 bar")
        told = "1.25 bar = 18.1 psi: the point stands before decimals, so this is not 1 250 bar"
        self.assertIn(told, words_on(answer))

    def test_in_spanish_each_reading_that_is_offered_may_be_typed(self):
        self.in_spanish()
        for typed in ("12,500 psi", "12,345 psi", "1.250 bar"):
            answer = self.ask(target=typed)
            words = answer.content.decode().split('id="target-wrong">')[1].split("</p>")[0]
            offered = re.findall("«([^»]+)»", words)
            self.assertEqual(len(offered), 2, words)
            for reading in offered:
                self.assertEqual(self.ask(target=reading).status_code, 200, reading)

    def in_spanish(self):
        for who in (self.ada, self.olu):
            who.language = "es"
            who.save()

    def test_a_point_that_may_part_thousands_is_refused_with_both_readings(self):
        self.in_spanish()
        for answer in (self.ask(target="1.250 bar"), self.keep(target="1.250 bar")):
            self.assertContains(answer, "1.25 bar", status_code=422)
            self.assertContains(answer, "1250 bar", status_code=422)
        self.assertEqual(self.spec(), self.gun.spec)

    def test_what_somebody_kept_in_another_language_may_still_be_stepped_on(self):
        Task.objects.filter(pk=self.gun.pk).update(spec={**self.gun.spec, "target": {"nozzle_pressure": "801.250 bar"}})
        self.in_spanish()
        self.assertContains(self.asked_with("target more", target="801.250 bar"), 'value="825 bar"')

    def test_what_is_no_target_is_refused(self):
        for target in ("", "-5 bar", "800", "nan bar", "1e9 bar", "<b>", "x" * 500):
            self.assertEqual(self.ask(target=target).status_code, 422, target)

    def test_a_piece_that_nobody_has_is_refused(self):
        self.assertEqual(self.ask(run=["nobody's"]).status_code, 422)
        self.assertEqual(self.ask(tool="nobody's").status_code, 422)
        self.assertEqual(self.ask(tip=["nobody's"]).status_code, 422)

    def test_an_act_that_is_none_is_a_plain_question(self):
        for act in ("tip 99 more", "tip -1 more", "target", "run sideways", "more"):
            self.assertEqual(self.asked_with(act).status_code, 200, act)

    def test_a_weaker_hose_is_not_allowed_and_says_so(self):
        answer = self.ask(run=["W13-20", "reducer", "S8-20", "V8-20"])
        self.assertContains(answer, 'class="verdict large not_allowed"')
        self.assertContains(answer, "Look for what would cure it")
        self.assertNotContains(answer, 'hx-trigger="load"')

    def test_two_tools_at_once_keep_their_branches(self):
        spec = {
            "hose_run": ["W13-20"],
            "branches": [{"hose_run": ["reducer", "S8-20"], "tool": "gun"}] * 2,
            "target": {"nozzle_pressure": "400 bar"},
        }
        Task.objects.filter(pk=self.gun.pk).update(spec=spec)
        answer = self.ask(target="425 bar", run=["W13-20"])
        self.assertContains(answer, "Not kept.")
        self.assertContains(answer, "Push on each tool held")

    def test_a_reader_may_ask(self):
        self.assertEqual(self.ask(self.rae, target="750 bar").status_code, 200)
        self.assertNotContains(self.ask(self.rae, target="750 bar"), "Keep this</button>")

    def test_another_crew_sees_nothing(self):
        self.assertEqual(self.ask(self.bo).status_code, 404)
        self.assertEqual(self.keep(self.bo).status_code, 404)

    def test_who_has_not_entered_is_sent_to_the_door(self):
        for act in ("plan/what-if/", "plan/keep/"):
            self.assertIn("/people/enter/", self.client.post(self.address(self.gun, act)).url)

    def test_asking_and_keeping_are_posted(self):
        for act in ("plan/what-if/", "plan/keep/"):
            self.assertEqual(self.as_(self.ada).get(self.address(self.gun, act)).status_code, 405)

    # ---- keeping

    def test_what_was_asked_is_kept_as_typed(self):
        answer = self.keep(target="11000 psi", run=["W13-20", "reducer", "S8-20"])
        self.assertRedirects(answer, self.address(self.gun, "plan/"))
        self.assertEqual(self.spec()["target"], {"nozzle_pressure": "11000 psi"})
        self.assertEqual(self.spec()["hose_run"], ["W13-20", "reducer", "S8-20"])
        self.assertEqual(self.spec()["object"], self.gun.spec["object"])

    def test_a_page_with_script_is_sent_on(self):
        answer = self.keep(part=True, target="750 bar")
        self.assertEqual(answer.status_code, 204)
        self.assertEqual(answer.headers["HX-Redirect"], self.address(self.gun, "plan/"))

    def test_other_tips_are_kept_in_the_tool_of_the_yard(self):
        self.keep(tip=["F13"])
        self.assertEqual(self.tool().spec["ports"], [{"tip": "F13"}])
        self.assertEqual(self.spec(), self.gun.spec)

    def test_an_operator_keeps_a_target_and_no_tips(self):
        self.assertEqual(self.keep(self.olu, target="750 bar").status_code, 302)
        self.assertEqual(self.keep(self.olu, tip=["F13"]).status_code, 403)
        self.assertEqual(self.tool().spec["ports"], [{"tip": "L11"}])
        self.assertNotContains(self.ask(self.olu, tip=["F13"]), "Keep this</button>")

    def test_a_reader_keeps_nothing(self):
        self.assertEqual(self.keep(self.rae, target="750 bar").status_code, 403)

    def test_who_comes_second_is_told_and_loses_nothing(self):
        self.keep(target="775 bar")
        answer = self.keep(target="750 bar", version=1)
        self.assertContains(answer, "Somebody saved this meanwhile", status_code=409)
        self.assertContains(answer, 'value="750 bar"', status_code=409)
        self.assertEqual(self.spec()["target"], {"nozzle_pressure": "775 bar"})

    def test_neither_is_kept_when_the_tool_was_changed_meanwhile(self):
        tool = self.tool()
        tool.spec = {**tool.spec, "loss_k": 3.3}
        tool.change(tool.version, ["spec"])
        answer = self.keep(target="750 bar", tip=["F13"], tool_version=1)
        self.assertEqual(answer.status_code, 409)
        self.assertEqual(self.spec(), self.gun.spec)
        self.assertEqual(self.tool().spec["ports"], [{"tip": "L11"}])

    def test_nonsense_is_not_kept(self):
        self.assertEqual(self.keep(target="2,5 bar").status_code, 422)
        self.assertEqual(self.keep(run=["nobody's"]).status_code, 422)
        self.assertEqual(self.spec(), self.gun.spec)

    def test_a_retired_task_is_not_asked(self):
        self.gun.retired_at = "2026-05-12T00:00:00Z"
        self.gun.change(self.gun.version)
        self.assertEqual(self.ask().status_code, 404)
