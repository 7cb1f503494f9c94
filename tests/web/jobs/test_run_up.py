"""Reading the way up to a task's pressure, step by step, as it can be called over a radio."""

import datetime
import re

from jetwright.actions.plan import plan
from jetwright.report.sheet import sheet_facts
from jetwright.web.yard.models import Piece
from tests.contract.source import ROOT
from tests.web.jobs.cases import DemoTestCase
from tests.web.seen import words_on


class RunUpTest(DemoTestCase):
    """Ada leads the crew that has the demo shift, Olu works in it, Rae reads along; Bo is in another."""

    def look(self, who=None, task=None, act="plan/"):
        return self.as_(who or self.olu).get(self.address(task or self.gun, act))

    def steps(self, page) -> list[str]:
        """What each step says, with its number."""
        [part] = re.findall(r'<ol class="plain run-up">(.*?)</ol>', page.content.decode(), re.DOTALL)
        return [" ".join(re.sub(r"<[^>]+>", "", step).split()) for step in part.split("<li")[1:]]

    def test_the_order_begins_with_the_permit_and_ends_with_the_stop(self):
        said = self.steps(self.look())
        starts = (
            "1. Inspection signed with no stop item open.",
            "2. Water on, tank full: bleed the suction",
            "3. Bypass fully open. Tip off",
            "4. Packing water on",
            "5. Engine at idle, drive at zero: oil and charge pressure up, then let it warm.",
        )
        for step, start in zip(said, starts, strict=False):
            self.assertIn(start, step)
        self.assertIn("15. Note speed, gauge, inlet pressure and temperatures.", said[14])
        self.assertIn("16. Let go", said[15])
        self.assertIn("17. Planned stop", said[16])

    def test_each_step_has_the_number_that_it_has_on_the_sheet(self):
        answer, read = plan(ROOT / "examples" / "shift" / "job.toml", day=datetime.date(2026, 5, 12))
        for place, task in enumerate(self.job.tasks.order_by("place")):
            rows = sheet_facts(answer, answer.tasks[place], read.job, place=place)["run_up"]["rows"]
            said = self.steps(self.look(task=task))
            self.assertEqual(len(said), len(rows))
            for step, row in zip(said, rows, strict=True):
                self.assertIn(" ".join(f"{row['n']}. {row['act']}".split()), step)

    def test_openings_speeds_and_bands_stand_in_their_steps(self):
        noon, morning = (self.steps(self.look(task=task)) for task in (self.gun, self.job.tasks.get(place=0)))
        self.assertIn("24.0 mm² (about 5.0 turns)", noon[11])
        self.assertIn("Bypass at 0.928 mm² (about 0.19 turns).", noon[12])
        self.assertIn("Bypass shut, speed up to 166 rpm", morning[7])
        self.assertIn("260 rpm 260 bar; 331 rpm 410 bar", morning[12])
        self.assertIn("stop and prove again: 220 to 300 bar, or nobody goes on", morning[12])

    def test_a_stem_whose_turns_nobody_gave_is_not_asked_for_an_opening(self):
        unit = Piece.objects.get(crew=self.crew, kind="unit")
        bypass = {key: value for key, value in unit.spec["bypass"].items() if key != "turns"}
        unit.spec = unit.spec | {"bypass": bypass}
        unit.save()
        page = self.look()
        self.assertFalse([step for step in self.steps(page) if "mm²" in step])
        self.assertContains(page, "Proving point, set by the gauge alone")
        self.assertIn("no hand can set these, follow the gauge", words_on(page))

    def test_the_change_names_its_steps_by_letters(self):
        page = self.look(act="change-card/")
        self.assertContains(page, "<p><b>A.</b> ")
        self.assertContains(page, "<p><b>V.</b> ")
        self.assertNotContains(page, "<p><b>1.</b> ")

    def test_who_only_reads_sees_it_and_another_crew_does_not(self):
        self.assertEqual(len(self.steps(self.look(self.rae))), 17)
        self.assertEqual(self.look(self.bo).status_code, 404)
        self.assertEqual(self.client.get(self.address(self.gun, "plan/")).status_code, 302)
