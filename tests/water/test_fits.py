"""The committed fits are the ones the tool makes, and the tool's check can fail."""

import pathlib
import re
import subprocess
import sys

import pytest

ROOT = pathlib.Path(__file__).parent.parent.parent
TOOL = ROOT / "tools" / "fit_water.py"
MODULE = ROOT / "src" / "jetwright" / "water" / "fits.py"


def check(module):
    return subprocess.run(
        [sys.executable, str(TOOL), "--check", "--module", str(module)], capture_output=True, text=True, check=False
    )


@pytest.mark.published("a fresh fit to IAPWS R6-95(2018) and R12-08")
def test_committed_fits_are_a_fresh_fit():
    done = check(MODULE)
    assert done.returncode == 0, done.stdout + done.stderr


def test_slipped_coefficient_is_found(tmp_path):
    text = MODULE.read_text(encoding="utf-8")
    first = re.search(r"return \(\s*([\d.]+)", text[text.index("def volume_terms") :])[1]
    assert text.count(first) == 1
    slipped = tmp_path / "fits.py"
    slipped.write_text(text.replace(first, repr(1.0002 * float(first))), encoding="utf-8")
    done = check(slipped)
    assert done.returncode == 1, done.stdout + done.stderr
    assert "volume" in done.stdout
