"""Take a picture of every page, as a phone, a tablet and a desk show it, by day and by night, into screenshots/.

    python -m tools.screenshots [LANGUAGE [UNITS [WORD]]]

LANGUAGE is en or es, UNITS si or us; with WORD only the pages with that in their name. A development tool: it needs
Chromium, and what the tests of the pages need.
"""

import pathlib
import sys
import tempfile
import types

from playwright.sync_api import Browser, Page

from tests.browser.browsers import chromium
from tests.browser.filled import Filled
from tests.browser.reached import reached
from tests.web.places import Place

FOLDER = pathlib.Path(__file__).parents[1] / "screenshots"
WIDTHS = (360, 800, 1280)
THEMES = ("light", "dark")


def main(language: str = "en", units: str = "si", word: str = "") -> None:
    """Fill a counter, walk through it, and forget it."""
    into = FOLDER if (language, units) == ("en", "si") else FOLDER / f"{language}-{units}"
    into.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, chromium() as browser:
        with Place(pathlib.Path(folder) / "new").served() as counter:
            first = {"people:first": counter.first_link.removeprefix(counter.address)}
            take(browser, into, counter.address, first, {}, word)
        with Filled(pathlib.Path(folder) / "full", language, units).served() as counter:
            take(browser, into, counter.address, counter.pages, counter.cookies, word)
    print(into)


def take(
    browser: Browser, into: pathlib.Path, counter: str, pages: dict[str, str], cookies: dict[str, str], word: str
) -> None:
    """The pages of a counter at each width and in each theme; then those that an act leads to."""
    context = browser.new_context()
    context.add_cookies([{"name": name, "value": value, "url": counter} for name, value in cookies.items()])
    page = context.new_page()
    for name, address in pages.items():
        if word in name:
            for width in WIDTHS:
                page.set_viewport_size({"width": width, "height": 800})
                page.goto(counter + address)
                shoot(page, into, name, width)
    page.goto(counter)
    if "yard:page" in pages and page.locator("html[lang=en]").count():  # the acts read English
        for name in reached(page, types.SimpleNamespace(address=counter, pages=pages)):
            for width in WIDTHS if word in name else ():
                page.set_viewport_size({"width": width, "height": 800})
                shoot(page, into, name, width)
    context.close()


def shoot(page: Page, into: pathlib.Path, name: str, width: int) -> None:
    """A page by day and by night."""
    for theme in THEMES:
        page.emulate_media(color_scheme=theme)
        page.wait_for_timeout(150)  # what is drawn by script is drawn anew a moment later
        called = f"{name.replace(':', '-').replace(' ', '-')}-{width}-{theme}.png"
        page.screenshot(path=into / called, full_page=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
