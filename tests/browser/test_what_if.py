"""A question about a plan: asked step by step on one page, and kept only when somebody says so."""

from playwright.sync_api import expect

MARK = "() => { window.same = 'page'; }"


def read(page):
    """Gauge, recoil and the margins as they stand."""
    recoil = page.locator("section[aria-labelledby='recoil-title']").inner_text()
    return page.locator(".setting .number").first.inner_text(), recoil, page.locator("ul.limits").first.inner_text()


def test_a_step_of_the_pressure_moves_gauge_recoil_and_margins_on_the_same_page(ada, shown):
    address = shown.address + shown.pages["jobs:plan"]
    ada.goto(address)
    before = read(ada)
    ada.evaluate(MARK)
    ada.get_by_role("button", name="Less: Pressure behind the tips").click()
    expect(ada.locator("#target")).to_have_value("775 bar")
    after = read(ada)
    assert all(one != other for one, other in zip(before, after, strict=True))
    ada.get_by_role("button", name="Less: Pressure behind the tips").click()
    expect(ada.locator("#target")).to_have_value("750 bar")
    assert ada.evaluate("() => window.same") == "page"
    ada.goto(address)
    assert read(ada) == before
    expect(ada.locator("#target")).to_have_value("800 bar")


def test_what_is_typed_is_asked_and_what_cannot_be_read_is_said(ada, shown):
    ada.goto(shown.address + shown.pages["jobs:plan"])
    ada.locator("#target").fill("11000 psi")
    ada.locator("#target").press("Tab")
    expect(ada.get_by_text("Not kept.", exact=True)).to_be_visible()
    ada.locator("#target").fill("7,5 bar")
    ada.locator("#target").press("Tab")
    words = ada.locator("#target-wrong")
    expect(words).to_contain_text("“7.5 bar” or “75 bar”")
    expect(words).to_be_in_viewport()
    expect(ada.locator("#target")).to_have_value("7,5 bar")
    expect(ada.locator("#target")).to_have_attribute("aria-describedby", "target-wrong")
    expect(ada.locator("#more-1")).to_be_focused()  # where the key led, not at the top again


def test_what_cannot_be_read_is_put_right_where_it_stands(ada, shown):
    ada.goto(shown.address + shown.pages["jobs:plan"])
    target = ada.locator("#target")
    target.fill("900")
    target.press("Enter")
    expect(ada.locator("#target-wrong")).to_contain_text("a unit is missing")
    expect(target).to_be_focused()
    target.press("End")
    ada.keyboard.type(" bar")
    target.press("Enter")
    expect(ada.locator("#target-wrong")).to_have_count(0)
    expect(ada.locator("#stay")).to_contain_text("Not kept: 900 bar")


def test_what_is_kept_stays(filled, open_page):
    page = open_page(filled.cookies, filled.address)
    page.goto(filled.address + filled.pages["jobs:plan"])
    page.get_by_role("button", name="Less: Pressure behind the tips").click()
    page.get_by_role("button", name="Keep this").click()
    expect(page.get_by_text("It is kept.")).to_be_visible()
    expect(page.locator("#target")).to_have_value("775 bar")
    page.goto(filled.address + filled.pages["jobs:plan"])
    expect(page.locator("#target")).to_have_value("775 bar")


def test_two_tasks_stand_side_by_side(ada, shown):
    ada.goto(shown.address + shown.pages["jobs:compare"])
    ada.get_by_label("A", exact=True).select_option(label="Noon: pump footings by gun")
    ada.get_by_label("B", exact=True).select_option(label="Afternoon: heat exchanger shell")
    ada.get_by_role("button", name="Set side by side").click()
    gauge = ada.get_by_role("row").filter(has=ada.get_by_role("rowheader", name="Gauge", exact=True))
    expect(gauge).to_contain_text("830 bar")
    assert len(gauge.locator("td").all_inner_texts()) == 3
