"""What lies on the disk, in a backup and in a browser's store is for nobody else."""

import json
import os
import stat
import zipfile

import pytest
from auditlog.models import LogEntry
from django.db import IntegrityError, connection, transaction

from jetwright.web.records.append_only import TABLES
from jetwright.web.yard.models import Piece
from tests.web.crew import CrewTestCase


def mode(path):
    return stat.S_IMODE(path.stat().st_mode)


@pytest.mark.skipif(os.name != "posix", reason="modes of files are POSIX's")
def test_a_database_that_is_open_is_closed_and_an_open_folder_is_said(make_place):
    from tests.web.places import SQLITE

    place = make_place(SQLITE)
    place.folder.mkdir(mode=0o755)
    place.folder.chmod(0o755)
    (place.folder / "jetwright.sqlite3").touch(0o644)
    (place.folder / "jetwright.sqlite3").chmod(0o644)
    with place.served() as counter:
        assert f"chmod 700 {place.folder}" in counter.printed
        assert {one.name: mode(one) for one in place.folder.iterdir() if one.is_file() and mode(one) != 0o600} == {}


def test_a_backup_holds_no_pin(archive):
    with zipfile.ZipFile(archive) as file:
        people = [json.loads(line) for line in file.read("rows/people.person.jsonl").splitlines()]
    assert {one["pin"] for one in people} == {""}
    assert all(one["password"] for one in people)


class TrailTest(CrewTestCase):
    def test_the_database_itself_refuses_to_change_the_trail(self):
        table, row = "auditlog_logentry", LogEntry.objects.order_by("pk").first()
        assert table in TABLES
        for statement in (f"UPDATE {table} SET object_repr = 'x' WHERE id = %s", f"DELETE FROM {table} WHERE id = %s"):
            with self.assertRaises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
                cursor.execute(statement, [row.pk])
        self.assertEqual(LogEntry.objects.get(pk=row.pk).object_repr, row.object_repr)


class PictureTest(CrewTestCase):
    def test_a_code_is_asked_for_again_each_time(self):
        piece = Piece.objects.create(crew=self.crew, kind="tip", name="T", spec={})
        browser = self.as_(self.rae)
        first = browser.get(f"/yard/{piece.pk}/label.svg")
        self.assertEqual(first["Cache-Control"], "private, no-cache")
        again = browser.get(f"/yard/{piece.pk}/label.svg", headers={"If-None-Match": first["ETag"]})
        self.assertEqual((again.status_code, again.content), (304, b""))
        outsider = self.as_(self.bo)
        headers = {"If-None-Match": first["ETag"]}
        self.assertEqual(outsider.get(f"/yard/{piece.pk}/label.svg", headers=headers).status_code, 404)
