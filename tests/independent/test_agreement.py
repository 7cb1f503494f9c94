"""The package's plans against a second solution of the same rigs that shares no code and no method with it.

40 random rigs in the everyday run, 400 in a full one. Agreement is asked within 0.1 %: of the quantity itself, and for
the difference of two large ones (what goes over the bypass, a net recoil) of the larger of the two.
"""

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from jetwright.cli import command
from tests.tier import RANDOM_RIGS

from .rig import plan, settle
from .rigs import random_job

SHARE = 1e-3
published = pytest.mark.published(
    "an independent solution: IAPWS-95 by CoolProp, exact Colebrook, hoses as an initial-value problem, nested brackets"
)


def ask(text: str, folder: Path) -> dict[str, Any]:
    """What `jetwright plan JOB.toml --json` prints for the first task."""
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(command, ["plan", str(path), "--json"])
    assert result.exit_code in (0, 3), f"exit {result.exit_code}: {result.output[-2000:]} {result.exception!r}"
    task: dict[str, Any] = json.loads(result.stdout)["tasks"][0]
    return task


class Differences:
    """Every difference beyond 0.1 %, gathered so that one run tells all."""

    def __init__(self) -> None:
        self.found: list[str] = []

    def near(
        self, what: str, value: float | None, expected: float | None, scale: float = 0.0, least: float = 0.0
    ) -> None:
        if value is None or expected is None:
            if value != expected:
                self.found.append(f"{what}: {value} against {expected}")
            return
        allowed = max(SHARE * max(abs(expected), scale), least)
        if not abs(value - expected) <= allowed:
            share = (value - expected) / max(abs(expected), scale, 1e-30)
            self.found.append(f"{what}: {value:.6g} against {expected:.6g} ({share:+.3%})")

    def same(self, what: str, value: object, expected: object) -> None:
        if value != expected:
            self.found.append(f"{what}: {value!r} against {expected!r}")

    def none(self) -> None:
        assert not self.found, "\n".join(self.found)


def compare(task: dict[str, Any], expected: dict[str, Any]) -> Differences:
    d = Differences()
    setting, second = task["setting"], expected["setting"]
    flow, spill = second["pump_flow_l_min"], second["bypass_flow_l_min"]
    for key in ("pump_speed_rpm", "engine_speed_rpm", "pump_pressure_bar", "pump_flow_l_min"):
        d.near(key, setting[key], second[key])
    d.near("bypass_flow_l_min", setting["bypass_flow_l_min"], spill, flow)
    if spill > SHARE * flow or spill == 0.0:  # between them the last drop decides the word
        d.same("bypass", setting["bypass"], second["bypass"])
    if second["bypass"] in ("part open", "open"):
        for key in ("bypass_area_mm2", "bypass_open_share"):
            d.near(key, setting[key], second[key], second[key] * flow / spill)
    d.same("tools", [t["tool"] for t in task["tools"]], [t["tool"] for t in expected["tools"]])
    for tool, other in zip(task["tools"], expected["tools"], strict=False):
        name = f"tool {other['branch']} "
        for key in ("inlet_bar", "nozzle_bar", "flow_l_min", "leak_l_min", "jet_power_kw"):
            d.near(name + key, tool[key], other[key])
        for key in ("recoil_n", "recoil_side_n"):
            d.near(name + key, tool[key], other[key], other["thrust_n"])
        for jet in tool["jets"]:
            d.near(name + "jet speed_m_s", jet["speed_m_s"], other["speed_m_s"])
    d.same("hose_run", [r["item"] for r in task["hose_run"]], [r["item"] for r in expected["hose_run"]])
    for row, other in zip(task["hose_run"], expected["hose_run"], strict=False):
        for key in ("in_bar", "out_bar"):
            d.near(f"{other['item']} {key}", row[key], other[key])
    for key in ("hydraulic_kw", "shaft_kw", "engine_kw"):
        d.near(key, task["power"][key], expected["power"][key])
    load = expected["power"]["engine_load"]
    if (
        load is None and second["engine_speed_rpm"] is not None
    ):  # faster than the curve goes: never to be read as covered
        verdicts = {limit["id"]: limit["verdict"] for limit in task["limits"]}
        d.same("engine.power", verdicts["engine.power"], "not_allowed")
    else:
        d.near("engine_load", task["power"]["engine_load"], load)
    if "opening_pressure_bar" in setting:
        d.near("opening_pressure_bar", setting["opening_pressure_bar"], second["bypass_opening_bar"])
    return d


@published
@pytest.mark.parametrize("seed", range(RANDOM_RIGS))
def test_a_random_rig(seed: int, tmp_path: Path) -> None:
    text = random_job(seed)
    expected = plan(tomllib.loads(text))
    compare(ask(text, tmp_path), expected).none()


@published
@pytest.mark.parametrize("seed", range(RANDOM_RIGS))
def test_the_proving_point_is_a_state_of_the_rig(seed: int, tmp_path: Path) -> None:
    """At the printed speed and opening the second solution's gauge reads what is printed."""
    text = random_job(seed)
    task = ask(text, tmp_path)
    point = task["proving_point"]
    state = settle(tomllib.loads(text), 0, point["pump_speed_rpm"] / 60.0, point["bypass_area_mm2"] * 1e-6)
    assert point["gauge_bar"] == pytest.approx(state["setting"]["pump_pressure_bar"], rel=SHARE)
    if task["setting"]["bypass"] == "regulating":  # proved below its opening, where it is shut
        assert point["gauge_bar"] < task["setting"]["opening_pressure_bar"]
