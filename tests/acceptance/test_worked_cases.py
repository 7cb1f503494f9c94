"""Worked cases of Unit A.

Source of every expected number: computed by three independent programs (IAPWS-95 water, exact Colebrook, the equations
of docs/job-file.md) that agree to the digits shown. ±1 % on bar, L/min, N, kW, mm², m/s, ±1 rpm.
"""

import math

import pytest

from jetwright.parts.nozzle import recoil
from jetwright.rig.condition import Condition
from jetwright.water.state import jet_speed_of
from tests.acceptance.crew import Job, case, gun, limit, near, rpm, tip


def one_tip(folder, bore, inlet="rounded", angle="0 deg", **more):
    return Job(folder, tip("T", bore, inlet), gun(("T", 1, angle)), **more)


def recoil_of(job, state):
    """Push of a straight jet of the first branch, in N."""
    line = state.lines[0]
    return recoil(line.jets, jet_speed_of(job.rig.water, line.nozzle + job.rig.water.ambient), 1, 0.0, 0.0)[0]


@pytest.fixture
def case_1(tmp_path):
    return one_tip(tmp_path, 1.0)


@pytest.fixture
def case_7(tmp_path):
    return one_tip(tmp_path, 1.4)


def is_case_1(task):
    setting, [tool], power = task["setting"], task["tools"], task["power"]
    assert setting["pump_speed_rpm"] == rpm(120)
    assert setting["bypass"] == "part open"
    assert setting["bypass_area_mm2"] == near(0.660)
    assert setting["bypass_open_share"] == near(0.033)
    assert setting["pump_pressure_bar"] == near(933.1)
    assert setting["pump_flow_l_min"] == near(29.71)
    assert setting["bypass_flow_l_min"] == near(11.87)
    assert setting["bypass_flow_l_min"] / setting["pump_flow_l_min"] == near(0.40)
    assert tool["inlet_bar"] == near(901.6)
    assert tool["flow_l_min"] == near(17.84)
    assert tool["recoil_n"] == near(124.8)
    assert tool["recoil_n"] / 9.80665 == near(12.7)
    assert tool["jets"][0]["speed_m_s"] == near(420)
    assert power["hydraulic_kw"] == near(45.1)
    assert power["engine_kw"] == near(73.0)
    assert power["engine_load"] == near(0.31, 0.01)
    assert setting["engine_speed_rpm"] == rpm(1500)


@case(1)
def test_small_tip_leaves_the_bypass_part_open(case_1):
    is_case_1(case_1.plan())


@case(1)
def test_the_command_says_the_same(case_1):
    code, task = case_1.command()
    is_case_1(task)
    assert code == (3 if task["verdict"] == "not_allowed" else 0)
    assert task["verdict"] != "not_allowed"


@case(4)
@pytest.mark.parametrize(
    ("opening", "gauge"), [(20, 6), (10, 23), (5, 76), (3, 171), (2, 300), (1, 657), (0.66, 934), (0.5, 1127)]
)
def test_gauge_rises_as_the_bypass_closes(case_1, opening, gauge):
    assert case_1.stand(120, opening)[0] == near(gauge, 1)


@case(5)
@pytest.mark.parametrize(("speed", "shut", "flowing"), [(120, 6.9, 6.3), (500, 118, 108)])
def test_open_bypass_and_a_second_way_out(case_1, speed, shut, flowing):
    digit = 0.1 if speed == 120 else 1
    assert case_1.stand(speed, 20, shut=(1,))[0] == near(shut, digit)
    plugged = Condition(tip_area={"T": 0.0})
    assert case_1.stand(speed, 20, plugged)[0] == pytest.approx(case_1.stand(speed, 20, shut=(1,))[0])
    assert case_1.stand(speed, 20)[0] == near(flowing, digit)


@case(5)
@pytest.mark.parametrize(("speed", "gauge", "digit"), [(120, 4.5, 0.1), (500, 74, 1)])
def test_open_bypass_and_an_open_dump_port(tmp_path, speed, gauge, digit):
    """The figures hold for a port that the gun's loss does not stand ahead of; docs/job-file.md, and the released gun
    below, have it behind the loss, which costs up to 2 % more here."""
    ahead = Job(tmp_path / "ahead", tip("T", 1.0), gun(("T", 1, "0 deg"), loss=0.0))
    behind = one_tip(tmp_path / "behind", 1.0)
    assert ahead.stand(speed, 20, dumping=(1,))[0] == near(gauge, digit)
    assert 1.0 < behind.stand(speed, 20, dumping=(1,))[0] / ahead.stand(speed, 20, dumping=(1,))[0] < 1.02


def is_case_7(task):
    setting, [tool] = task["setting"], task["tools"]
    assert setting["bypass"] == "closed"
    assert setting["bypass_flow_l_min"] == 0.0
    assert setting["pump_speed_rpm"] == rpm(141.8)
    assert setting["pump_pressure_bar"] == near(1018)
    assert tool["flow_l_min"] == near(34.96)
    assert tool["recoil_n"] == near(244.6)
    assert task["power"]["engine_kw"] == near(91)
    assert task["proving_point"]["pump_speed_rpm"] == rpm(120)
    assert task["proving_point"]["bypass_area_mm2"] == 0.0
    assert task["proving_point"]["gauge_bar"] == near(748)


@case(7)
def test_larger_tip_is_met_by_speed(case_7):
    is_case_7(case_7.plan())


@case(7)
def test_the_command_says_the_same_of_the_larger_tip(case_7):
    is_case_7(case_7.command()[1])


@case(7)
def test_one_turn_a_minute_more(case_7):
    speed = case_7.plan()["setting"]["pump_speed_rpm"]
    assert case_7.stand(speed + 1.0)[0] - case_7.stand(speed)[0] == pytest.approx(13, abs=0.5)


@case(8)
@pytest.mark.parametrize(("bore", "push"), [(1.09, 148.3), (1.10, 151.0), (1.41, 248.2), (1.42, 251.7)])
def test_recoil_near_its_borders(tmp_path, bore, push):
    assert one_tip(tmp_path, bore).plan()["tools"][0]["recoil_n"] == near(push)


@case(11)
@pytest.mark.parametrize(("more", "gauge", "push"), [(1.05, 885, 124), (1.10, 840, 123), (1.20, 762, 121)])
def test_worn_tip_with_the_bypass_left(case_1, more, gauge, push):
    setting = case_1.plan()["setting"]
    worn = Condition(tip_area={"T": more})
    bar, state = case_1.stand(setting["pump_speed_rpm"], setting["bypass_area_mm2"], worn)
    assert bar == near(gauge)
    assert recoil_of(case_1, state) == near(push)


def is_case_14(task):
    setting = task["setting"]
    assert setting["pump_speed_rpm"] == rpm(144.0)
    assert setting["pump_pressure_bar"] == near(922)
    assert setting["pump_flow_l_min"] == near(35.7)
    assert setting["bypass"] == "closed"
    for branch, tool in enumerate(task["tools"], start=1):
        assert tool["branch"] == branch
        assert tool["nozzle_bar"] == near(900)
        assert tool["recoil_n"] == near(125)
    assert [item["branch"] for item in task["hose_run"]] == [0, 1, 2]


@pytest.fixture
def case_14(tmp_path):
    branches = 'branches = [{ hose_run = ["R8-20"], tool = "gun" }, { hose_run = ["R8-20"], tool = "gun" }]'
    return Job(tmp_path, tip("T", 1.0), gun(("T", 1, "0 deg")), run='["R12-40"]', task=branches)


@case(14)
def test_two_guns(case_14):
    is_case_14(case_14.plan())


@case(14)
def test_the_command_says_the_same_of_two_guns(case_14):
    is_case_14(case_14.command()[1])


@case(17)
def test_a_released_gun_still_passes_water(case_1):
    setting = case_1.plan()["setting"]
    bar, state = case_1.stand(setting["pump_speed_rpm"], setting["bypass_area_mm2"], dumping=(1,))
    assert bar == near(81)
    assert 60e3 * state.mass_flow / case_1.rig.water.reference_density == near(27.5)


@case(19)
def test_floor_head_at_the_drives_reach(tmp_path):
    head = gun(("T14", 2, "0 deg"), ("T12", 2, "0 deg"), kind="floor head", bore="12 mm")
    target = 'nozzle_pressure = "700 bar"'
    job = Job(tmp_path, tip("T14", 1.4), tip("T12", 1.2), head, run='["R12-80"]', target=target)
    task = job.plan()
    setting = task["setting"]
    assert setting["pump_flow_l_min"] == near(107.2)
    assert setting["pump_pressure_bar"] == near(868)
    assert setting["pump_speed_rpm"] == rpm(431.5)
    assert setting["bypass"] == "closed"
    assert setting["engine_speed_rpm"] == rpm(1541)
    assert task["power"]["engine_kw"] == near(224)
    engine = limit(task, "engine.power")
    assert engine["verdict"] == "look"
    assert engine["value"] == near(0.92, 0.01)
    assert engine["bound"] == 0.85


@case(21)
def test_large_tip_within_reach(tmp_path):
    job = Job(tmp_path, tip("T", 2.5), gun(("T", 1, "0 deg"), bore="12 mm"), run='["R12-60"]')
    setting = job.plan()["setting"]
    assert setting["pump_speed_rpm"] == rpm(452.5)
    assert setting["pump_pressure_bar"] == near(1036)
    assert setting["pump_flow_l_min"] == near(111.5)


@case(21)
def test_larger_tip_out_of_reach(tmp_path):
    job = Job(tmp_path, tip("T", 3.0), gun(("T", 1, "0 deg"), bore="12 mm"), run='["R12-60"]')
    code, task = job.command()
    assert code == 3
    assert task["verdict"] == "not_allowed"
    speed = limit(task, "pump.speed")
    assert speed["verdict"] == "not_allowed"
    assert speed["value"] == near(656)
    assert speed["bound"] == rpm(500)
    assert speed["remedy"]
    assert task["reaches"]["pump_speed_rpm"] == rpm(500)
    assert task["reaches"]["pump_pressure_bar"] == near(716)
    assert task["reaches"]["nozzle_bar"] == near(543)


@case(22)
@pytest.mark.parametrize(
    ("shape", "flow", "push"),
    [
        ('inlet = "sharp"', 12.9, 90),
        ("cd = 0.62", 12.3, 86),
        ('inlet = "rounded"', 17.8, 125),
        ('inlet = "cone"', 18.8, 132),
    ],
)
def test_inlet_of_the_tip(tmp_path, shape, flow, push):
    job = Job(tmp_path, f'[tips.T]\nbore = "1.0 mm"\n{shape}\n', gun(("T", 1, "0 deg")))
    [tool] = job.plan()["tools"]
    assert tool["flow_l_min"] == near(flow)
    assert tool["recoil_n"] == near(push)


@case(23)
@pytest.mark.parametrize(
    ("angle", "along", "across"),
    [("0 deg", 125, 0), ("45 deg", 88, 88), ("90 deg", 0, 125), ("150 deg", -108, 62), ("30 deg back", -108, 62)],
)
def test_angle_of_the_jet(tmp_path, angle, along, across):
    [tool] = one_tip(tmp_path, 1.0, angle=angle).plan()["tools"]
    assert tool["recoil_n"] == near(along, 1e-6)
    assert tool["recoil_side_n"] == near(across, 1e-6)


@case(24)
def test_hose_fed_nozzle_pulls_itself_forward(tmp_path):
    nozzle = gun(
        ("T08", 1, "0 deg"), ("T09", 4, "30 deg back"), kind="pipe nozzle", release='"none"', more='held_by = "hose"\n'
    )
    job = Job(tmp_path, tip("T08", 0.8), tip("T09", 0.9), nozzle, target='nozzle_pressure = "700 bar"')
    [tool] = job.plan()["tools"]
    assert tool["flow_l_min"] == near(61.2)
    assert tool["recoil_n"] == near(-211)
    assert tool["recoil_side_n"] == 0.0


@case(28)
@pytest.mark.parametrize(
    ("bar", "flow", "push"), [(100, 120, 282), (1000, 20, 147), (2500, 21.8, 251), (2800, 20, 243)]
)
def test_recoil_of_a_rated_tip(tmp_path, bar, flow, push):
    unit = '[unit.pump]\nflow_per_turn = "0.25 L"\nrating = "2900 bar"\nstart_speed = "60 rpm"\ntop_speed = "600 rpm"\n'
    rated = f'[tips.T]\nrated = "{flow} L/min at {bar} bar"\n'
    bores = ("6 mm", '["H"]') if bar > 100 else ("12 mm", '["R12-60"]')
    job = Job(
        tmp_path,
        unit,
        rated,
        gun(("T", 1, "0 deg"), bore=bores[0]),
        run=bores[1],
        target=f'nozzle_pressure = "{bar} bar"',
    )
    [tool] = job.plan()["tools"]
    assert tool["flow_l_min"] == near(flow)
    assert tool["recoil_n"] == near(push)
    assert tool["jets"][0]["bore_mm"] is None


@case(39)
def test_pounds_and_gallons(tmp_path):
    rated = '[tips.T]\nrated = "20 gpm at 10 ksi"\n'
    job = Job(
        tmp_path,
        rated,
        gun(("T", 1, "0 deg"), bore="0.5 in"),
        run='["R12-60"]',
        target='nozzle_pressure = "10000 psi"',
    )
    [tool] = job.plan()["tools"]
    assert tool["nozzle_bar"] == near(689.5)
    assert tool["flow_l_min"] == near(75.7)
    assert tool["recoil_n"] == near(465)
    assert tool["recoil_n"] / 4.4482216 == near(104.5)
    # 116.7 hp is pressure × flow; a jet of squeezed water carries a little less of it as speed
    assert tool["nozzle_bar"] * tool["flow_l_min"] / 600.0 / 0.74569987 == near(116.7)
    assert 0.97 < tool["jet_power_kw"] / 0.74569987 / 116.7 < 1.0


@case(41)
def test_tails_cost_pressure(tmp_path):
    plain = Job(tmp_path / "plain", tip("T", 1.4), gun(("T", 1, "0 deg")), run='["R8-20", "R8-20", "R8-20"]')
    tailed = Job(tmp_path / "tailed", tip("T", 1.4), gun(("T", 1, "0 deg")), run='["T8-20", "T8-20", "T8-20"]')
    without, with_tails = (job.plan()["setting"]["pump_pressure_bar"] for job in (plain, tailed))
    assert without == near(1018)
    assert with_tails == near(1029)
    assert with_tails - without == pytest.approx(11, abs=1.0)
    assert not math.isclose(without, with_tails)
