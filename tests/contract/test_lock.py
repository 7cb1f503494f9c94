"""The locks: every dependency named, hashed, from the public index, and the small one inside the large one."""

import re
import tomllib

import pytest

from tests.contract.source import ROOT

LOCKS = sorted((ROOT / "requirements").glob("*.lock"))
ENTRY = re.compile(r"^([a-z0-9][a-z0-9.-]*)==([0-9][0-9a-z.]*)(?: ; [^\\]+)? \\$")
HASH = re.compile(r"^    --hash=sha256:[0-9a-f]{64}(?: \\)?$")


@pytest.mark.parametrize("path", LOCKS, ids=lambda p: p.stem)
def test_every_line_is_a_pin_or_its_hash(path):
    strange = [line for line in path.read_text().splitlines() if not (ENTRY.match(line) or HASH.match(line))]
    assert strange == []


def pins(name):
    text = (ROOT / "requirements" / f"{name}.lock").read_text()
    return {(m[1], m[2]) for m in map(ENTRY.match, text.splitlines()) if m}


def test_small_locks_are_part_of_large_ones():
    assert pins("run") <= pins("serve") <= pins("dev") <= pins("bench")


def test_every_dependency_is_locked():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    name = re.compile(r"^[A-Za-z0-9.-]+")
    wanted = {
        name.match(line)[0].lower() for line in project["project"]["dependencies"] + project["build-system"]["requires"]
    }
    assert wanted <= {name for name, _ in pins("run")}
    extras = {
        extra: {name.match(line)[0].lower() for line in lines}
        for extra, lines in project["project"]["optional-dependencies"].items()
    }
    assert extras["web"] | extras["sheets"] <= {name for name, _ in pins("serve")}
    assert set().union(*extras.values()) <= {name for name, _ in pins("dev")}
    for group in project["dependency-groups"].values():
        wanted |= {name.match(line)[0].lower() for line in group}
    assert wanted <= {name for name, _ in pins("bench")}


def test_nothing_heavy_is_needed_to_serve():
    assert not {"iapws", "numpy", "numba", "scipy", "pint", "coolprop", "psycopg"} & {name for name, _ in pins("serve")}


def test_nothing_under_gpl_or_heavy_foundations_is_needed_to_run():
    assert not {"iapws", "numpy", "numba", "scipy", "pint", "coolprop", "django"} & {name for name, _ in pins("run")}
