"""What others wrote and we pass on, and what each file must not hold."""

import hashlib
import json
from pathlib import Path

import jetwright.web

STATIC = Path(jetwright.web.__file__).parent / "static"
VENDOR = STATIC / "vendor"
MANIFEST = json.loads((VENDOR / "manifest.json").read_text())


def test_every_file_is_the_one_that_was_looked_at():
    for row in MANIFEST:
        assert hashlib.sha256((VENDOR / row["file"]).read_bytes()).hexdigest() == row["sha256"], row["file"]


def test_no_file_is_there_that_nobody_named():
    assert {path.name for path in VENDOR.iterdir()} == {row["file"] for row in MANIFEST} | {"manifest.json"}


def test_the_notice_names_each_with_its_version():
    notice = (Path(__file__).parents[3] / "NOTICE").read_text()
    for row in MANIFEST:
        assert row["name"] in notice
        assert row["version"] in notice
        assert row["file"].endswith("LICENSE") or row["sha256"] in notice
