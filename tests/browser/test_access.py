"""Every page, as somebody with a phone, with a screen reader or at night finds it."""

import uuid

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.filled import Filled
from tests.browser.looking import LOWER, OPENED, WIDER, look
from tests.browser.pages import APPS, NO_PAGES, PAGES, names, of_app

WRONG = """<html lang="en"><title>Wrong</title><main><h1>Wrong</h1><img src="/static/signs.svg"><button>small</button>
<p style="color: #ccc">pale</p><div style="width: 500px">wide</div>
<div style="width: 9em; overflow: hidden; white-space: nowrap">more than is to be seen of it</div></main>"""


def test_what_is_wrong_with_a_page_is_found(page):
    page.route("**/static/signs.svg", lambda route: route.fulfill(content_type="image/svg+xml", body="<svg/>"))
    page.set_content(WRONG)
    found = "\n".join(look(page))
    for one in ("px wide", "500px", "overflow: hidden", "48 px", "image-alt", "color-contrast", "at night"):
        assert one in found


def test_every_address_has_its_row(ada, shown):
    some, missing = uuid.uuid4(), []
    for name, pattern in names().items():
        needs = pattern.pattern.converters
        address = reverse(name, kwargs={key: "hose" if key == "kind" else some for key in needs})
        shows = ada.request.get(shown.address + address, max_redirects=0).status != 405
        if shows != (name in PAGES or name in NO_PAGES):
            missing.append(name)
    assert missing == []


@pytest.mark.parametrize("app", APPS)
def test_every_page_can_be_read_and_touched(ada, shown, app):
    wrong = {}
    for name, address in of_app(shown.pages, app).items():
        ada.goto(shown.address + address)
        wrong[name] = look(ada)
    assert {name: found for name, found in wrong.items() if found} == {}


@pytest.mark.slow
def test_every_page_fits_in_spanish_and_in_psi_too(tmp_path, open_page):
    with Filled(tmp_path / "data", "es", "us").served() as counter:
        page, wrong = open_page(counter.cookies, counter.address), {}
        for name, address in counter.pages.items():
            page.goto(counter.address + address)
            page.evaluate(OPENED)
            wrong[name] = page.evaluate(WIDER) + page.evaluate(LOWER)
        assert {name: found for name, found in wrong.items() if found} == {}


def test_the_page_of_the_first_account_can_be_read_and_touched(counter, page):
    page.goto(counter.first_link)
    assert look(page) == []
    page.get_by_role("button", name="Make the account and enter").evaluate("it => it.form.noValidate = true")
    page.get_by_role("button", name="Make the account and enter").click()
    page.locator(".wrong").first.wait_for()
    assert look(page) == []


def test_a_question_its_answer_and_what_cures_it_can_be_read_and_touched(ada, shown):
    ada.goto(shown.address + shown.pages["a plan that is not allowed"])
    ada.get_by_role("button", name="Try S8-20 in place of V8-20").click()
    ada.get_by_text("Not kept.", exact=True).wait_for()
    ada.get_by_role("button", name="Which tips do most here").click()
    ada.get_by_text("each was judged in full").wait_for()
    assert look(ada) == []


REFUSED = {
    "yard:first_unit": ("Next", {}),
    "the last question": ("Make the unit", {}),
    "yard:new": ("Save", {}),
    "yard:change": ("Save", {"name": "", "spec-pump-rating": "900"}),
    "jobs:new": ("Make the job", {}),
    "jobs:page": ("Keep it", {"job-supply-flow": "82", "job-altitude": "2,5 m"}),
    "jobs:task": ("Keep and plan", {"task-target-nozzle_pressure": "82", "task-rise": "high"}),
}
"""Name of a page → the act that is refused there, and what is typed before it."""


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused_is_counted_at_the_top_and_each_line_leads_to_its_field(ada, shown, name):
    act, typed = REFUSED[name]
    ada.goto(shown.address + shown.pages[name])
    ada.evaluate(OPENED)
    for field, told in typed.items():
        ada.locator(f"main [name='{field}']").first.fill(told)
    button = ada.get_by_role("button", name=act, exact=True).first
    button.evaluate("it => it.form.noValidate = true")
    button.click()
    summary = ada.get_by_role("alert")
    expect(summary).to_be_focused()
    expect(summary).to_be_in_viewport(ratio=0.2)
    expect(summary.get_by_role("heading")).to_contain_text(f"{summary.locator('li').count()} thing")
    assert look(ada) == []
    for link in summary.get_by_role("link").all():
        link.click()
        field = ada.locator(f"[id='{link.get_attribute('href')[1:]}']")
        expect(field).to_be_focused()
        expect(field).to_be_in_viewport()
        expect(field).to_have_attribute("aria-invalid", "true")


def test_the_dark_page_of_the_person_is_that_of_the_device(ada, shown):
    ada.goto(shown.address + shown.pages["people:list"])
    seen = []
    told = "() => ['paper', 'ink', 'water', 'refused', 'look', 'within', 'bar', 'profile-ink', 'profile-relief'].map("
    told += "(name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`))"
    for scheme, theme in (("dark", ""), ("light", "dark"), ("light", ""), ("dark", "light")):
        ada.emulate_media(color_scheme=scheme)
        ada.evaluate("(theme) => { document.documentElement.dataset.theme = theme; }", theme)
        seen.append(ada.evaluate(told))
    assert seen[0] == seen[1] != seen[2] == seen[3]
