"""What the pages of records print: no figure apart from its unit, no date and no tag in two."""

import html
import re

from jetwright.web.whole import whole
from tests.web.records.cases import AFTERNOON, MORNING, NOON, RecordsTestCase


def breakable(page):
    """The figures, dates and tags of a page at whose parts a line may end; what stands in the seal is one by one."""
    main = page.content.decode().partition('<main id="main">')[2].partition('id="seal"')[0]
    main = re.sub('<span class="whole">.*?</span>|<svg.*?</svg>', "", main)
    texts = [html.unescape(text) for text in re.findall(">([^<>]+)<", main)]
    return [text.strip() for text in texts if "<span" in str(whole(text))]


class Whole(RecordsTestCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.record = cls.sign(MORNING, reason="Seen at 12 bar on 2026-05-12, reason {n}")
        cls.sign(MORNING)

    def looked_at(self, address):
        page = self.as_(self.ada).get(address)
        self.assertContains(page, 'class="whole"')
        self.assertEqual(breakable(page), [])

    def test_on_a_record(self):
        self.looked_at(f"/records/{self.record.pk}/")

    def test_on_the_list(self):
        self.looked_at("/records/")

    def test_where_it_is_signed(self):
        for name in (MORNING, NOON, AFTERNOON):
            self.looked_at(self.address(name))

    def test_where_it_cannot_be_signed(self):
        hose = self.piece("S8-20", "hose")
        hose.spec = hose.spec | {"rating": "700 bar"}
        hose.save()
        page = self.as_(self.ada).get(self.address())
        self.assertContains(page, "It cannot be signed")
        self.assertEqual(breakable(page), [])
