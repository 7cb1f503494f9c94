"""From an empty yard to a plan: five questions, a job, a rig put together by picking pieces, a target."""

from tests.browser.acts import Hands
from tests.browser.looking import OPENED

PLATES = {
    "unit": "Heron 2", "drive": "hydrostatic", "flow": "125 L/min", "engine": "1800 rpm", "pump-rating": "1000 bar",
    "pump-top_speed": "500 rpm", "pump-start_speed": "110 rpm", "bypass-kind": "hand-set", "bypass-returns_to": "tank",
    "bypass-full_open_area": "20 mm2", "hose": "S8-20", "hose-bore": "8 mm", "hose-length": "20 m",
    "hose-rating": "1400 bar", "hose-count": "3", "tip": "L11", "tip-bore": "1.1 mm", "gauge-full_scale": "1600 bar",
    "gauge-class": "1.6", "gun": "Long gun", "release": "dump", "gun-bore": "6 mm", "gun-rating": "1400 bar",
    "dump-bore": "6 mm",
}  # fmt: skip
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
    fill(page, PLATES)
    ada.click("Make the unit")
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
