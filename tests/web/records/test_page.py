"""Reading records: the list, one record, its sheet; as it was signed, whatever happened to the yard since."""

import io
import json
import re

import pypdf
import segno
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jetwright.report.press import sheet_files
from jetwright.report.sheet import sealed
from jetwright.web.people.models import Crew
from jetwright.web.records.models import Record
from jetwright.web.records.seal import check_crew
from jetwright.web.records.signing import matrix_code
from tests.web.records.cases import AFTERNOON, MORNING, NOON, RecordsTestCase, words


def pages(pdf):
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(bytes(pdf))).pages]


class Sheet(RecordsTestCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.record = cls.sign(reason="Seen with the client at the flange, reason {n}")

    def sheet(self, who=None):
        return self.as_(who or self.ada).get(f"/records/{self.record.pk}/sheet.pdf")

    def test_it_is_the_pdf_that_is_kept(self):
        answer = self.sheet()
        self.assertEqual((answer.status_code, answer["Content-Type"]), (200, "application/pdf"))
        self.assertEqual(answer.content, bytes(self.record.sheet))
        self.assertEqual(len(pages(answer.content)), 2)

    def test_its_front_says_who_when_as_what_and_the_fingerprint(self):
        front = pages(self.record.sheet)[0]
        self.assertIn("Ada, Crew lead of North,", front)
        self.assertIn(f"{timezone.localtime(self.record.made_at):%Y-%m-%d %H:%M}", front)
        self.assertIn(f"Sealed {self.record.fingerprint}", front)
        self.assertEqual(self.record.fingerprint.replace("-", ""), self.record.digest[:16])

    def test_each_reason_stands_on_it_with_what_it_is_for(self):
        front, back = pages(self.record.sheet)
        for given in json.loads(self.record.body)["signed"]["reasons"]:
            self.assertIn(given["reason"], back)
            self.assertIn(given["reason"], front)
        self.assertIn("Looked at first by Ada, and why", back)

    def test_its_code_leads_to_the_page_of_the_record(self):
        address = f"http://testserver/records/{self.record.pk}/"
        self.assertEqual(json.loads(self.record.body)["address"], address)
        code = matrix_code(address)
        rows = [bytearray(row) for row in segno.make(address, error="m", micro=False).matrix]
        self.assertEqual(dark(code), {(x, y) for y, row in enumerate(rows) for x, module in enumerate(row) if module})
        facts = sealed(json.loads(self.record.body)["printed"], self.record.fingerprint, 1, code)
        self.assertEqual(sheet_files(facts), [bytes(self.record.sheet)])

    def test_a_sheet_in_us_units_is_on_letter_paper(self):
        self.ada.units = "us"
        self.ada.save()
        record = self.sign()
        box = pypdf.PdfReader(io.BytesIO(bytes(record.sheet))).pages[0].mediabox
        self.assertEqual([round(float(side)) for side in box[2:]], [612, 792])

    def test_a_second_record_of_the_task_says_which_it_follows(self):
        second = self.sign()
        self.assertIn(f"It follows {self.record.fingerprint}", pages(second.sheet)[0])

    def test_another_crew_and_nobody_see_nothing(self):
        self.assertEqual(self.sheet(self.bo).status_code, 404)
        self.assertEqual(Client().get(f"/records/{self.record.pk}/sheet.pdf").status_code, 302)
        self.assertEqual(self.sheet(self.rae).status_code, 200)


def dark(svg):
    """The dark modules that an SVG of a code draws, without its border of two."""
    (path,) = re.findall(r'<path[^>]* d="([^"]+)"', svg)
    found, x, y = set(), 0.0, 0.0
    for command, told in re.findall(r"([Mmh])([^Mmh]*)", path):
        numbers = [float(each) for each in re.findall(r"-?[\d.]+", told)]
        if command == "M":
            x, y = numbers
        elif command == "m":
            x, y = x + numbers[0], y + numbers[1]
        else:
            found |= {(int(x) - 2 + step, int(y) - 2) for step in range(int(numbers[0]))}
            x += numbers[0]
    return found


class Page(RecordsTestCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.record = cls.sign()

    def test_it_says_what_was_signed_and_that_the_seal_holds(self):
        record = self.record
        told = words(self.as_(self.rae).get(f"/records/{record.pk}/"))
        for part in ("Seal holds", record.fingerprint, "Ada, Crew lead", "Look first", "830 bar", "Seen, reason 4"):
            self.assertIn(part, told)
        self.assertEqual(told.count("This plan supports and never replaces"), 1)

    def test_the_yard_and_the_job_may_change_and_what_was_signed_stays(self):
        record = self.record
        browser = self.as_(self.ada)
        addresses = [f"/records/{record.pk}/{name}" for name in ("", "sheet.pdf", "body.json")]
        before = [browser.get(address).content for address in addresses]
        hose, tip, unit = (
            self.piece(name, kind) for name, kind in (("S8-20", "hose"), ("L11", "tip"), ("Heron 2", "unit"))
        )
        hose.spec = hose.spec | {"rating": "900 bar", "length": "15 m"}
        hose.save()
        tip.retired_at = timezone.now()
        tip.save()
        unit.spec = unit.spec | {"shows": ["engine speed"]}
        unit.save()
        task = record.task
        task.name, task.spec = "Another name", task.spec | {"target": {"nozzle_pressure": "500 bar"}}
        task.save()
        task.job.name = "Another job"
        task.job.save()
        self.ada.name, self.ada.units = "Ada Someone-Else", "us"
        self.ada.save()
        after = [browser.get(address).content for address in addresses]
        self.assertEqual(before[1:], after[1:])
        own = [printed(page) for page in (before[0], after[0])]
        self.assertEqual(own[0], own[1])
        self.assertIn("830", own[1])
        for page in (before[0], after[0]):
            self.assertIn("Ada, Crew lead", page.decode())
        self.assertEqual(check_crew(self.crew), [])
        listed = words(browser.get("/records/"))
        self.assertIn(NOON, listed)
        self.assertNotIn("Another name", listed)

    def test_a_record_and_the_one_after_it_lead_to_each_other(self):
        first, second = self.record, self.sign()
        browser = self.as_(self.ada)
        self.assertContains(browser.get(f"/records/{first.pk}/"), f'href="/records/{second.pk}/"')
        self.assertContains(browser.get(f"/records/{first.pk}/"), "A later record of the same task takes its place")
        self.assertContains(browser.get(f"/records/{second.pk}/"), f'href="/records/{first.pk}/"')

    def test_its_body_can_be_had_byte_by_byte(self):
        record = self.record
        answer = self.as_(self.rae).get(f"/records/{record.pk}/body.json")
        self.assertEqual((answer.content, answer["Content-Type"]), (record.body.encode(), "application/json"))

    def test_another_crew_sees_nothing(self):
        record = self.record
        for name in ("", "sheet.pdf", "body.json"):
            self.assertEqual(self.as_(self.bo).get(f"/records/{record.pk}/{name}").status_code, 404)
            self.assertEqual(self.as_(self.ada).post(f"/records/{record.pk}/{name}").status_code, 405)

    def test_there_is_no_such_record(self):
        self.assertEqual(self.as_(self.ada).get("/records/00000000-0000-4000-8000-000000000000/").status_code, 404)


def printed(content):
    """A page from the setting on: without the reader's name, and without what became of the record."""
    text = content.decode()
    return text[text.index('aria-labelledby="set"') :]


class Since(RecordsTestCase):
    """What became of a record stands before what it says; that its seal holds says nothing about that."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.record = cls.sign()

    CHANGED = "Changed since it was signed"

    def told(self, address=None):
        return words(self.as_(self.rae).get(address or f"/records/{self.record.pk}/"))

    def first_of(self, told, *parts):
        places = [told.index(part) for part in parts]
        self.assertEqual(places, sorted(places), parts)

    def test_one_that_still_is_what_is_kept_says_its_verdict_first(self):
        self.assertNotIn("Changed since", self.told() + self.told("/records/"))
        page = self.as_(self.rae).get(f"/records/{self.record.pk}/")
        self.assertContains(page, '<p class="verdict large look">')
        self.first_of(words(page), "Look first", "Seal holds")

    def test_a_hose_changed_since_comes_before_verdict_and_seal(self):
        hose = self.piece("S8-20", "hose")
        hose.spec = hose.spec | {"tested": "2024-01-01"}
        hose.save()
        page = self.as_(self.rae).get(f"/records/{self.record.pk}/")
        self.first_of(words(page), self.CHANGED, "Look first", "Seal holds")
        self.assertNotContains(page, '<p class="verdict large')
        self.assertNotContains(page, "told success")
        self.assertContains(page, f'href="/jobs/{self.record.task.job_id}/tasks/{self.record.task_id}/plan/"')
        self.first_of(self.told("/records/"), self.CHANGED, "Look first", "Seal holds")

    def test_one_that_was_replaced_says_so_first_and_where(self):
        self.sign(MORNING)
        last = self.sign()
        self.first_of(self.told(), "A later record of the same task takes its place.", "Look first", "Seal holds")
        self.assertContains(self.as_(self.rae).get(f"/records/{self.record.pk}/"), f'href="/records/{last.pk}/"')
        listed = self.told("/records/")
        self.assertEqual(listed.count("Replaced by record 3"), 1)
        self.first_of(listed, f"Record 3: {NOON}", f"Record 1: {NOON}", "Replaced by record 3")
        self.assertNotIn("Changed since", listed)

    def test_a_task_that_is_done_and_retired_is_not_called_changed(self):
        task = self.record.task
        task.retired_at = timezone.now()
        task.save()
        self.assertNotIn("Changed since", self.told() + self.told("/records/"))


class Listed(RecordsTestCase):
    def test_the_latest_comes_first_each_with_its_fingerprint(self):
        records = [self.sign(name) for name in (MORNING, NOON, AFTERNOON)]
        told = words(self.as_(self.rae).get("/records/"))
        places = [told.index(record.fingerprint) for record in reversed(records)]
        self.assertEqual(places, sorted(places))
        self.assertEqual(told.count("Seal holds"), 3)
        self.assertEqual(told.count("This plan supports and never replaces"), 1)

    def test_the_chains_of_many_crews_are_asked_for_at_once(self):
        browser = self.as_(self.zoe)
        browser.get("/records/")
        with CaptureQueriesContext(connection) as few:
            browser.get("/records/")
        for number in range(5):
            Crew.objects.create(name=f"Crew {number}")
        with CaptureQueriesContext(connection) as many:
            browser.get("/records/")
        self.assertEqual(len(many), len(few))

    def test_without_any_it_says_how_there_will_be_some(self):
        self.assertContains(self.as_(self.ada).get("/records/"), "Nothing is signed yet")

    def test_another_crew_sees_its_own_alone(self):
        self.sign(AFTERNOON)
        self.assertContains(self.as_(self.bo).get("/records/"), "Nothing is signed yet")

    def test_every_seal_can_be_checked_at_once(self):
        self.sign(MORNING)
        self.sign(AFTERNOON)
        told = words(self.as_(self.ada).get("/records/check/"))
        self.assertIn("North 2 records, and every seal holds.", told)
        self.assertNotIn("South", told)

    def test_of_a_crew_in_which_nothing_is_signed_no_seal_is_said_to_hold(self):
        self.sign(AFTERNOON)
        told = words(self.as_(self.zoe).get("/records/check/"))
        self.assertIn("North 1 record, and its seal holds.", told)
        self.assertIn("South Nothing is signed yet.", told)
        self.assertNotIn("0 records", told)
        empty = self.as_(self.bo).get("/records/check/")
        self.assertContains(empty, "Nothing is signed yet.")
        self.assertNotContains(empty, "holds")

    def test_looking_is_no_post(self):
        for address in ("/records/", "/records/check/"):
            self.assertEqual(self.as_(self.ada).post(address).status_code, 405)
        self.assertEqual(Record.objects.count(), 0)
