"""Pages that no address shows by itself: each is led to by an act, in a place that is thrown away."""

import itertools

from tests.contract.source import ROOT

CSV = "name,bore,length,count\nS8-20,8 mm,20 m,5\nNew one,8 mm,20 m,2\n"
NUMBERS = itertools.count(1)


def a_page_that_is_not_there(page, counter):
    page.goto(counter.address + "/yard/00000000-0000-0000-0000-000000000000/")


def what_a_yard_file_would_do(page, counter):
    page.goto(counter.address + counter.pages["yard:files"])
    page.get_by_label("What the file holds").select_option(label="Hoses (CSV)")
    page.get_by_label("File", exact=True).set_input_files(
        {"name": "hoses.csv", "mimeType": "text/csv", "buffer": CSV.encode()}
    )
    page.get_by_role("button", name="Look at it").click()


def what_a_job_file_would_bring(page, counter):
    page.goto(counter.address + counter.pages["jobs:bring"])
    page.get_by_label("Job file").set_input_files(ROOT / "examples" / "two-guns.toml")
    page.get_by_role("button", name="Look what would come in").click()


def the_question_of_a_rename(page, counter):
    page.goto(counter.address + counter.pages["yard:page"] + "change/")
    page.get_by_label("Name, as its tag says").fill("S8-21")
    page.get_by_role("button", name="Save").click()


def a_passing_password(page, counter):
    page.goto(counter.address + counter.pages["people:new"])
    page.get_by_label("Name", exact=True).fill("Ines")
    page.get_by_label("Name to enter with").fill(f"ines{next(NUMBERS)}")
    page.get_by_role("button", name="Add").click()


def a_locked_page(page, counter):
    page.goto(counter.address + counter.pages["people:me"])
    page.get_by_role("button", name="Lock").click()


def too_many_tries(page, counter):
    page.get_by_label("PIN or password", exact=True).fill("4711")
    page.get_by_role("button", name="Unlock").click()
    page.wait_for_url(lambda address: "unlock" not in address)
    page.context.clear_cookies()
    for _ in range(8):
        page.goto(counter.address + counter.pages["people:enter"])
        page.get_by_label("Name to enter with").fill("nobody")
        page.locator("[name=password]").fill("Nine wrong words")
        page.get_by_role("button", name="Enter", exact=True).click()


ACTS = (
    a_page_that_is_not_there,
    what_a_yard_file_would_do,
    what_a_job_file_would_bring,
    the_question_of_a_rename,
    a_passing_password,
    a_locked_page,
    too_many_tries,
)
"""In this order: the last unlocks what the one before it locked, and then nobody has entered."""


def reached(page, counter):
    """Go to each in turn; what it is called."""
    for act in ACTS:
        act(page, counter)
        page.wait_for_load_state()
        yield act.__name__.replace("_", " ")
