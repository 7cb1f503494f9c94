"""The first shift with the keyboard alone: each stop is seen, none is out of order, no answer loses the place."""

from playwright.sync_api import expect

STOP = """() => {
  const one = document.activeElement, box = one.getBoundingClientRect(), style = getComputedStyle(one);
  const label = one.labels && one.labels[0] ? one.labels[0].innerText : one.innerText || "";
  return {
    name: (one.getAttribute("aria-label") || label).trim(), tag: one.tagName, outline: style.outlineStyle,
    thick: parseFloat(style.outlineWidth), top: box.top + scrollY, bottom: box.bottom + scrollY, left: box.left,
  };
}"""
MOST_STOPS = 150


class Keys:
    """Somebody without a mouse."""

    def __init__(self, page):
        self.page = page
        self.before = None

    def to(self, name):
        """Press Tab until the stop of that name."""
        for _stop in range(MOST_STOPS):
            self.page.keyboard.press("Tab")
            stop = self.page.evaluate(STOP)
            assert stop["tag"] != "BODY", f"no stop {name!r} on {self.page.url}"
            assert stop["outline"] == "solid", stop
            assert stop["thick"] >= 2, stop
            if self.before and stop["name"] != "To the page":
                below, beside = stop["top"] >= self.before["top"] - 1, stop["left"] > self.before["left"]
                assert below or (beside and stop["bottom"] > self.before["top"]), (self.before, stop)
            self.before = stop
            if stop["name"] == name:
                return
        raise AssertionError(f"{name!r} is not within {MOST_STOPS} stops on {self.page.url}")

    def type(self, name, text):
        self.to(name)
        self.page.keyboard.type(text)

    def enter(self, name):
        """Press Enter at a stop that leads to another page."""
        self.to(name)
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")
        self.before = None


def test_a_first_shift_is_signed_with_the_keyboard_alone(counter, page):
    page.goto(counter.first_link)
    keys = Keys(page)
    told = {"Name": "Ada Moe", "Name to enter with": "ada", "Password": "Nine herons wade", "PIN": "4711"}
    for name, text in (told | {"Name of the crew": "North"}).items():
        keys.type(name, text)
    keys.enter("Make the account and enter")
    keys.enter("Put in the demo shift")
    keys.enter("Noon: pump footings by gun")
    keys.enter("Keep and plan")
    keys.enter("Sign")
    for _reason in page.get_by_label("Why it may start in spite of this").all():
        keys.type("Why it may start in spite of this", "Seen by the mechanic")
    keys.type("Your PIN, once more", "4711")
    keys.enter("Sign and seal")
    expect(page.get_by_text("Seal holds: checked just now")).to_be_visible()


def test_an_answer_leaves_the_place_where_it_was(ada, shown):
    ada.goto(shown.address + shown.pages["jobs:plan"])
    keys = Keys(ada)
    keys.to("Less: Pressure behind the tips")
    for pressure in ("775 bar", "750 bar"):
        ada.keyboard.press("Enter")
        expect(ada.locator("#target")).to_have_value(pressure)
        expect(ada.get_by_role("button", name="Less: Pressure behind the tips")).to_be_focused()


def test_picking_a_piece_leads_to_what_is_picked(filled, open_page):
    page = open_page(filled.cookies, filled.address)
    page.goto(filled.address + filled.pages["jobs:task"])
    keys = Keys(page)
    keys.to("Add a piece at the end")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Pick a piece")).to_be_focused()
    expect(page.locator(".htmx-added")).to_have_count(0)
    address = page.url
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Pick a piece")).to_have_count(0)
    expect(page.locator("#rig :focus")).to_have_count(1)
    assert page.url == address
