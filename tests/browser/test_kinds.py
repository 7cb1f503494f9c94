"""Fields of one kind of bypass alone: hidden with script, all there without, never hidden with something in them."""

from playwright.sync_api import expect

LOTS = ("hand-set", "regulating", "unloader")


def lots(page):
    """Which of them are seen."""
    return [kind for kind in LOTS if page.locator(f"[data-is='{kind}']").is_visible()]


def test_the_fields_of_the_chosen_kind_alone_are_shown(ada, shown):
    ada.goto(shown.address + shown.pages["yard:change"])
    kind = ada.locator("#id_spec-bypass-kind")
    assert lots(ada) == ["hand-set"]
    kind.select_option("unloader")
    assert lots(ada) == ["hand-set", "unloader"]  # an opening stands in the first
    ada.locator("#id_spec-bypass-full_open_area").fill("")
    ada.locator("#id_spec-bypass-turns").fill("")
    kind.select_option("regulating")
    assert lots(ada) == ["regulating"]
    kind.select_option("")
    assert lots(ada) == []


def test_without_script_all_are_there(open_page, shown):
    page = open_page(shown.cookies, shown.address, java_script_enabled=False)
    page.goto(shown.address + shown.pages["yard:change"])
    assert lots(page) == list(LOTS)
    expect(page.get_by_text("For an unloader", exact=True)).to_be_visible()


def test_a_link_to_a_field_opens_what_it_is_folded_in(ada, shown):
    ada.goto(shown.address + shown.pages["yard:change"] + "#id_spec-suction-needed")
    field = ada.locator("#id_spec-suction-needed")
    expect(field).to_be_in_viewport()
    expect(field).to_be_focused()
