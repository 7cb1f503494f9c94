"""A tablet that a crew shares: it locks by itself, a PIN opens it, and a PIN hands it on."""

import re

from playwright.sync_api import expect

from tests.browser.looking import look


def test_it_locks_when_nobody_touches_it_opens_by_pin_and_changes_hands_by_pin(filled, open_page):
    page = open_page(filled.cookies, filled.address)
    page.clock.install()
    page.goto(filled.address + filled.pages["yard:list"])
    page.clock.fast_forward("00:50")
    page.get_by_label("Find by name").click()
    page.clock.fast_forward("00:50")
    expect(page.get_by_role("heading", name="Yard", exact=True)).to_be_visible()
    page.clock.fast_forward("00:15")
    page.wait_for_url(re.compile("/people/unlock/"))
    expect(page.get_by_role("navigation")).to_have_count(0)
    assert look(page) == []
    page.go_back()
    expect(page.get_by_role("heading", name="Locked")).to_be_visible()
    page.get_by_label("PIN or password", exact=True).fill("9999")
    page.get_by_role("button", name="Unlock").click()
    expect(page.locator(".wrong")).to_contain_text("PIN")
    page.get_by_label("PIN or password", exact=True).fill("4711")
    page.get_by_role("button", name="Unlock").click()
    expect(page.get_by_role("heading", name="Yard", exact=True)).to_be_visible()
    page.get_by_role("link", name="Ada").click()
    page.get_by_role("link", name="Change person").click()
    page.get_by_label("Olu").check()
    page.get_by_label("PIN", exact=True).fill("4711")
    page.get_by_role("button", name="Take over").click()
    expect(page.locator(".who")).to_have_text("Olu")
