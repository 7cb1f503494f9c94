"""300 draws of Unit A's rig, each described anew by hand and solved by the second solution."""

import copy
import math
import tomllib
from pathlib import Path
from typing import Any

import pytest

from jetwright.files.job import read_job
from jetwright.plan.draws import batch_of
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import machine_for, target_of
from jetwright.rig.check import check
from jetwright.solve import many
from tests.acceptance.crew import YARD, gun, tip

from .rig import Rig, held_at, settle

SHARE = 1e-3
DRAWS = 300
HEAD = """title = "Worked case"
altitude = "40 m"

[supply]
pressure = "3.5 bar"
flow = "150 L/min"
temperature = "18 degC"

"""
TAIL = """
[unit.gauge]
full_scale = "1600 bar"
class = 1.6

[[task]]
name = "It"
hose_run = ["H"]
tool = "gun"
target = { nozzle_pressure = "900 bar" }
"""


def redescribed(job: dict[str, Any], scores: list[float]) -> dict[str, Any]:
    """The job with its inputs moved by so many of the standard deviations of docs/tolerance.md."""
    hose_bore, roughness, tails, pump_flow, _speed, temperature, _gauge, area = scores
    job = copy.deepcopy(job)
    hose, row = job["hoses"]["H"], job["tips"]["T"]
    hose["bore"] = f"{8.0 * (1.0 + 0.015 * hose_bore):.12g} mm"
    hose["length"] = f"{60.0 * (1.0 + 0.15 / math.sqrt(12.0) * tails):.12g} m"
    hose["roughness"] = f"{0.01 * 2.0**roughness:.12g} mm"
    row["cd"] = 0.90 * (1.0 + math.hypot(0.03, 2.0 * 0.015) * area)
    job["unit"]["pump"]["stroke"] = f"{110.0 * (1.0 + 0.015 * pump_flow):.12g} mm"  # a turn gives as much more
    job["supply"]["temperature"] = f"{18.0 + 3.0 * temperature:.12g} degC"
    return job


@pytest.mark.published(
    "an independent solution: IAPWS-95 by CoolProp, exact Colebrook, hoses as an initial-value problem, nested brackets"
)
@pytest.mark.parametrize("bore", [1.0, 1.4])
def test_the_same_draws_solved_another_way(bore: float, tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    text = HEAD + YARD.read_text(encoding="utf-8") + tip("T", bore) + gun(("T", 1, "0 deg")) + TAIL
    path.write_text(text, encoding="utf-8")
    job, rig = tomllib.loads(text), check(read_job(path).job)
    machine = machine_for(rig, *target_of(rig))
    proving = proving_point(rig, machine.state.pump_pressure)
    drawn = many.draw(batch_of(rig, machine, proving, DRAWS, 7))
    off = [0.0] * 5
    for row, scores in zip(drawn.table, drawn.scores, strict=True):
        moved = redescribed(job, scores)
        panel, wrong = 1.0 + 0.01 * scores[many.SPEED], 0.016 * 1600e5 / math.sqrt(3.0) * scores[many.GAUGE]
        other = Rig(moved, 0)
        pressure, mass = other.upstream(900e5, (), ())[:2]
        turns = max(mass / other.delivered_per_turn(pressure), 2.0) * panel
        proven = settle(moved, 0, proving.pump_speed / panel, proving.bypass_area)["setting"]["pump_pressure_bar"] * 1e5
        [tool] = held_at(moved, 0, machine.state.pump_pressure - wrong)
        expected = (pressure + wrong, turns, proven + wrong, tool["nozzle_bar"] * 1e5, tool["recoil_n"])
        off = [max(worst, abs(a / b - 1.0)) for worst, a, b in zip(off, row, expected, strict=True)]
    assert max(off) <= SHARE, off
