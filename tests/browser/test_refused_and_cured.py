"""A task that is not allowed: what is said, what would cure it, and that it may then be signed."""

from playwright.sync_api import expect

from tests.browser.acts import Hands


def test_a_refused_task_is_cured_kept_and_may_be_signed(filled, open_page):
    page = open_page(filled.cookies, filled.address)
    ada = Hands(page)
    page.goto(filled.address + filled.pages["a plan that is not allowed"])
    verdict = page.locator(".verdict.large")
    expect(verdict).to_contain_text("Not allowed")
    expect(page.get_by_text("Hose V8-20, relief opening").first).to_be_visible()
    expect(page.get_by_text("1040 of 950 bar").first).to_be_visible()
    expect(page.get_by_role("link", name="Sign", exact=True)).to_have_count(0)
    ada.click("Try S8-20 in place of V8-20")
    expect(verdict).to_contain_text("Look first")
    expect(page.get_by_text("Not kept.", exact=True)).to_be_visible()
    ada.click("Keep this")
    expect(page.get_by_role("link", name="Sign", exact=True)).to_be_visible()
    ada.follow("Sign")
    expect(page.get_by_role("button", name="Sign and seal")).to_be_visible()


def test_a_refused_task_cannot_be_signed(ada, shown):
    ada.goto(shown.address + shown.pages["signing what is not allowed"])
    expect(ada.get_by_role("heading", name="It cannot be signed")).to_be_visible()
    expect(ada.get_by_role("button", name="Sign and seal")).to_have_count(0)
