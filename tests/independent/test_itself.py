"""The second solution against the library it reads and against itself: a judge has to be straight."""

import tomllib

import pytest

from .rig import friction_factor, plan, settle
from .rigs import random_job
from .water import ambient_pressure, at, end_of_isentrope, supercooled, water


@pytest.mark.published("CoolProp 8, IAPWS-95 (R6-95) and viscosity R12-08, called directly between the knots")
@pytest.mark.parametrize("temperature", [275.2, 291.15, 310.0, 328.15])
def test_the_tables_hold_the_library(temperature: float) -> None:
    ambient = ambient_pressure(900.0)
    w = water(temperature, ambient)
    for gauge in (0.3e5, 1.7e5, 6e5, 33e5, 111e5, 933.1e5, 1017e5, 2222e5, 3333e5, 3999e5):
        state = at(ambient + gauge, temperature)
        assert w.density(gauge) == pytest.approx(state.rhomass(), rel=1e-8)
        assert w.viscosity(gauge) == pytest.approx(state.viscosity(), rel=1e-6)
        step, density = end_of_isentrope(ambient + gauge, temperature, ambient)
        assert w.jet_speed(gauge) == pytest.approx((-2.0 * step) ** 0.5, rel=1e-7)
        assert w.jet_flux(gauge) == pytest.approx(density * (-2.0 * step) ** 0.5, rel=1e-7)


@pytest.mark.published("CoolProp 8, its own P-T flash where that still works")
@pytest.mark.parametrize("temperature", [273.3, 280.0, 330.0])
def test_the_liquid_by_density_is_the_flash(temperature: float) -> None:
    for pressure in (85e3, 101325.0, 2e8):
        density, entropy = at(pressure, temperature).rhomass(), at(pressure, temperature).smass()
        assert supercooled(pressure, temperature).rhomass() == pytest.approx(density, rel=1e-10)
        assert supercooled(pressure, temperature).smass() == pytest.approx(entropy, abs=1e-6)


@pytest.mark.published("CoolProp 8, its own P-S flash where the cold end is still a stable liquid")
def test_the_isentrope_is_the_flash() -> None:
    import CoolProp

    flash = CoolProp.AbstractState("HEOS", "Water")
    begin = at(200e6, 313.15)
    enthalpy, entropy = begin.hmass(), begin.smass()
    flash.update(CoolProp.PSmass_INPUTS, 101325.0, entropy)
    step, density = end_of_isentrope(200e6, 313.15, 101325.0)
    assert step == pytest.approx(flash.hmass() - enthalpy, rel=1e-9)
    assert density == pytest.approx(flash.rhomass(), rel=1e-9)


@pytest.mark.published("fluids 1.3, Colebrook 1e5 at 1e-4: 0.01851386607747165")
def test_colebrook() -> None:
    assert friction_factor(1e5, 1e-4) == pytest.approx(0.01851386607747165, rel=1e-10)
    assert friction_factor(1e5, 0.0) == pytest.approx(0.01799, abs=5e-6)
    assert friction_factor(2000.0, 1e-3) == pytest.approx(0.032)
    assert friction_factor(3000.0, 1e-3) == pytest.approx((0.032 + friction_factor(4000.0, 1e-3)) / 2.0)


@pytest.mark.parametrize("seed", range(12))
def test_a_setting_settles_where_it_was_planned(seed: int) -> None:
    """Forward (speed and opening given) and backward (target given) meet."""
    job = tomllib.loads(random_job(seed))
    planned = plan(job)
    setting = planned["setting"]
    state = settle(job, 0, setting["pump_speed_rpm"] / 60.0, setting["bypass_area_mm2"] * 1e-6)
    assert state["setting"]["pump_pressure_bar"] == pytest.approx(setting["pump_pressure_bar"], rel=1e-7)
    for one, other in zip(state["tools"], planned["tools"], strict=True):
        assert one["nozzle_bar"] == pytest.approx(other["nozzle_bar"], rel=1e-7)
        assert one["flow_l_min"] == pytest.approx(other["flow_l_min"], rel=1e-7)
