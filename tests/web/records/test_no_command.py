"""On site nobody has a terminal: no page of a task and no sheet that the counter prints sends anybody to a command."""

import io
import re

import pypdf

from jetwright.cli.group import COMMANDS
from jetwright.web.jobs.models import Job
from tests.web.records.cases import AFTERNOON, MORNING, NOON, RecordsTestCase, words

COMMAND = re.compile(rf"\bjetwright (?:{'|'.join(COMMANDS)})\b")


class Commands(RecordsTestCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        job = cls.task().job
        odd = {"day": job.day.isoformat(), "pump_speed": "110 rpm", "gauge": "300 bar"}
        job.spec = job.spec | {"reading": [odd | {"task": name} for name in (MORNING, NOON)]}
        Job.objects.filter(pk=job.pk).update(spec=job.spec)

    def said(self, address):
        page = words(self.as_(self.ada).get(address))
        self.assertEqual(COMMAND.findall(page), [], address)
        return page

    def test_no_plan_and_no_page_to_sign_on_names_one(self):
        for name in (MORNING, NOON, AFTERNOON):
            task = self.task(name)
            self.said(f"/jobs/{task.job_id}/tasks/{task.pk}/change-card/")
            self.said(self.address(name))
            plan = self.said(f"/jobs/{task.job_id}/tasks/{task.pk}/plan/")
            self.assertEqual("It is not used: explain it first. Look at tips" in plan, name != AFTERNOON)

    def test_no_sheet_names_one(self):
        for name in (MORNING, NOON):
            record = self.sign(name)
            sheet = pypdf.PdfReader(io.BytesIO(bytes(record.sheet)))
            said = " ".join(" ".join(leaf.extract_text().split()) for leaf in sheet.pages)
            self.assertIn("It is not used: explain it first.", said)
            self.assertEqual(COMMAND.findall(said), [])
            self.assertEqual(COMMAND.findall(record.body), [])
