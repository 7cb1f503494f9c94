"""Putting a rig together, piece by piece in the order the water flows."""

import re

from django.db import connection
from django.test.utils import CaptureQueriesContext

from jetwright.web.jobs.models import Task
from jetwright.web.jobs.said import in_the_way
from jetwright.web.yard.models import Piece
from tests.web.jobs.cases import DemoTestCase
from tests.web.seen import words_on

PIECE = re.compile('name="piece" value="([^"]+)"')
RUN = ["W13-20", "reducer", "S8-20", "S8-20"]


class RunTest(DemoTestCase):
    def run_now(self):
        return self.spec().get("hose_run", [])

    def test_a_piece_is_added_where_it_was_asked_for(self):
        self.assertEqual(self.act_on_rig(self.olu, "add", at=1, piece="V8-20").status_code, 302)
        self.assertEqual(self.run_now(), ["W13-20", "V8-20", "reducer", "S8-20", "S8-20"])
        self.act_on_rig(self.olu, "add", at=5, piece="S8-20")
        self.assertEqual(self.run_now()[-1], "S8-20")

    def test_a_piece_is_moved_and_removed(self):
        self.act_on_rig(self.ada, "nearer", at=1)
        self.assertEqual(self.run_now()[:2], ["reducer", "W13-20"])
        self.act_on_rig(self.ada, "farther", at=1)
        self.assertEqual(self.run_now(), ["reducer", "S8-20", "W13-20", "S8-20"])
        self.act_on_rig(self.ada, "remove", at=0)
        self.assertEqual(self.run_now(), ["S8-20", "W13-20", "S8-20"])

    def test_an_emptied_run_leaves_no_key(self):
        for _piece in RUN:
            self.act_on_rig(self.ada, "remove", at=0)
        self.assertNotIn("hose_run", self.spec())

    def test_the_tool_is_taken_off_and_another_picked(self):
        self.act_on_rig(self.ada, "no tool")
        self.assertNotIn("tool", self.spec())
        self.act_on_rig(self.ada, "tool", piece="gun-big-tip")
        self.assertEqual(self.spec()["tool"], "gun-big-tip")

    def test_nothing_else_of_the_task_is_touched(self):
        before = self.spec()
        self.act_on_rig(self.ada, "remove", at=0)
        after = self.spec()
        self.assertEqual({**after, "hose_run": RUN}, before)

    def test_a_place_that_is_not_there_is_refused(self):
        for act, fields in (
            ("remove", {"at": 4}), ("nearer", {"at": 0}), ("farther", {"at": 3}), ("add", {"at": 9, "piece": "S8-20"}),
            ("remove", {"run": 1}), ("remove branch", {"run": 1}), ("remove", {"at": "x"}), ("dance", {}),
        ):  # fmt: skip
            answer = self.act_on_rig(self.ada, act, **fields)
            self.assertContains(answer, "That cannot be done here", status_code=422)
        self.assertEqual(self.run_now(), RUN)

    def test_who_acts_second_is_told(self):
        answer = self.act_on_rig(self.ada, "remove", version=self.gun.version + 1)
        self.assertContains(answer, "Somebody saved this meanwhile", status_code=409)
        self.assertEqual(self.run_now(), RUN)

    def test_one_line_sums_the_run_up(self):
        page = self.as_(self.rae).get(self.address(self.gun))
        told = "60 m of hose · smallest rating 1200 bar (W13-20) · oldest test 2026-02-24 (S8-20)"
        self.assertIn(told, words_on(page))

    def test_the_line_speaks_the_units_of_who_looks(self):
        self.rae.units = "us"
        self.rae.save()
        self.assertIn("196.9 ft of hose", words_on(self.as_(self.rae).get(self.address(self.gun))))

    def test_a_rating_is_never_shown_above_what_it_is_and_as_the_plan_shows_it(self):
        self.ada.units = "us"
        self.ada.save()
        page = words_on(self.as_(self.ada).get(self.address(self.gun) + "?run=0&at=0"))
        for name, bar, psi in (("W13-20", 1200, "17400 psi"), ("V8-20", 950, "13770 psi")):
            self.assertIn(f"rated {psi}", page)
            self.assertLessEqual(float(psi.split()[0]), bar * 14.503773773, name)  # NIST SP 811 (2008)
        self.assertIn("smallest rating 17400 psi (W13-20)", page)

    def test_htmx_gets_the_rig_alone_and_the_form_its_new_version(self):
        task = Task.objects.get(pk=self.gun.pk)
        answer = self.as_(self.ada).post(
            self.address(task, "rig/act/"),
            {"version": task.version, "act": "remove", "run": 0, "at": 0},
            headers={"HX-Request": "true"},
        )
        self.assertNotContains(answer, "<html")
        self.assertContains(answer, 'id="rig"')
        self.assertContains(answer, f'form="facts" value="{task.version + 1}" hx-swap-oob="true"')


class OfferedTest(DemoTestCase):
    def offers(self, who=None, run=0, at=0, **query):
        answer = self.as_(who or self.ada).get(self.address(self.gun), {"run": run, "at": at} | query)
        fitting, _below, weaker = answer.content.decode().partition("rated below what the task asks for")
        return PIECE.findall(fitting), PIECE.findall(weaker)

    def offered(self, **query):
        fitting, weaker = self.offers(**query)
        return fitting + weaker

    def test_hoses_and_fittings_are_offered_that_are_free(self):
        fitting, weaker = self.offers()
        self.assertEqual(fitting, ["S8-20", "V8-20", "W13-20"])  # the only reducer is in the run
        self.assertEqual(weaker, [])

    def test_a_row_of_several_is_offered_until_they_are_used_up(self):
        for _piece in range(3):
            self.act_on_rig(self.ada, "add", piece="W13-20")
        self.assertNotIn("W13-20", self.offered())
        answer = self.act_on_rig(self.ada, "add", piece="W13-20")
        self.assertEqual(answer.status_code, 422)

    def test_what_is_rated_below_the_target_stands_apart(self):
        self.gun.spec = self.gun.spec | {"target": {"nozzle_pressure": "1000 bar"}}
        self.gun.save()
        self.assertEqual(self.offers(), (["S8-20", "W13-20"], ["V8-20"]))

    def test_retired_pieces_and_other_crews_pieces_are_not_offered(self):
        Piece.objects.create(crew=self.other, kind="hose", name="Theirs", spec={"bore": "8 mm", "length": "20 m"})
        Piece.objects.filter(crew=self.crew, name="V8-20").update(retired_at="2026-01-01T00:00Z")
        self.assertEqual(self.offered(), ["S8-20", "W13-20"])

    def test_tools_are_offered_at_the_end(self):
        self.act_on_rig(self.ada, "no tool")
        self.assertEqual(self.offered(at="tool"), ["floor-head", "gun", "gun-big-tip", "gun-with-rest", "shut-off-gun"])

    def test_a_hose_out_of_test_says_so_where_it_is_offered_and_where_it_stands(self):
        for name in ("V8-20", "S8-20"):
            piece = Piece.objects.get(crew=self.crew, name=name)
            piece.spec = piece.spec | {"tested": "2019-01-05"}
            piece.save()
        answer = self.as_(self.ada).get(self.address(self.gun), {"run": 0, "at": 0})
        words = "not allowed: out of test: 2684 days old on 2026-05-12, at most 366 (Norway, regulation"
        self.assertEqual(words_on(answer).count(words), 4)  # offered: V8-20 and S8-20; laid: S8-20 twice
        self.job.spec = self.job.spec | {"rule_set": "uk"}
        self.job.save()
        self.assertContains(self.as_(self.ada).get(self.address(self.gun)), "look first: out of test", count=2)

    def test_a_name_narrows_them_down(self):
        self.assertEqual(self.offered(name="v8"), ["V8-20"])

    def test_rating_test_and_bore_stand_beside(self):
        answer = self.as_(self.ada).get(self.address(self.gun), {"run": 0, "at": 0})
        self.assertIn("20 m long, 8 mm bore · rated 950 bar · tested 2026-01-30", words_on(answer))

    def test_a_reader_is_offered_nothing(self):
        self.assertEqual(self.offers(self.rae), ([], []))

    def test_htmx_gets_the_offers_with_the_rig(self):
        answer = self.as_(self.ada).get(
            self.address(self.gun, "rig/"), {"run": 0, "at": 2}, headers={"HX-Request": "true"}
        )
        self.assertContains(answer, "Pick a piece")
        self.assertNotContains(answer, "<html")

    def test_another_crew_sees_no_rig(self):
        self.assertEqual(self.as_(self.bo).get(self.address(self.gun, "rig/")).status_code, 404)


class BranchesTest(DemoTestCase):
    def test_two_guns_behind_a_manifold(self):
        self.act_on_rig(self.ada, "add branch")
        self.assertEqual(self.spec()["branches"], [{"tool": "gun"}, {}])
        self.assertNotIn("tool", self.spec())
        self.act_on_rig(self.ada, "add", run=1, at=0, piece="S8-20")
        self.act_on_rig(self.ada, "add", run=2, at=0, piece="S8-20")
        self.act_on_rig(self.ada, "tool", run=2, piece="gun-with-rest")
        self.act_on_rig(self.ada, "rise", run=2, rise="10 ft")
        self.assertEqual(self.spec()["hose_run"], RUN)
        self.assertEqual(
            self.spec()["branches"],
            [{"tool": "gun", "hose_run": ["S8-20"]}, {"hose_run": ["S8-20"], "tool": "gun-with-rest", "rise": "10 ft"}],
        )
        self.assertFalse(in_the_way(Task.objects.get(pk=self.gun.pk)).any)

    def test_a_tool_on_one_branch_is_not_offered_on_another(self):
        self.act_on_rig(self.ada, "add branch")
        self.assertEqual(self.act_on_rig(self.ada, "tool", run=2, piece="gun").status_code, 422)

    def test_taking_the_last_but_one_away_leaves_one_run(self):
        before = self.spec()
        self.act_on_rig(self.ada, "add branch")
        self.act_on_rig(self.ada, "add", run=1, at=0, piece="S8-20")
        self.act_on_rig(self.ada, "remove branch", run=2)
        self.assertEqual(self.spec(), before | {"hose_run": [*RUN, "S8-20"]})

    def test_the_target_does_not_stay_on_a_branch_that_is_gone(self):
        self.gun.spec = self.gun.spec | {"branches": [{}, {}, {}], "target": {"flow": "30 L/min", "at": 3}}
        self.gun.save()
        self.act_on_rig(self.ada, "remove branch", run=3)
        self.assertEqual(self.spec()["target"], {"flow": "30 L/min"})

    def test_no_more_than_eight(self):
        for _branch in range(7):
            self.act_on_rig(self.ada, "add branch")
        self.assertEqual(len(self.spec()["branches"]), 8)
        self.assertEqual(self.act_on_rig(self.ada, "add branch").status_code, 422)

    def test_a_height_that_cannot_be_read_is_refused(self):
        self.act_on_rig(self.ada, "add branch")
        answer = self.act_on_rig(self.ada, "rise", run=1, rise="2,5 m")
        self.assertContains(answer, "a comma may be misread", status_code=422)

    def test_in_spanish_a_point_that_may_part_thousands_is_asked_about(self):
        self.ada.language = "es"
        self.ada.save()
        self.act_on_rig(self.ada, "add branch")
        answer = self.act_on_rig(self.ada, "rise", run=1, rise="1.250 m")
        self.assertContains(answer, "1250 m", status_code=422)
        self.assertNotIn("rise", self.spec()["branches"][0])

    def test_a_branch_without_a_tool_is_said_on_the_page(self):
        self.act_on_rig(self.ada, "add branch")
        self.assertContains(self.as_(self.ada).get(self.address(self.gun)), "Branch 2: There is no tool yet")


class RetiredTest(DemoTestCase):
    def retire(self, name, why="burst at the ferrule"):
        Piece.objects.filter(crew=self.crew, name=name).update(retired_at="2026-04-03T12:00Z", retired_why=why)

    def test_a_retired_piece_says_when_and_why(self):
        self.retire("S8-20")
        self.retire("gun", "")
        page = self.as_(self.ada).get(self.address(self.gun))
        self.assertContains(page, "“S8-20”: retired on 2026-04-03: burst at the ferrule")
        self.assertIn("S8-20 retired on 2026-04-03: burst at the ferrule", words_on(page))
        self.assertContains(page, "“gun”: retired on 2026-04-03: nobody said why")
        self.assertNotContains(page, "there is no hose or fitting of this name")

    def test_its_plan_says_so_too(self):
        self.retire("S8-20")
        self.assertContains(self.as_(self.ada).get(self.address(self.gun, "plan/")), "burst at the ferrule")

    def test_what_never_was_there_is_said_to_be_missing(self):
        self.gun.spec = self.gun.spec | {"hose_run": ["Nowhere"]}
        self.gun.save()
        page = self.as_(self.ada).get(self.address(self.gun))
        self.assertContains(page, "Hose run 1: “Nowhere”: there is no hose or fitting of this name")

    def test_the_yard_is_read_once_for_the_page(self):
        client = self.as_(self.ada)
        with CaptureQueriesContext(connection) as seen:
            client.get(self.address(self.gun))
        rows = [one["sql"] for one in seen if 'FROM "yard_piece"' in one["sql"] and '"spec"' in one["sql"]]
        self.assertEqual(len(rows), 1, rows)


class UndoTest(DemoTestCase):
    def test_the_last_act_is_undone(self):
        self.act_on_rig(self.ada, "remove", at=0)
        self.act_on_rig(self.ada, "remove", at=0)
        self.act_on_rig(self.ada, "undo")
        self.assertEqual(self.spec()["hose_run"], RUN[1:])

    def test_somebody_elses_act_is_not(self):
        self.act_on_rig(self.ada, "remove", at=0)
        self.act_on_rig(self.olu, "remove", at=0)
        self.assertEqual(self.act_on_rig(self.ada, "undo").status_code, 422)
        self.assertNotContains(self.as_(self.ada).get(self.address(self.gun)), "Undo my last change")
        self.assertContains(self.as_(self.olu).get(self.address(self.gun)), "Undo my last change")

    def test_before_the_first_act_there_is_nothing_to_undo(self):
        self.assertEqual(self.act_on_rig(self.ada, "undo").status_code, 422)
