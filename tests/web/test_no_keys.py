"""No page shows a key of a job file: what it is about is called as on a form."""

import html
import re

import pytest
from django.test import TestCase

from jetwright.web.people.models import Person
from tests.browser.filling import fill
from tests.report.keys import keys_in
from tests.web.crew import CrewTestCase

pytestmark = pytest.mark.any_database


def shown(answer):
    """What a page says: its text, and what is said of a part that is not drawn or is read aloud."""
    text = re.sub(r"<(script|style)\b.*?</\1>", " ", answer.content.decode(), flags=re.DOTALL)
    spoken = " ".join(re.findall(r'(?:title|alt|aria-label|placeholder)="([^"]*)"', text))
    return html.unescape(re.sub(r"<[^>]+>", " ", text) + " " + spoken)


class EveryPageTest(TestCase):
    def test_no_page_shows_a_key(self):
        told = fill("en", "si")
        client = CrewTestCase.as_(self, Person.objects.get(username="ada"))
        found = {}
        for name, address in told["addresses"].items():
            answer = client.get(address)
            if answer.status_code != 302:
                found[name] = keys_in(shown(answer))
        self.assertEqual({name: keys for name, keys in found.items() if keys}, {})
        self.assertGreater(len(found), 35)
