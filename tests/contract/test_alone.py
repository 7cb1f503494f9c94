"""The core needs the standard library only: one day a phone replans with no signal on exactly this code."""

import json
import os
import pathlib
import pickle
import subprocess
import sys

import pytest

from jetwright.actions.plan import basis_for
from jetwright.rig.example import JOB
from tests.contract.source import CORE, ROOT, modules, room

SCRIPT = pathlib.Path(__file__).with_name("alone.py")
BLOCKED = f"""
import runpy, sys
sys.meta_path.insert(0, runpy.run_path({str(SCRIPT)!r})["OnlyTheStandardLibrary"]())
"""


def run(*arguments, given=b""):
    """Output of a fresh interpreter that finds jetwright in this checkout."""
    environment = os.environ | {"PYTHONPATH": str(ROOT / "src")}
    line = [sys.executable, *arguments]
    answer = subprocess.run(line, capture_output=True, input=given, env=environment, check=False)
    assert answer.returncode == 0, answer.stderr.decode()
    return answer.stdout.decode()


def test_a_rig_is_planned_with_every_package_blocked():
    found = json.loads(run(str(SCRIPT), given=pickle.dumps(basis_for(JOB))))
    assert found["foreign"] == []
    assert found["nozzle"] == pytest.approx(850e5, rel=1e-9)  # the target, met
    assert found["pump"] > found["nozzle"]
    assert found["judged"] > 10
    assert found["tips"] == [["R12"]]  # the only tip in the box
    assert found["left"] > found["pump"]  # the same rig, left on at the fastest that the speed may have been
    assert found["alive"] >= 2  # 3 % may lie at the pump or at the tip
    assert found["softer_by"] == pytest.approx(600e5 - 850e5, rel=1e-9)
    assert found["drawn"][0] < found["pump"] < found["drawn"][1]


def test_the_block_holds():
    """The same hook refuses what is installed here: otherwise the test above would say nothing."""
    assert (
        run("-c", BLOCKED + "try:\n    import click\nexcept ImportError as error:\n    print(error)\n")
        == "click is blocked\n"
    )


def test_every_module_of_the_core_imports_alone():
    names = ["jetwright." + m.removesuffix(".py").replace("/", ".") for m in modules() if room(m) in CORE]
    names = [name.removesuffix(".__init__") for name in names if name != "jetwright.solve.fast"]
    assert len(names) > len(CORE)
    run("-c", BLOCKED + "import importlib\n" + "".join(f"importlib.import_module({name!r})\n" for name in names))
