"""The Chromium of this machine, as tests and screenshots start it."""

import contextlib
import shutil

NAMES = ("chromium", "chromium-browser", "google-chrome")
CHROMIUM = next((found for name in NAMES if (found := shutil.which(name))), "")
MISSING = "no Chromium here; type: sudo apt-get install chromium"
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextlib.contextmanager
def chromium():
    """A browser that asks nobody anything."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        try:
            yield browser
        finally:
            browser.close()
