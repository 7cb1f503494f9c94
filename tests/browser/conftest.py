"""A real counter in a process of its own, and a real Chromium in front of it."""

import os

import pytest

from tests.browser import browsers
from tests.browser.filled import Filled
from tests.web.places import Place


@pytest.fixture(scope="package")
def chromium():
    """A browser for the tests here; it ends with them, for its loop would stand in the way of other tests."""
    if not browsers.CHROMIUM:
        if os.environ.get("CI"):
            pytest.fail(browsers.MISSING)
        pytest.skip(browsers.MISSING)
    with browsers.chromium() as found:
        yield found


@pytest.fixture
def counter(tmp_path, chromium):
    """A counter with nothing in it yet."""
    with Place(tmp_path / "data").served() as made:
        yield made


@pytest.fixture(scope="package")
def place(tmp_path_factory, chromium):
    """Something of everything; nobody serves it but in a copy."""
    return Filled(tmp_path_factory.mktemp("filled") / "data")


@pytest.fixture(scope="package")
def shown(tmp_path_factory, place):
    """A counter with something of everything, to look at."""
    with place.copied(tmp_path_factory.mktemp("shown") / "data").served() as made:
        yield made


@pytest.fixture
def filled(tmp_path, place):
    """The same, to change; it locks after a minute."""
    with place.copied(tmp_path / "data").served(JETWRIGHT_IDLE_MINUTES="1") as made:
        yield made


@pytest.fixture
def open_page(chromium):
    """Opens a phone's page in a browser of its own; an error, and a break of the policy, fails the test."""
    contexts, said = [], []

    def one(cookies=None, address="", width=360, height=740, **options):
        context = chromium.new_context(viewport={"width": width, "height": height}, locale="en-GB", **options)
        contexts.append(context)
        context.add_cookies([{"name": key, "value": value, "url": address} for key, value in (cookies or {}).items()])
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("console", lambda told: said.append(f"{page.url}: {told.text}") if _wrong(told) else None)
        page.on("pageerror", lambda error: said.append(f"{page.url}: {error}"))
        return page

    one.said = said
    yield one
    for context in contexts:
        context.close()
    assert said == []


@pytest.fixture
def page(open_page):
    """A phone's page that nobody has entered on."""
    return open_page()


@pytest.fixture
def ada(open_page, shown):
    """Ada's phone, at the counter that is only looked at."""
    return open_page(shown.cookies, shown.address)


def _wrong(told):
    """A form that is sent back is no error, though the console calls it one."""
    return told.type == "error" and "the server responded with a status of 422" not in told.text
