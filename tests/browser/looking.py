"""What is wrong with a page as it stands: what axe says, what does not fit, what a gloved finger misses."""

from axe_playwright_python.sync_playwright import Axe

AXE = Axe()
EVERYTHING = {"resultTypes": ["violations"], "runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
CONTRAST = {"resultTypes": ["violations"], "runOnly": {"type": "rule", "values": ["color-contrast"]}}

OPENED = "() => { for (const one of document.querySelectorAll('details')) one.open = true; }"

WIDER = """() => {
  const page = document.documentElement, wide = page.clientWidth, seen = [];
  const scrolls = (one) => ["auto", "scroll"].includes(getComputedStyle(one).overflowX);
  if (page.scrollWidth > wide) seen.push(`the page is ${page.scrollWidth} px wide`);
  for (const one of document.body.querySelectorAll("*")) {
    const box = one.getBoundingClientRect(), around = one.parentElement.getBoundingClientRect();
    if (box.width === 0 || one.closest(".seen-by-readers, .skip, svg *")) continue;
    let up = one.parentElement;
    while (up && !scrolls(up)) up = up.parentElement;
    const out = box.right > Math.min(wide, around.right) + 1 || box.left < Math.max(0, around.left) - 1;
    const clipped = one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).overflowX === "hidden";
    if ((!up && out) || clipped) seen.push(`${one.outerHTML.slice(0, 90)}: from ${box.left} to ${box.right} px`);
  }
  return seen;
}"""
"""What is wider than what it stands in, where nothing around it scrolls by itself, and what is cut off."""

LOWER = """() => [...document.querySelectorAll(
  "button, .act, input:not([type=hidden]), select, textarea, summary, nav a, .cards > li > a:first-child"
)].filter((one) => {
  const box = (one.closest("label.choice") || one).getBoundingClientRect();
  return box.width > 0 && !one.closest(".seen-by-readers") && (box.height < 47.5 || box.width < 47.5);
}).map((one) => `${one.outerHTML.slice(0, 90)}: smaller than 48 px`)"""
"""What is to be touched and is too small for it."""


def faults(page, options):
    """What axe says, a line a place."""
    found = AXE.run(page, options=options).response["violations"]
    return [f"{one['id']}: {node['html']} {node.get('failureSummary', '')}" for one in found for node in one["nodes"]]


def look(page):
    """Everything that is wrong, by day and by night, with all opened that opens."""
    page.evaluate(OPENED)
    wrong = page.evaluate(WIDER) + page.evaluate(LOWER) + faults(page, EVERYTHING)
    page.emulate_media(color_scheme="dark")
    wrong += [f"at night: {one}" for one in faults(page, CONTRAST)]
    page.emulate_media(color_scheme="light")
    return wrong
