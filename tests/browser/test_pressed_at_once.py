"""What an answer brings can be pressed in the moment in which it is there: it acts on the page, and loads no other."""

from playwright.sync_api import expect

PRESS = """(key) => {
  window.same = "page";
  const seen = document.getElementById(key);
  new MutationObserver((_told, watch) => {
    const now = document.getElementById(key);
    if (!now || now === seen) return;
    watch.disconnect();
    now.click();
  }).observe(document.body, {childList: true, subtree: true});
}"""
"""Presses a new button of that name before anything else can happen on the page."""


def opened(open_page, counter, name):
    page = open_page(counter.cookies, counter.address)
    page.goto(counter.address + counter.pages[name])
    page.wait_for_load_state("networkidle")
    return page


def test_a_rig_is_changed_twice_without_another_page(filled, open_page):
    page = opened(open_page, filled, "jobs:task")
    before = page.locator("#rig li.stand").count()
    page.evaluate(PRESS, "remove-0-0")
    page.locator("#remove-0-0").click()
    expect(page.locator("#rig li.stand")).to_have_count(before - 2)
    assert page.evaluate("() => window.same") == "page"


def test_what_was_asked_is_kept(filled, open_page):
    page = opened(open_page, filled, "jobs:plan")
    page.evaluate(PRESS, "keep")
    page.get_by_role("button", name="Less: Pressure behind the tips").click()
    expect(page.get_by_text("It is kept.")).to_be_visible()
    expect(page.locator("#target")).to_have_value("775 bar")


def test_a_step_is_followed_by_another_at_once(filled, open_page):
    page = opened(open_page, filled, "jobs:plan")
    page.evaluate(PRESS, "less-1")
    page.get_by_role("button", name="Less: Pressure behind the tips").click()
    expect(page.locator("#target")).to_have_value("750 bar")
    assert page.evaluate("() => window.same") == "page"
