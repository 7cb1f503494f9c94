"""A question on its way: asked once, dim while it waits, gone without a trace where it fails, never far from sight."""

from playwright.sync_api import expect

STANDS = "() => document.getElementById('less-1').getBoundingClientRect().top"
BUSY = """() => {
  window.busy = [];
  const look = () => {
    const dim = [...document.querySelectorAll("[aria-busy='true']")].map((one) => one.id).sort().join(" ");
    window.busy.push(dim + (document.getElementById("acts").inert ? " inert" : ""));
  };
  const asked = {subtree: true, attributes: true, attributeFilter: ["aria-busy", "inert"]};
  new MutationObserver(look).observe(document.body, asked);
}"""


def plan(page, counter, name="jobs:plan"):
    page.goto(counter.address + counter.pages[name])
    page.wait_for_load_state("networkidle")
    return page.locator("#target")


def test_enter_asks_once(ada, shown):
    posts = []
    ada.on("request", lambda one: posts.append(one.url) if one.url.endswith("/what-if/") else None)
    target = plan(ada, shown)
    target.fill("750 bar")
    target.press("Enter")
    expect(ada.locator("#stay")).to_contain_text("Not kept: 750 bar")
    ada.wait_for_load_state("networkidle")
    assert len(posts) == 1


def test_what_fails_is_said_and_put_back(open_page, shown):
    page = open_page(shown.cookies, shown.address)
    target, alert = plan(page, shown), page.locator(".stay [role='alert']")
    for trouble in (lambda route: route.abort(), lambda route: route.fulfill(status=500, body="")):
        page.route("**/what-if/", trouble)
        target.fill("1100 bar")
        target.press("Tab")
        expect(alert).to_have_text("Not answered: this is what is kept.")
        expect(alert).to_be_in_viewport()
        expect(target).to_have_value("800 bar")
        expect(page.locator("[aria-busy='true']")).to_have_count(0)
        page.unroute("**/what-if/")
    target.fill("750 bar")
    target.press("Tab")
    expect(page.locator("#stay")).to_contain_text("Not kept: 750 bar")
    expect(alert).to_have_text("")
    assert open_page.said  # the console tells both, and only them
    assert all("500" in told or "FAILED" in told or "htmx:" in told for told in open_page.said), open_page.said
    open_page.said.clear()


def test_what_waits_is_dim_and_not_to_be_acted_on(ada, shown):
    target = plan(ada, shown)
    ada.evaluate(BUSY)
    target.fill("750 bar")
    target.press("Tab")
    expect(ada.locator("#stay")).to_contain_text("Not kept: 750 bar")
    assert "acts answer numbers picture inert" in ada.evaluate("() => window.busy")
    expect(ada.locator("[aria-busy='true'], [inert]")).to_have_count(0)


def test_far_below_a_bar_still_says_that_it_is_not_kept(ada, shown):
    target = plan(ada, shown)
    target.fill("750 bar")
    target.press("Tab")
    expect(ada.locator("#stay")).to_contain_text("Not kept: 750 bar")
    for part in ("#run-up-title", "#limits-title", "#openings-title"):
        ada.locator(part).scroll_into_view_if_needed()
        expect(ada.locator("#stay .told")).to_be_in_viewport(ratio=0.9)
        expect(ada.locator(part)).to_contain_text("not kept")


def test_what_was_pressed_stays_under_the_finger(ada, shown):
    target = plan(ada, shown, "a plan that is not allowed")
    target.scroll_into_view_if_needed()
    before = ada.evaluate(STANDS)
    ada.locator("#less-1").focus()
    for _step in range(3):  # from not allowed to within, the reasons above it go
        ada.keyboard.press("Enter")
        ada.wait_for_load_state("networkidle")
    ada.wait_for_timeout(200)
    assert abs(ada.evaluate(STANDS) - before) < 2


def test_both_stand_side_by_side_without_another_page(ada, shown):
    target = plan(ada, shown)
    ada.evaluate("() => { window.same = 'page'; }")
    target.fill("750 bar")
    target.press("Tab")
    ada.get_by_role("button", name="Beside what is kept").click()
    row = ada.locator("#beside tr").filter(has=ada.get_by_role("rowheader", name="Gauge", exact=True))
    expect(row.locator("td")).to_have_text(["830 bar", "780 bar"])
    ada.get_by_role("button", name="Less: Pressure behind the tips").click()
    expect(row.locator("td")).to_have_text(["830 bar", "750 bar"])
    ada.get_by_role("button", name="Without the table").click()
    expect(ada.locator("#beside")).to_have_count(0)
    assert ada.evaluate("() => window.same") == "page"
