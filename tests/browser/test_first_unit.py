"""From an empty yard to a plan: five questions, a job, a rig put together by picking pieces, a target."""

import pytest
from playwright.sync_api import expect

from tests.browser.acts import Hands
from tests.browser.looking import OPENED

PLATES = [
    {"unit": "Heron 2", "pump-rating": "1000 bar", "pump-top_speed": "500 rpm", "flow": "125 L/min"},
    {
        "hose": "S8-20", "hose-bore": "8 mm", "hose-length": "20 m", "hose-rating": "1400 bar", "hose-count": "3",
    },
    {"tip": "L11", "tip-bore": "1.1 mm", "gun": "Long gun", "gun-bore": "6 mm", "gun-rating": "1400 bar"},
    {
        "gauge-full_scale": "1600 bar", "gauge-class": "1.6", "pump-start_speed": "110 rpm", "drive": "hydrostatic",
        "engine": "1800 rpm",
    },
    {
        "release": "dump", "dump-bore": "6 mm", "bypass-kind": "hand-set", "bypass-returns_to": "tank",
        "bypass-full_open_area": "20 mm2",
    },
]  # fmt: skip
"""What is answered to each of the five questions."""
JOB = {
    "name": "Quay wall", "job-supply-pressure": "3 bar", "job-supply-flow": "130 L/min",
    "job-supply-temperature": "14 degC",
}  # fmt: skip


def fill(page, fields):
    """Answer each field by its name, a choice too, with all opened that opens."""
    page.evaluate(OPENED)
    for name, told in fields.items():
        field = page.locator(f"[name='{name}']").first
        if field.evaluate("it => it.tagName") == "SELECT":
            field.select_option(told)
        else:
            field.fill(told)


def test_five_questions_a_job_and_some_picking_make_a_plan(counter, page):
    ada = Hands(page)
    ada.first_account(counter.first_link)
    ada.follow("Yard")
    ada.follow("Answer five questions")
    for number, answers in enumerate(PLATES, 1):
        page.get_by_text(f"question {number} of 5").wait_for()
        fill(page, answers)
        ada.click("Next" if number < len(PLATES) else "Make the unit")
    page.get_by_role("heading", name="What a plan takes and does not judge").wait_for()
    ada.follow("Plan a job with it")
    fill(page, JOB)
    ada.choose("Unit", "Heron 2")
    ada.click("Make the job")
    ada.type("What is to be done", "Wash the quay wall")
    ada.click("Add a task")
    for piece in ("S8-20", "S8-20"):
        ada.click("Add a piece at the end", "link")
        page.locator(f"button[value='{piece}']").click()
        page.get_by_role("link", name="Add a piece at the end").wait_for()
    ada.click("Pick the tool", "link")
    page.locator("button[value='Long gun']").click()
    page.get_by_role("button", name="Remove Long gun").wait_for()
    ada.type("Pressure asked for, right behind the tips", "500 bar")
    ada.click("Keep and plan")
    page.locator(".verdict.large").wait_for()
    assert "bar" in page.locator(".setting .number").first.inner_text()
    assert page.get_by_text("2 × S8-20").first.is_visible()


@pytest.mark.parametrize("scripts", [True, False])
def test_what_was_answered_is_kept_on_the_way_back_and_forth_with_and_without_scripts(shown, open_page, scripts):
    page = open_page(shown.cookies, shown.address, java_script_enabled=scripts)
    page.goto(shown.address + shown.pages["yard:first_unit"])
    page.get_by_label("Name of the unit").fill("Heron 9")
    page.get_by_label("Highest pressure on the pump's plate", exact=True).fill("14500 psi")
    page.get_by_label("Top speed of the pump", exact=True).fill("500")
    page.get_by_label("Flow at the pump's top speed", exact=True).fill("125 L/min")
    page.get_by_role("button", name="Next").click()
    page.get_by_label("Name on the hose tag").fill("S8-20/7")
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("alert")).to_contain_text("2 things to put right")
    expect(page.get_by_label("Name on the hose tag")).to_have_value("S8-20/7")
    page.get_by_role("button", name="Back").click()
    expect(page.get_by_text("question 1 of 5")).to_be_visible()
    expect(page.get_by_label("Top speed of the pump", exact=True)).to_have_value("500 rpm")
    page.reload()
    expect(page.get_by_label("Highest pressure on the pump's plate", exact=True)).to_have_value("14500 psi")
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_label("Name on the hose tag")).to_have_value("S8-20/7")
    page.get_by_label("Length", exact=True).fill("20 m")
    page.get_by_label("Bore", exact=True).fill("8 mm")
    page.get_by_label("Bore", exact=True).press("Enter")
    expect(page.get_by_text("question 3 of 5")).to_be_visible()
    page.go_back()
    expect(page.get_by_text("question 2 of 5")).to_be_visible()


MOST_SCREENS = 1.5


def test_each_question_stands_on_a_screen_and_a_half_of_a_phone(shown, open_page):
    page = open_page(shown.cookies, shown.address, height=800)
    for number in range(1, 6):
        page.goto(f"{shown.address}{shown.pages['yard:first_unit']}?question={number}")
        assert page.evaluate("document.documentElement.scrollHeight") <= MOST_SCREENS * 800, number
