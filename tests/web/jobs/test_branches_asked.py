"""Asking about a task with several tools: each branch is stepped on by itself."""

import re

from jetwright.web.jobs.models import Task
from jetwright.web.yard.models import Piece
from tests.web.jobs.cases import DemoTestCase


class BranchesAskedTest(DemoTestCase):
    """Behind W13-20 stand a gun with an L11, and a gun with a rest with an L14, each on a hose of its own."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.branches = [
            {"hose_run": ["reducer", "S8-20"], "tool": "gun"},
            {"hose_run": ["reducer", "S8-20"], "tool": "gun-with-rest", "rise": "3 m"},
        ]
        cls.put(cls.branches)

    @classmethod
    def put(cls, branches):
        spec = {"hose_run": ["W13-20"], "branches": branches, "target": {"nozzle_pressure": "400 bar"}}
        Task.objects.filter(pk=cls.gun.pk).update(spec=spec)

    def page(self):
        return self.as_(self.ada).get(self.address(self.gun, "plan/")).content.decode()

    def fields(self, page):
        """The form as a browser would send it."""
        form = re.split('</form>|id="acts"', page[page.index('<div id="fields"') :])[0]
        sent = {}
        for tag in re.findall(r"<input\b[^>]*>", form):
            name, value = (re.search(rf'{key}="([^"]*)"', tag) for key in ("name", "value"))
            sent.setdefault(name[1], []).append(value[1])
        for name, options in re.findall(r'<select id="[^"]*" name="([^"]*)">(.*?)</select>', form, re.DOTALL):
            sent[name] = re.findall(r"<option selected>([^<]*)<", options)
        return sent

    def send(self, page, to="plan/what-if/", who=None, **changed):
        sent = self.fields(page) | changed
        return self.as_(who or self.ada).post(self.address(self.gun, to), sent, headers={"HX-Request": "true"})

    def stepped(self, *acts):
        """What stands there after a press of each of these."""
        page = self.page()
        for act in acts:
            answer = self.send(page, act=act)
            self.assertEqual(answer.status_code, 200)
            page = answer.content.decode()
        return page

    def runs(self, page):
        sent = self.fields(page)
        return [sent[name] for name in ("run", "run1", "run2")]

    def tips(self, tool):
        return [port["tip"] for port in Piece.objects.get(crew=self.crew, kind="tool", name=tool).spec["ports"]]

    def test_each_tool_and_each_run_has_its_stepper(self):
        page = self.page()
        for label in (
            "Tip in gun",
            "Tip in gun-with-rest",
            "Hose run, at its end",
            "Hose run of branch 1, at its end",
            "Hose run of branch 2, at its end",
        ):
            self.assertIn(f">{label}</span>", page)
        for number in (1, 2):
            self.assertIn(f">Tool of branch {number}</label>", page)

    def test_a_run_of_one_branch_leaves_the_others(self):
        page = self.stepped("run2 more")
        self.assertEqual(self.runs(page), [["W13-20"], ["reducer", "S8-20"], ["reducer", "S8-20", "S8-20"]])
        self.assertEqual(self.runs(self.stepped("run2 more", "run2 less")), self.runs(self.page()))

    def test_a_hose_of_the_yard_is_counted_over_all_branches(self):
        page = self.stepped(*["run1 more"] * 5)  # the yard has six
        self.assertEqual(self.runs(page)[1:], [["reducer", *["S8-20"] * 5], ["reducer", "S8-20"]])
        self.assertIn('aria-label="More: Hose run of branch 2, at its end" disabled', page)

    def test_a_tip_of_one_tool_leaves_the_other(self):
        page = self.stepped("tip2 0 less")
        sent = self.fields(page)
        self.assertEqual((sent["tip1"], sent["tip2"]), (["L11"], ["F13"]))  # 1.45 mm, next smaller 1.3 mm
        self.assertIn("Kept, gun-with-rest has these tips in the yard too.", page)
        self.assertNotIn("Kept, gun has these tips", page)

    def test_a_smaller_tip_pushes_less_and_the_other_gun_as_before(self):
        def pushes(page):
            part = page.split('id="recoil-title"')[1].split("</section>")[0]
            return dict(re.findall(r"<p>([\w-]+).*?<b>(?:<span[^>]*>)?(\d+) N", part))

        before, after = pushes(self.page()), pushes(self.stepped("tip2 0 less"))
        self.assertEqual(set(before), {"1", "2"})
        self.assertLess(float(after["2"]), float(before["2"]))
        self.assertEqual(after["1"], before["1"])

    def test_what_was_asked_of_a_branch_is_kept_in_it(self):
        page = self.stepped("run2 more", "tip2 0 less", "target less")
        self.assertEqual(self.send(page, "plan/keep/").status_code, 204)
        told = {**self.branches[1], "hose_run": ["reducer", "S8-20", "S8-20"]}
        self.assertEqual(self.spec()["branches"], [self.branches[0], told])
        self.assertEqual(self.spec()["target"], {"nozzle_pressure": "375 bar"})
        self.assertEqual((self.tips("gun"), self.tips("gun-with-rest")), (["L11"], ["F13"]))

    def test_tips_of_both_tools_are_kept_together_or_not_at_all(self):
        page = self.stepped("tip1 0 more", "tip2 0 less")
        rest = Piece.objects.get(crew=self.crew, kind="tool", name="gun-with-rest")
        rest.spec = {**rest.spec, "loss_k": 3.3}
        rest.change(rest.version, ["spec"])
        self.assertEqual(self.send(page, "plan/keep/").status_code, 409)
        self.assertEqual((self.tips("gun"), self.tips("gun-with-rest")), (["L11"], ["L14"]))
        self.assertEqual(self.send(self.stepped("tip1 0 more", "tip2 0 less"), "plan/keep/").status_code, 204)
        self.assertEqual((self.tips("gun"), self.tips("gun-with-rest")), (["F13"], ["F13"]))

    def test_another_tool_of_a_branch_comes_with_its_own_tips(self):
        page = self.send(self.page(), tool2="gun-big-tip").content.decode()
        self.assertEqual(self.fields(page)["tool2"], ["gun-big-tip"])
        self.assertEqual(self.fields(page)["tip2"], ["L14"])
        self.assertEqual(self.send(page, "plan/keep/").status_code, 204)
        self.assertEqual([branch["tool"] for branch in self.spec()["branches"]], ["gun", "gun-big-tip"])

    def test_one_tool_at_both_branches_is_filled_alike(self):
        self.put([self.branches[0], {**self.branches[1], "tool": "gun"}])
        page = self.stepped("tip1 0 more")
        self.assertEqual(page.count(">Tip in gun</span>"), 1)
        self.assertEqual(self.send(page, "plan/keep/").status_code, 204)
        self.assertEqual(self.tips("gun"), ["F13"])

    def test_an_operator_keeps_no_tips(self):
        self.assertEqual(self.send(self.stepped("tip2 0 less"), "plan/keep/", self.olu).status_code, 403)
        self.assertEqual(self.tips("gun-with-rest"), ["L14"])

    def test_the_best_tips_are_asked_for_one_tool_or_the_other(self):
        page = self.page()
        for number, tool in ((1, "gun"), (2, "gun-with-rest")):
            self.assertIn(f'name="branch" value="{number}">Which tips do most in {tool}</button>', page)
            part = self.as_(self.ada).get(self.address(self.gun, "tips/"), {**self.fields(page), "branch": number})
            self.assertContains(part, f"For {tool} at this target")

    def test_tips_that_are_tried_go_into_the_tool_they_are_for(self):
        part = self.as_(self.ada).get(self.address(self.gun, "tips/"), {**self.fields(self.page()), "branch": 2})
        tried = re.findall(r'name="(tip\d)" value="(\w+)"', part.content.decode())
        self.assertEqual({tip for name, tip in tried if name == "tip1"}, {"L11"})
        self.assertGreater(len({tip for name, tip in tried if name == "tip2"}), 1)
