"""Records are only added; and whoever gets round that is found out."""

import json
import os
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from django.db import IntegrityError, connection, transaction

from jetwright.web import place
from jetwright.web.records import seal
from jetwright.web.records.models import NeverChangedError, Record
from jetwright.web.records.seal import Finding, check_crew, check_record
from jetwright.web.trail import NeverDeletedError
from tests.web.records.cases import AFTERNOON, MORNING, NOON, RecordsTestCase, words


class OnlyAdded(RecordsTestCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.record = cls.sign(AFTERNOON)

    def refused(self, sql, *values):
        refused = self.assertRaisesRegex(IntegrityError, "records are only added")
        with refused, transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sql, values)

    def test_the_database_refuses_to_change_or_delete_a_record(self):
        self.refused("UPDATE records_record SET body = 'x'")
        self.refused("UPDATE records_record SET number = number + 1")
        self.refused("UPDATE records_record SET task_id = NULL")
        self.refused("DELETE FROM records_record")
        self.assertEqual(Record.objects.get().body, self.record.body)

    def test_the_database_refuses_to_replace_or_empty(self):
        if connection.vendor == "sqlite":
            self.refused("INSERT OR REPLACE INTO records_record SELECT * FROM records_record")
        else:
            with connection.cursor() as cursor:
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # else what waits to be checked is in the way first
            self.refused("TRUNCATE records_record CASCADE")
        self.assertEqual(Record.objects.count(), 1)

    def test_so_does_the_model(self):
        record = self.record
        for act in (record.save, lambda: Record.objects.update(body=""), lambda: Record.objects.bulk_update([], [])):
            self.assertRaises(NeverChangedError, act)
        for act in (record.delete, lambda: Record.objects.all().delete()):
            self.assertRaises(NeverDeletedError, act)


class FoundOut(RecordsTestCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.records = [cls.sign(name) for name in (MORNING, NOON, AFTERNOON)]
        cls.second = cls.records[1]

    def found(self):
        return [(one.what, one.number) for one in check_crew(self.crew)]

    def page(self, record=None):
        return words(self.as_(self.ada).get(f"/records/{(record or self.second).pk}/"))

    def test_nothing_is_wrong_before(self):
        self.assertEqual(self.found(), [])

    def test_one_byte_of_the_body(self):
        self.tamper(
            "UPDATE records_record SET body = replace(body, 'reason 2', 'reason 7') WHERE uuid = %s", *self.key()
        )
        self.assertEqual(check_crew(self.crew), [Finding("body", 2, str(self.second.pk))])
        told = self.page()
        self.assertIn("Seal broken", told)
        self.assertIn("Record 2: what it says is not what was sealed.", told)
        self.assertNotIn("Seal holds", told)
        self.assertNotIn("reason 7", told)
        self.assertIn(
            "Record 2: what it says is not what was sealed.", words(self.as_(self.ada).get("/records/check/"))
        )
        self.assertIn("Seal broken Record 2:", words(self.as_(self.ada).get("/records/")))
        self.assertIn("Seal holds", self.page(self.records[0]))

    def test_a_blank_in_the_body_that_changes_nothing_it_says(self):
        self.tamper("UPDATE records_record SET body = body || ' ' WHERE uuid = %s", *self.key())
        self.assertEqual(self.found(), [("body", 2)])

    def test_a_body_that_is_no_longer_json_is_told_and_no_page_falls_over(self):
        self.tamper("UPDATE records_record SET body = '{' WHERE uuid = %s", *self.key())
        self.assertIn("Seal broken", self.page())
        self.assertEqual(self.as_(self.ada).get(f"/records/{self.second.pk}/sheet.pdf").status_code, 409)

    def test_the_name_of_who_signed(self):
        self.tamper("UPDATE records_record SET by_id = %s WHERE uuid = %s", *self.key(self.zoe.pk), *self.key())
        self.assertEqual(self.found(), [("body", 2)])

    def test_the_time(self):
        self.tamper("UPDATE records_record SET made_at = '2026-01-01 00:00:00+00:00' WHERE uuid = %s", *self.key())
        self.assertEqual(self.found(), [("body", 2)])

    def test_the_one_before(self):
        other = "0" + self.second.previous[1:] if self.second.previous[0] != "0" else "1" + self.second.previous[1:]
        self.tamper("UPDATE records_record SET previous = %s WHERE uuid = %s", other, *self.key())
        self.assertEqual(self.found(), [("body", 2), ("previous", 2)])
        self.assertIn("Record 2: it does not follow the record before it", self.page(self.records[2]))

    def test_the_number(self):
        self.tamper("UPDATE records_record SET number = 9 WHERE uuid = %s", *self.key())
        self.assertEqual(
            self.found(),
            [("hole", 2), ("previous", 3), *(("hole", n) for n in range(4, 9)), ("body", 9), ("previous", 9)],
        )
        self.assertIn("Record 2 is missing.", self.page(self.records[0]))

    def test_a_record_that_was_taken_out(self):
        self.tamper("DELETE FROM records_record WHERE uuid = %s", *self.key())
        self.assertEqual(self.found(), [("hole", 2), ("previous", 3)])
        self.assertIn("Record 2 is missing.", self.page(self.records[2]))

    def test_the_sheet(self):
        self.tamper("UPDATE records_record SET sheet = %s WHERE uuid = %s", bytes(self.records[0].sheet), *self.key())
        self.assertEqual(self.found(), [("signature", 2)])
        answer = self.as_(self.ada).get(f"/records/{self.second.pk}/sheet.pdf")
        self.assertEqual((answer.status_code, "Seal broken" in words(answer)), (409, True))

    def test_the_task_it_stands_under(self):
        other = self.key(self.task(MORNING).pk)
        self.tamper("UPDATE records_record SET task_id = %s WHERE uuid = %s", *other, *self.key())
        self.assertEqual(self.found(), [("names", 2)])
        self.assertIn("under another task or name", self.page())

    def test_a_body_with_a_digest_made_to_fit(self):
        record = Record.objects.get(pk=self.second.pk)
        record.body = record.body.replace("reason 2", "reason 7")
        self.tamper(
            "UPDATE records_record SET body = %s, digest = %s WHERE uuid = %s",
            record.body,
            seal.digest_of(record),
            *self.key(),
        )
        self.assertEqual(self.found(), [("signature", 2), ("previous", 3)])

    def test_a_record_signed_anew_with_another_key(self):
        record = Record.objects.get(pk=self.second.pk)
        secret = Ed25519PrivateKey.generate()
        forged = secret.sign(seal._signed_bytes(record.digest, record.sheet)).hex()
        public = secret.public_key().public_bytes_raw().hex()
        self.tamper("UPDATE records_record SET key = %s, signature = %s WHERE uuid = %s", public, forged, *self.key())
        self.assertEqual(self.found(), [("key", 2)])
        self.assertIn("a key that this counter does not know", self.page())

    def key(self, pk=None):
        """A uuid as the database at hand keeps it."""
        pk = self.second.pk if pk is None else pk
        return [pk.hex if connection.vendor == "sqlite" else pk]


class Key(RecordsTestCase):
    def test_it_lies_in_the_data_folder_readable_by_nobody_else(self):
        self.sign(AFTERNOON)
        path = place.folder() / "seal.key"
        self.assertEqual((path.stat().st_mode & 0o777, path.stat().st_size), (0o600, 32))
        secret = path.read_bytes()
        record = Record.objects.get()
        for text in (record.key, record.signature, record.body, bytes(record.sheet).hex()):
            self.assertNotIn(secret.hex(), text)

    def test_records_of_another_counter_hold_where_its_key_is_known(self):
        record = self.sign(AFTERNOON)
        path = place.folder() / "seal.key"
        moved = Path(os.environ["JETWRIGHT_DATA"]) / "elsewhere.key"
        path.rename(moved)
        known = place.folder() / "seal.known"
        try:
            self.assertEqual([one.what for one in check_record(record)], ["key"])
            self.sign(AFTERNOON)  # makes a key of its own
            self.assertEqual([(one.what, one.number) for one in check_crew(self.crew)], [("key", 1)])
            known.write_text(record.key + "\n")
            self.assertEqual(check_crew(self.crew), [])
        finally:
            known.unlink(missing_ok=True)
            moved.replace(path)

    def test_what_a_page_says_is_enough_to_check_it_elsewhere(self):
        record = self.sign(NOON)
        told = self.as_(self.ada).get(f"/records/{record.pk}/").content.decode()
        for fact in (record.digest, record.key, record.signature, seal.at_text(record.made_at), str(self.crew.pk)):
            self.assertIn(fact, told)
        by_hand = json.dumps(
            {
                "body": record.body,
                "by": str(self.ada.pk),
                "crew": str(self.crew.pk),
                "kind": "plan",
                "made_at": seal.at_text(record.made_at),
                "number": 1,
                "previous": "",
            },
            ensure_ascii=False,
            separators=(",", ":"),
        )
        self.assertEqual(seal.sha256(by_hand.encode()), record.digest)
