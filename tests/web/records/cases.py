"""The demo shift in Ada's crew, and hands to sign with."""

import html
import re

from django.db import connection

from jetwright.web.jobs.demo import put_in_demo
from jetwright.web.jobs.models import Task
from jetwright.web.records.append_only import DROPPED
from jetwright.web.records.models import Record
from jetwright.web.yard.models import Piece
from tests.web.crew import PIN, CrewTestCase

MORNING, NOON, AFTERNOON = "Morning: hall floor", "Noon: pump footings by gun", "Afternoon: heat exchanger shell"
OLD_HOSE = "The old hose from the van"


def fields(page):
    """Name and value of each field that a page's own form has."""
    text = page.content.decode().split('<form method="post">', 1)[-1].split("</form>", 1)[0]
    found = {}
    for tag in re.findall(r"<input [^>]*>", text):
        told = {name: html.unescape(value) for name, value in re.findall(r'([\w-]+)="([^"]*)"', tag)}
        found[told["name"]] = told.get("value", "")
    return found


def reason_names(page):
    return [name for name in fields(page) if name.startswith("why|")]


def words(page):
    """What a page says, without its tags."""
    text = re.sub(r'<span class="whole">(.*?)</span>', r"\1", page.content.decode())
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


class RecordsTestCase(CrewTestCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        put_in_demo(cls.crew)

    @classmethod
    def task(cls, name=NOON):
        return Task.objects.get(name=name, job__crew=cls.crew)

    def piece(self, name, kind):
        return Piece.objects.get(name=name, kind=kind, crew=self.crew)

    @classmethod
    def address(cls, name=NOON):
        return f"/records/sign/{cls.task(name).pk}/"

    @classmethod
    def filled(cls, name=NOON, who=None, reason="Seen, reason {n}"):
        """The form of a task as it is shown, with a reason for each thing to look at and the PIN."""
        page = cls.as_(cls, who or cls.ada).get(cls.address(name))
        told = fields(page)
        reasons = {key: reason.format(n=n) for n, key in enumerate(reason_names(page), 1)}
        return told | reasons | {"pin": PIN}

    @classmethod
    def sign(cls, name=NOON, who=None, reason="Seen, reason {n}"):
        """The record of a task that somebody signs; once for a class where its tests only read it."""
        before = set(Record.objects.values_list("pk", flat=True))
        answer = cls.as_(cls, who or cls.ada).post(cls.address(name), cls.filled(name, who, reason))
        assert answer.status_code == 302, words(answer)
        return Record.objects.exclude(pk__in=before).get()

    def tamper(self, sql, *values):
        """Change the table as somebody with the database in hands would."""
        with connection.cursor() as cursor:
            for statement in DROPPED[connection.vendor]:
                cursor.execute(statement)
            cursor.execute(sql, values)
            self.assertEqual(cursor.rowcount, 1)
