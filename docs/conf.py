"""Settings of the handbook's site (`make docs`)."""

import pathlib
import re

project = "Jetwright"
copyright = "The Jetwright authors"
release = re.search(
    r'__version__ = "(.+)"', pathlib.Path(__file__, "../../src/jetwright/__init__.py").resolve().read_text()
)[1]
extensions = ["myst_parser"]
myst_enable_extensions = ["dollarmath", "deflist"]
myst_heading_anchors = 3
exclude_patterns = ["_build"]
html_theme = "alabaster"
html_theme_options = {
    "description": "What to set, what the gauge must show, what it asks of every part",
    "page_width": "72em",
}
html_sidebars = {"**": ["about.html", "navigation.html", "searchbox.html"]}
html_show_sourcelink = False
html_copy_source = False
