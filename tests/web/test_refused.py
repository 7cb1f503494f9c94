"""A form that was sent back says at its top how much is wrong and where, and has the focus there."""

import html
import re

from jetwright.web.jobs.models import Job, Task
from jetwright.web.yard.models import Piece
from tests.web.jobs.cases import DemoTestCase
from tests.web.jobs.test_new import SUPPLY

ONE, MORE = "Not kept yet: 1 thing to put right", "Not kept yet: {n} things to put right"

TOOL = {"name": "Head", "spec-kind": "floor head", "spec-bore": "6 mm", "spec-release": "none"}
"""What a tool must say, but for its ports."""


class RefusedTest(DemoTestCase):
    def told(self, address, **fields):
        """What the list at the top says of each field, by what leads to it; "" for what has no field."""
        answer = self.as_(self.ada).post(address, {"crew": self.crew.pk} | fields)
        self.assertEqual(answer.status_code, 422)
        page = answer.content.decode()
        self.assertEqual(page.count('<div class="told error amiss" role="alert" tabindex="-1" autofocus>'), 1)
        self.assertEqual(page.count(" autofocus"), 1)
        top = page.partition('<div class="told error amiss"')[2].partition("</div>")[0]
        rows = re.findall("<li>(.*?)</li>", top)
        count = ONE if len(rows) == 1 else MORE.format(n=len(rows))
        self.assertIn(f"<h2>{count}</h2>", top)
        found = {}
        for row in rows:
            at = re.search('href="#([^"]+)"', row)
            if at:
                self.assertEqual(page.count(f' id="{at[1]}"'), 1, at[1])
            found[at[1] if at else ""] = html.unescape(re.sub("<[^>]+>", "", row))
        return found

    def test_a_new_job(self):
        found = self.told("/jobs/new/", **SUPPLY | {"job-supply-flow": "82", "job-altitude": "2,5 m", "unit": "no"})
        self.assertEqual(list(found), ["id_name", "id_unit", "id_job-supply-flow", "id_job-altitude"])
        self.assertEqual(found["id_name"], "Name: Give it a name.")
        self.assertIn("Supply: Flow that the supply gives: a unit is missing", found["id_job-supply-flow"])
        self.assertIn("a comma may be misread", found["id_job-altitude"])

    def test_the_facts_of_a_job(self):
        version = Job.objects.get(pk=self.job.pk).version
        typed = SUPPLY | {"version": version, "name": "Hall 2", "job-supply-flow": "82"}
        self.assertEqual(list(self.told(self.address(self.job, "change/"), **typed)), ["id_job-supply-flow"])

    def test_a_task(self):
        typed = {"version": Task.objects.get(pk=self.gun.pk).version, "task-target-nozzle_pressure": "82"}
        typed |= {"name": "", "task-rise": "high", "task-hazards-ignition": "perhaps"}
        found = self.told(self.address(self.gun, "change/"), **typed)
        order = ["id_task-target-nozzle_pressure", "id_name", "id_task-hazards-ignition", "id_task-rise"]
        self.assertEqual(list(found), order)
        self.assertIn("Target: Pressure asked for", found["id_task-target-nozzle_pressure"])

    def test_a_new_piece(self):
        found = self.told("/yard/new/hose/", name="", **{"spec-bore": "8", "spec-tails-length": "20 m"})
        self.assertEqual(found["id_name"], "Name, as its tag says: missing, and it is needed")
        self.assertTrue(found["id_spec-bore"].startswith("Bore: a unit is missing"))
        self.assertTrue(found["id_spec-tails-bore"].startswith("End fittings: Bore of the end fittings: missing"))

    def test_a_row_of_a_list_is_named_with_its_number(self):
        found = self.told("/yard/new/tool/", **TOOL | {"spec-ports-1-angle": "400 deg"})
        self.assertTrue(found["id_spec-ports-1-angle"].startswith("Ports and their tips 2: Angle from"), found)

    def test_what_has_no_field_of_its_own_is_in_the_list_without_a_link(self):
        found = self.told("/yard/new/tool/", **TOOL)
        self.assertEqual(list(found), [""])
        self.assertTrue(found[""].startswith("Ports and their tips: "), found)

    def test_a_changed_piece(self):
        unit = Piece.objects.get(crew=self.crew, kind="unit")
        typed = {"version": unit.version, "name": unit.name, "spec-shows": "the moon"}
        found = self.told(f"/yard/{unit.pk}/change/", **typed)
        self.assertLessEqual({"id_spec-pump-rating", "id_spec-shows"}, set(found))

    def test_what_was_not_refused_has_no_such_list(self):
        for address in ("/jobs/new/", "/yard/new/hose/", self.address(self.gun), self.address(self.job)):
            self.assertNotContains(self.as_(self.ada).get(address), "amiss")
        late = SUPPLY | {"name": "Typed by Ada", "version": self.job.version + 7}
        self.assertNotContains(
            self.as_(self.ada).post(self.address(self.job, "change/"), late), "amiss", status_code=409
        )
