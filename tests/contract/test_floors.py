"""The house: rooms where the plan has them, imports that point down, a core that needs nobody."""

import re
import subprocess
import sys

import pytest

from tests.contract.source import CORE, PACKAGE, ROOT, imports, modules, room

ROOMS = {  # docs/decisions/0003: the rooms of the house, each on its floor; no other is opened without a decision
    "errors.py", "units.py", "kernel.py", "water", "parts", "rig", "history", "solve", "surge", "heat", "limits",
    "inspection", "plan", "rehearse", "diagnose", "service", "files", "feeds", "report", "data", "actions",
    "web", "cli",
}  # fmt: skip
NOT_ROOMS = {"__init__.py", "__main__.py", "py.typed", "locale"}
VAGUE = re.compile(r"^_*(utils?|helpers?|common|managers?|misc|base|core|stuff)$")


def test_imports_point_down():
    """Every contract of pyproject.toml holds: floors, numba, the core, pydantic, click."""
    answer = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as main; main()", "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert answer.returncode == 0, answer.stdout + answer.stderr


def test_no_room_outside_the_plan():
    found = {path.name for path in PACKAGE.iterdir() if path.name != "__pycache__"}
    assert found <= ROOMS | NOT_ROOMS


def test_no_vague_name():
    names = [path.relative_to(ROOT) for folder in ("src", "tests", "benchmarks") for path in (ROOT / folder).rglob("*")]
    assert [str(name) for name in names if VAGUE.match(name.stem)] == []


def test_no_folder_without_an_init():
    """A folder of Python without __init__.py is invisible to the import contracts."""
    folders = {path.parent for path in PACKAGE.rglob("*.py")}
    assert [str(folder) for folder in folders if not (folder / "__init__.py").exists()] == []


def test_only_fast_imports_numba_or_numpy():
    who = {
        module
        for module, tree in modules().items()
        for _, name in imports(tree)
        if name.split(".")[0] in {"numba", "numpy"}
    }
    assert who <= {"solve/fast.py"}


@pytest.mark.parametrize("module", [m for m in modules() if room(m) in CORE and m != "solve/fast.py"])
def test_the_core_imports_the_standard_library_alone(module):
    allowed = sys.stdlib_module_names | {"jetwright"}
    strange = [
        f"{module}:{line} {name}" for line, name in imports(modules()[module]) if name.split(".")[0] not in allowed
    ]
    assert strange == []


@pytest.mark.parametrize("module", modules())
def test_imports_are_absolute_and_at_the_top_of_the_house(module):
    """`import jetwright` inside jetwright, or a relative import, is how knots begin."""
    doors = {"cli", "files", "report", "actions", "web"}  # may say which version they are
    knots = [
        f"{module}:{line} {name}"
        for line, name in imports(modules()[module])
        if name.startswith(".") or (name == "jetwright" and room(module) not in doors)
    ]
    assert knots == []
