"""Pages that an act leads to are looked at as those that have an address."""

from tests.browser.looking import look
from tests.browser.reached import ACTS, reached

SAYS = (
    "There is nothing at this address",
    "New one",
    "Two guns on the bund wall",
    "Rename it there too",
    "shown this once",
    "PIN",
    "minutes",
)


def test_every_page_that_an_act_leads_to_can_be_read_and_touched(filled, open_page):
    page, wrong, said = open_page(filled.cookies, filled.address), {}, []
    for name in reached(page, filled):
        said.append(page.locator("main").inner_text())
        wrong[name] = look(page)
    open_page.said[:] = [one for one in open_page.said if "status of 404" not in one and "status of 429" not in one]
    assert {name: found for name, found in wrong.items() if found} == {}
    assert len(said) == len(ACTS)
    assert [words for words, text in zip(SAYS, said, strict=True) if words not in text] == []
