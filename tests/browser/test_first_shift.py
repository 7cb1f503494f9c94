"""From the first start of a counter to the first signed sheet."""

import io
import time

import pypdf

from tests.browser.acts import Hands

MOST_ACTS = 25


def test_a_first_shift_is_signed_within_twenty_five_acts(counter, page):
    began, ada = time.monotonic(), Hands(page)
    ada.first_account(counter.first_link)
    ada.click("Put in the demo shift")
    ada.follow("Noon: pump footings by gun")
    ada.click("Keep and plan")
    ada.follow("Sign")
    for field in page.get_by_label("Why it may start in spite of this").all():
        ada.done.append("type a reason")
        field.fill("Seen by the mechanic this morning")
    ada.type("Your PIN, once more", "4711")
    ada.click("Sign and seal")
    fingerprint = page.locator(".number b").first.inner_text()
    ada.done.append("click Open the sheet")
    sheet = page.context.request.get(
        counter.address + page.get_by_role("link", name="Open the sheet").get_attribute("href")
    )
    assert sheet.headers["content-type"] == "application/pdf"
    words = " ".join(leaf.extract_text() for leaf in pypdf.PdfReader(io.BytesIO(sheet.body())).pages)
    assert fingerprint in words
    print(f"{len(ada.done)} acts in {time.monotonic() - began:.1f} s: " + "; ".join(ada.done))
    assert len(ada.done) <= MOST_ACTS, ada.done
