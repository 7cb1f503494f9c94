"""An edited kernel changes the compiled answer, cache or no cache: numba does not notice an edited callee, we must."""

import json
import os
import pathlib
import shutil
import subprocess
import sys

import pytest

from tests.contract.source import PACKAGE

pytest.importorskip("numba", reason="no numba here: the plain path serves alone")

SETTLE = """
import json, sys
from jetwright.rig.check import check
from jetwright.rig.condition import SOUND
from jetwright.rig.example import JOB
from jetwright.solve.fast import CompiledRig, cache_folder
from jetwright.solve.network import network_of
from jetwright.solve.steady import Levers, solve

rig, speed, area = check(JOB, 0), 4.0, 2e-6
print(json.dumps({
    "compiled": CompiledRig(network_of(rig, SOUND)).settle(speed, area),
    "plain": solve(rig, Levers(speed, area)).pump_pressure,
    "cache": str(cache_folder()),
}))
"""
BEFORE, AFTER = "2.51", "3.51"  # the constant of Colebrook's equation, deep below what is compiled


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    """Three runs of one script: first, from the cache, and after an edit."""
    folder = tmp_path_factory.mktemp("edited kernel")
    package = folder / "src" / "jetwright"
    shutil.copytree(PACKAGE, package, ignore=shutil.ignore_patterns("__pycache__"))
    environment = {name: value for name, value in os.environ.items() if not name.startswith("NUMBA_")}
    environment |= {
        "PYTHONPATH": str(folder / "src"),
        "XDG_CACHE_HOME": str(folder / "cache"),
        "PYTHONDONTWRITEBYTECODE": "1",
    }

    def run():
        answer = subprocess.run(
            [sys.executable, "-c", SETTLE], capture_output=True, text=True, env=environment, check=False
        )
        assert answer.returncode == 0, answer.stderr
        return json.loads(answer.stdout)

    first, again = run(), run()
    friction = package / "parts" / "friction.py"
    text = friction.read_text(encoding="utf-8")
    assert BEFORE in text
    friction.write_text(text.replace(BEFORE, AFTER), encoding="utf-8")
    return {"first": first, "again": again, "edited": run()}


def test_the_cache_gives_the_same_answer(answers):
    assert answers["first"]["compiled"] == answers["again"]["compiled"]
    assert answers["first"]["cache"] == answers["again"]["cache"]


def test_the_edit_changes_the_compiled_answer(answers):
    change = abs(answers["edited"]["compiled"] / answers["first"]["compiled"] - 1.0)
    assert change > 1e-4
    assert answers["edited"]["cache"] != answers["first"]["cache"]


@pytest.mark.parametrize("run", ["first", "again", "edited"])
def test_plain_and_compiled_agree(answers, run):
    assert answers[run]["compiled"] == pytest.approx(answers[run]["plain"], rel=1e-12)


def test_the_cache_is_the_users_alone(answers):
    assert pathlib.Path(answers["first"]["cache"]).stat().st_mode & 0o777 == 0o700
