"""Looking at the plan of a task."""

from django.urls import reverse

from jetwright.actions.plan import plan_read
from jetwright.web.jobs.models import Task
from jetwright.web.jobs.written import read_task
from jetwright.web.yard.models import Piece
from tests.web.jobs.cases import DemoTestCase
from tests.web.seen import words_on


class PlanTest(DemoTestCase):
    """Ada, Olu and Rae are in the crew that has the demo shift; Bo is not."""

    def look(self, who=None, task=None, act="plan/", **headers):
        return self.as_(who or self.ada).get(self.address(task or self.gun, act), headers=headers)

    def refused(self) -> Task:
        return self.what_if.tasks.get(name="A bigger tip")

    def test_the_setting_is_shown_in_what_the_panel_shows(self):
        page = self.look()
        self.assertContains(page, "rpm")
        self.assertContains(page, 'class="verdict large look"')
        self.assertContains(page, "Gauge at the pump")

    def test_the_gauge_is_no_finer_than_it_can_be_read(self):
        page = self.look().content.decode()
        shown = page.split("Gauge at the pump")[1].split("<b>")[1].split("</b>")[0]
        self.assertEqual(int(shown) % 5, 0)  # a gauge divided in 20 bar is read to a quarter of that

    def test_everything_a_crew_acts_on_says_its_limits_and_the_caution_once(self):
        page = self.look().content.decode()
        for words in ("Run up, with the gauge to expect", "Limits", "Recoil", "When somebody lets go", "Use and cost"):
            self.assertIn(words, page)
        self.assertEqual(page.count('class="caution"'), 1)

    def test_limits_come_worst_first(self):
        page = self.look(task=self.refused()).content.decode()
        order = [part.split('"')[0] for part in page.split('<li class="limit ')[1:]]
        rank = ["not_allowed", "look", "within"]
        self.assertEqual(order, sorted(order, key=rank.index))
        self.assertEqual(order[0], "not_allowed")

    def test_a_plan_carries_both_pictures_and_no_inline_style(self):
        page = self.look().content.decode()
        self.assertEqual(page.count('<svg xmlns="http://www.w3.org/2000/svg"'), 2)
        self.assertNotIn("style=", page)
        self.assertNotIn("<style", page)
        self.assertNotIn("<script>", page)

    def test_a_refused_plan_does_not_wait_for_its_cures(self):
        page = self.look(task=self.refused())
        self.assertContains(page, "Looking for what would cure it")
        self.assertContains(page, f'hx-get="{self.address(self.refused(), "plan/cures/")}"')
        self.assertContains(page, "Change the rig")
        self.assertNotContains(page, reverse("records:sign", args=[self.refused().pk]))

    def test_one_sentence_says_that_cures_are_looked_for_and_the_button_waits_meanwhile(self):
        page = self.look(task=self.refused()).content.decode()
        self.assertEqual(page.count("Looking for what would cure it"), 1)
        form = page.split('<div id="cures">')[1].split(">")[0]
        self.assertIn('hx-trigger="load, submit"', form)
        self.assertIn('hx-disabled-elt="find button"', form)

    def test_what_is_refused_is_shown_once_and_marked_as_asked_for(self):
        page = self.look(task=self.refused()).content.decode()
        self.assertNotIn('class="asked-so"', page)
        self.assertEqual(page.count('class="setting asked"'), page.count('<p class="says">'))
        self.assertIn("Gauge at the pump, asked for", page)
        self.assertNotIn("asked for</p>", self.look().content.decode())

    def test_cures_come_in_a_second_request_with_what_to_try(self):
        part = self.look(task=self.refused(), act="plan/cures/", **{"HX-Request": "true"})
        self.assertContains(part, "What would cure it, each solved again")
        self.assertContains(part, "Try L11 in place of L14")
        self.assertNotContains(part, "<html")

    def test_without_script_the_cures_stand_on_the_page(self):
        page = self.look(task=self.refused(), act="plan/cures/")
        self.assertContains(page, "<h1>A bigger tip</h1>")
        self.assertContains(page, "Try L11 in place of L14")

    def test_the_crew_lead_may_sign_from_here(self):
        self.assertContains(self.look(), reverse("records:sign", args=[self.gun.pk]))

    def test_an_operator_is_not_asked_to_sign(self):
        page = self.look(self.olu)
        self.assertNotContains(page, reverse("records:sign", args=[self.gun.pk]))
        self.assertContains(page, "Back to the job")

    def test_a_reader_sees_it(self):
        self.assertEqual(self.look(self.rae).status_code, 200)

    def test_another_crew_sees_nothing(self):
        for act in ("plan/", "plan/cures/", "tips/", "change-card/"):
            self.assertEqual(self.look(self.bo, act=act).status_code, 404)

    def test_who_has_not_entered_is_sent_to_the_door(self):
        self.assertIn("/people/enter/", self.client.get(self.address(self.gun, "plan/")).url)

    def test_looking_is_not_posting(self):
        for act in ("plan/", "plan/cures/", "tips/", "change-card/"):
            self.assertEqual(self.as_(self.ada).post(self.address(self.gun, act)).status_code, 405)

    def test_a_task_without_a_tool_says_what_is_missing(self):
        spec = {key: value for key, value in self.gun.spec.items() if key != "tool"}
        Task.objects.filter(pk=self.gun.pk).update(spec=spec)
        page = self.look()
        self.assertContains(page, "In the way of a plan")
        self.assertContains(page, "There is no tool yet")

    def test_a_retired_task_has_no_plan(self):
        self.gun.retired_at = "2026-05-12T00:00:00Z"
        self.gun.change(self.gun.version)
        self.assertEqual(self.look().status_code, 404)

    def test_psi_for_who_reads_psi(self):
        self.ada.units = "us"
        self.ada.save()
        page = self.look()
        self.assertContains(page, "psi")
        self.assertContains(page, "gpm")

    def test_it_speaks_spanish(self):
        self.ada.language = "es"
        self.ada.save()
        self.assertContains(self.look(), 'lang="es"')

    def test_openings_stand_in_a_table_beside_the_chart(self):
        page = self.look().content.decode()
        table = page.split('id="openings-title"')[1]
        self.assertIn("data-points=", table)
        self.assertIn("<table", table)

    def test_the_card_for_the_hospital_stands_open_and_is_linked_from_the_top(self):
        for task in (self.gun, self.what_if.tasks.first()):  # a plan that may be followed, and one that is refused
            page = self.as_(self.olu).get(self.address(task, "plan/")).content.decode()
            top, _, rest = page.partition('<div x-data="asked"')
            self.assertRegex(top, r'href="#struck">Struck by the jet')
            card = rest.split('id="struck"')[1]
            self.assertIn("<h2", card.partition("</section>")[0])
            self.assertNotIn("</details>", rest.split('id="struck"')[0].rpartition("<section")[2])

    def test_figures_do_not_break_from_their_units(self):
        page = self.look().content.decode()
        self.assertIn('<span class="whole">2026-02-24</span>', page)
        self.assertRegex(page, r'<span class="whole"><b>830</b> bar</span>')

    def test_names_that_look_like_html_stay_text(self):
        Task.objects.filter(pk=self.gun.pk).update(name="<img src=x>")
        page = self.look()
        self.assertNotContains(page, "<img src=x>")
        self.assertContains(page, "&lt;img src=x&gt;")


class TipsTest(DemoTestCase):
    """The best tips of the box, on demand."""

    def test_the_best_tips_come_with_what_they_give(self):
        page = self.as_(self.olu).get(self.address(self.gun, "tips/"))
        self.assertContains(page, "1 × L11")
        self.assertContains(page, "kW")

    def test_the_other_sizes_of_the_box_say_why_they_are_not_listed(self):
        words = words_on(self.as_(self.olu).get(self.address(self.gun, "tips/")))
        self.assertIn("F13, L14, F15: not allowed: recoil as planned", words)
        self.assertIn("5 ways were judged by every limit", words)

    def test_what_was_not_judged_and_the_first_within_limits_are_said(self):
        tool = Piece.objects.get(crew=self.crew, kind="tool", name="gun")
        tool.spec = {key: value for key, value in tool.spec.items() if key != "rating"}
        self.assertTrue(tool.change(tool.version, ["spec"]))
        page = self.as_(self.olu).get(self.address(self.gun, "tips/"))
        self.assertContains(page, "Not judged, and so to be looked at first")
        self.assertContains(page, "<b>1. ")

    def test_alone_where_a_page_takes_them_in(self):
        part = self.as_(self.olu).get(self.address(self.gun, "tips/"), headers={"HX-Request": "true"})
        self.assertNotContains(part, "<html")
        self.assertContains(part, 'id="tips"')


class ChangeCardTest(DemoTestCase):
    """The change to a task from the one before."""

    def test_what_must_not_be_left_on_comes_first(self):
        page = self.as_(self.olu).get(self.address(self.gun, "change-card/"))
        words = "Speed to start, bypass open, BEFORE the tool is touched."
        dress = r'<h1 class="comes-first"><svg class="sign".*#look"/></svg> <span>'
        self.assertRegex(page.content.decode(), dress + words)
        self.assertContains(page, 'class="verdict large look"')
        self.assertContains(page, "What changes")
        self.assertContains(page, "<p><b>A.</b> ")

    def test_the_plan_says_it_in_the_same_dress(self):
        page = self.as_(self.olu).get(self.address(self.gun, "plan/")).content.decode()
        self.assertRegex(page, r'<h2 class="comes-first"[^>]*><svg class="sign".*#look"/></svg> <span>Before the tool')

    def test_with_a_draft_before_it_nobody_says_what_is_left_on(self):
        Task.objects.create(job=self.job, name="Nobody yet", place=self.gun.place - 1)  # by name behind the one there
        sentence = "A task before this one cannot be read, and what it leaves on is not known: finish it or retire it."
        before = [one.name for one in self.job.tasks.all()][:3]
        self.assertEqual(before[1:], ["Nobody yet", self.gun.name])
        for act in ("plan/", "change-card/"):
            page = words_on(self.as_(self.olu).get(self.address(self.gun, act)))
            self.assertIn(sentence, page)
            self.assertNotIn("Left on from", page)
            self.assertEqual(page.count(sentence), 1)
        self.assertIn("Before the tool is touched", words_on(self.as_(self.olu).get(self.address(self.gun, "plan/"))))

    def test_the_first_task_has_none(self):
        first = self.job.tasks.first()
        self.assertEqual(self.as_(self.olu).get(self.address(first, "change-card/")).status_code, 404)


class YardChangesTest(DemoTestCase):
    """Nothing is typed twice."""

    def test_what_is_left_of_a_row_of_four_is_counted_against_a_task_with_three_of_it(self):
        hose = Piece.objects.get(crew=self.crew, name="S8-20")
        hose.spec = hose.spec | {"count": 4}
        hose.save()
        Task.objects.filter(pk=self.gun.pk).update(
            spec=self.spec() | {"hose_run": ["W13-20", "reducer", "S8-20", "S8-20", "S8-20"]}
        )
        self.assertEqual(self.pieces_of("S8-20"), [("within", 3, 4)])
        told = {"version": hose.version, "tags": "A1\nA2\nA3"}
        self.assertEqual(self.as_(self.ada).post(f"/yard/{hose.pk}/split/", told).status_code, 302)
        self.assertEqual(Piece.objects.get(pk=hose.pk).spec["count"], 1)
        self.assertEqual(self.pieces_of("S8-20"), [("look", 3, 1)])

    def pieces_of(self, name):
        """How a plan of the gun's task judges the pieces of a hose."""
        read, place = read_task(Task.objects.get(pk=self.gun.pk))
        limits = plan_read(read, cures=False).tasks[place].limits
        return [
            (one.verdict, one.value, one.bound)
            for one in limits
            if one.id == "hose.count" and one.about == f"hoses.{name}"
        ]

    def test_a_tip_measured_in_the_yard_changes_the_plan(self):
        before = self.as_(self.ada).get(self.address(self.gun, "plan/")).content
        tip = Piece.objects.get(name="L11", crew=self.crew)
        tip.spec = {**tip.spec, "bore": "1.2 mm"}
        self.assertTrue(tip.change(tip.version, ["spec"]))
        after = self.as_(self.ada).get(self.address(self.gun, "plan/")).content
        self.assertIn(b"1.2 mm", after)
        self.assertNotEqual(before, after)
