"""What a page weighs on its way to a phone that has nothing of it yet."""

import pytest

MOST = 150_000
"""Bytes."""


@pytest.mark.parametrize(
    "name", ["people:enter", "jobs:list", "jobs:plan", "a plan with several tools", "records:sign"]
)
def test_a_first_page_weighs_less_than_150_kb(open_page, shown, name):
    page = open_page(shown.cookies if name != "people:enter" else None, shown.address)
    weights = {}
    page.on("requestfinished", lambda one: weights.update({one.url: one.sizes()["responseBodySize"]}))
    page.goto(shown.address + shown.pages[name])
    page.wait_for_load_state("networkidle")
    print(name, sum(weights.values()), {url.rsplit("/")[-1]: weight for url, weight in weights.items()})
    assert sum(weights.values()) < MOST, weights
