"""What a narrow phone shows whole, and what it says of the rest."""

import io

import pytest
from PIL import Image
from playwright.sync_api import expect

BROKEN = """() => [...document.querySelectorAll(".whole")].filter((one) => one.getClientRects().length > 1)
  .map((one) => one.textContent)"""
LARGEST = """(one) => [...document.querySelectorAll("main *")].every((other) =>
  parseFloat(getComputedStyle(other).fontSize) <= parseFloat(getComputedStyle(one).fontSize))"""
ROOM = """(one) => {
  const style = getComputedStyle(one), pen = document.createElement("canvas").getContext("2d");
  pen.font = style.font;
  const wide = one.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight) - 24;
  const lines = Math.ceil(pen.measureText(one.selectedOptions[0].text).width / wide);
  const room = one.clientHeight - parseFloat(style.paddingTop) - parseFloat(style.paddingBottom);
  return [lines, room / (parseFloat(style.fontSize) * 1.2), style.whiteSpace];
}"""
"""Lines that a chosen word takes, lines there is room for, and whether it may take more than one; 24: its arrow."""


def edge(table):
    """How dark the right edge of a table is, where nothing is written: 0 as its card, up to 255."""
    picture = Image.open(io.BytesIO(table.screenshot())).convert("L")
    wide, high = picture.size
    columns = [[picture.getpixel((x, y)) for y in range(high)] for x in (wide - 1, wide - 2, wide - 3)]
    shades = sorted(shade for column in columns for shade in column)
    return 255 - shades[len(shades) // 2]


def test_a_table_that_goes_on_has_a_shadow_at_that_edge_until_one_is_there(ada, shown):
    ada.goto(shown.address + shown.pages["two tasks side by side"])
    tables = ada.locator(".wide").all()
    over = [one.evaluate("(it) => it.scrollWidth - it.clientWidth") for one in tables]
    assert max(over) > 4
    wide, fits = tables[over.index(max(over))], tables[over.index(0)]
    assert edge(wide) > 20
    assert edge(fits) == 0
    wide.evaluate("(it) => { it.scrollLeft = it.scrollWidth; }")
    assert edge(wide) == 0


@pytest.mark.parametrize(
    "name",
    [
        "jobs:plan", "jobs:change_card", "two tasks side by side", "yard:list", "jobs:tips",
        "yard:change", "records:list", "records:page", "records:sign", "signing what is not allowed",
    ],
)  # fmt: skip
def test_no_date_no_tag_and_no_figure_is_broken(ada, shown, name):
    ada.goto(shown.address + shown.pages[name])
    assert ada.locator(".whole").count() > 4
    assert ada.evaluate(BROKEN) == []


def test_a_long_choice_is_not_cut(ada, shown):
    ada.goto(shown.address + shown.pages["yard:change"])
    long = ada.locator("select.long").all()
    assert long
    for one in long:
        lines, room, breaks = one.evaluate(ROOM)
        assert lines <= room
        assert breaks == "pre-wrap"


def test_what_comes_before_the_tool_is_touched_is_the_largest(ada, shown):
    ada.goto(shown.address + shown.pages["jobs:change_card"])
    assert ada.locator("h1.comes-first").evaluate(LARGEST)


def test_the_card_for_the_hospital_is_one_touch_away(ada, shown):
    ada.goto(shown.address + shown.pages["jobs:plan"])
    ada.get_by_role("link", name="Struck by the jet").click()
    expect(ada.get_by_role("heading", name="Struck by the jet")).to_be_in_viewport()
    expect(ada.get_by_text("For the doctor")).to_be_visible()


def test_only_labels_are_printed_and_not_at_the_edge_of_the_paper(ada, shown):
    ada.goto(shown.address + shown.pages["yard:labels"])
    words = ada.locator(".label-card > div").first
    assert words.bounding_box()["width"] > 0.9 * ada.locator(".label-card").first.bounding_box()["width"]
    ada.emulate_media(media="print")
    for hidden in ("h1", "form", "header"):
        expect(ada.locator(hidden).first).to_be_hidden()
    expect(ada.locator(".label-card").first).to_be_visible()
    page = ada.evaluate("() => [...document.styleSheets[0].cssRules].filter((it) => it instanceof CSSPageRule).length")
    assert page == 1
