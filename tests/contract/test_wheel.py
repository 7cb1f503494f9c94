"""What is installed elsewhere: the package with its catalogues and data, and nothing else."""

import subprocess
import sys
import zipfile

import pytest

from tests.contract.source import PACKAGE, ROOT

DEMO = {f"jetwright/data/demo/{name}.toml" for name in ("job", "not-allowed", "yard")}
"""What lies in `examples` in a checkout."""


@pytest.fixture(scope="module")
def names(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    answer = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert answer.returncode == 0, answer.stderr
    (wheel,) = folder.glob("*.whl")
    return set(zipfile.ZipFile(wheel).namelist())


def test_everything_of_the_package_is_in_the_wheel(names):
    ours = {path.relative_to(PACKAGE.parent).as_posix() for path in PACKAGE.rglob("*") if path.is_file()}
    ours = {name for name in ours if "__pycache__" not in name}
    assert ours - names == set()
    assert {name for name in names if ".dist-info/" not in name} - ours == DEMO


def test_catalogues_and_types_are_in_the_wheel(names):
    assert {"jetwright/py.typed", "jetwright/locale/es/LC_MESSAGES/jetwright.mo"} <= names


def test_pages_styles_and_migrations_are_in_the_wheel(names):
    wanted = {"templates/frame.html", "static/css/page.css", "static/fonts/OFL.txt", "static/signs.svg"}
    wanted |= {f"{app}/migrations/0001_initial.py" for app in ("people", "yard", "jobs", "records")}
    assert {f"jetwright/web/{name}" for name in wanted} <= names


def test_the_licence_and_the_notice_are_in_the_wheel(names):
    assert {"LICENSE", "NOTICE"} <= {name.rsplit("/", 1)[-1] for name in names if ".dist-info/" in name}
