"""Checks of jetwright.water.state against the releases, over all it promises to serve."""

import itertools

import CoolProp
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.water import state as water
from tests.water.iapws import RELEASE, VISCOSITY_RELEASE, isenthalpic, isentropic, state

DENSITY_PROMISE = 0.0005
VISCOSITY_PROMISE = 0.01
JET_SPEED_PROMISE = 0.001
ENTHALPY_RISE_PROMISE = 0.001
SOUND_SPEED_PROMISE = 0.001
VAPOUR_PRESSURE_PROMISE = 0.001
THROTTLING_PROMISE = 0.005
BULK_MODULUS_PROMISE = 0.02
PUMPED_TEMPERATURE_PROMISE = 0.01  # K

TEMPERATURES = [273.15 + t for t in (0.0, 0.4, 3.0, 7.0, 12.0, 20.0, 28.0, 37.0, 46.0, 53.0, 58.0, 60.0)]
PRESSURES = [
    1e6 * p for p in (0.08, 0.1, 0.3, 1.0, 3.0, 9.0, 25.0, 60.0, 100.0, 150.0, 210.0, 280.0, 340.0, 385.0, 401.0)
]
AMBIENTS = [0.08e6, 0.0905e6, 0.101325e6]
GRID = list(itertools.product(TEMPERATURES, PRESSURES))


@pytest.mark.published(RELEASE)
def test_density_is_the_release_within_its_promise():
    for temperature, pressure in GRID:
        expected = state(temperature, pressure).rhomass()
        assert water.density(temperature, pressure) == pytest.approx(expected, rel=DENSITY_PROMISE)


@pytest.mark.published(VISCOSITY_RELEASE)
def test_viscosity_is_the_release_within_its_promise():
    for temperature, pressure in GRID:
        expected = state(temperature, pressure).viscosity()
        assert water.viscosity(temperature, pressure) == pytest.approx(expected, rel=VISCOSITY_PROMISE)


@pytest.mark.published(RELEASE)
def test_sound_speed_is_the_release_within_its_promise():
    for temperature, pressure in GRID:
        expected = state(temperature, pressure).speed_sound()
        assert water.sound_speed(temperature, pressure) == pytest.approx(expected, rel=SOUND_SPEED_PROMISE)


@pytest.mark.published(RELEASE)
def test_bulk_moduli_are_the_release_within_their_promise():
    for temperature, pressure in GRID:
        there = state(temperature, pressure)
        isothermal = there.rhomass() * there.first_partial_deriv(CoolProp.iP, CoolProp.iDmass, CoolProp.iT)
        isentropic_ = there.rhomass() * there.speed_sound() ** 2
        assert water.bulk_modulus_isothermal(temperature, pressure) == pytest.approx(
            isothermal, rel=BULK_MODULUS_PROMISE
        )
        assert water.bulk_modulus_isentropic(temperature, pressure) == pytest.approx(
            isentropic_, rel=BULK_MODULUS_PROMISE
        )


@pytest.mark.published(RELEASE)
def test_vapour_pressure_is_the_release_within_its_promise():
    saturated = CoolProp.AbstractState("HEOS", "Water")
    for temperature in [273.16, *TEMPERATURES[1:]]:
        saturated.update(CoolProp.QT_INPUTS, 0.0, temperature)
        assert water.vapour_pressure(temperature) == pytest.approx(saturated.p(), rel=VAPOUR_PRESSURE_PROMISE)


@pytest.mark.published("IAPWS R6-95(2018), Table 8, saturation pressure at 275 K and 450 K (digits from memory)")
@pytest.mark.parametrize(("temperature", "expected"), [(275.0, 698.451167), (450.0, 0.932203564e6)])
def test_vapour_pressure_at_the_printed_points(temperature, expected):
    assert water.vapour_pressure(temperature) == pytest.approx(expected, rel=VAPOUR_PRESSURE_PROMISE)


@pytest.mark.published(RELEASE)
@pytest.mark.parametrize("ambient", AMBIENTS)
def test_jet_is_the_isentrope_within_its_promise(ambient):
    for temperature, pressure in GRID:
        if pressure > 1.01 * ambient:
            gained, density, _ = isentropic(temperature, pressure, ambient)
            speed = (-2.0 * gained) ** 0.5
            assert water.jet_speed(temperature, pressure, ambient) == pytest.approx(speed, rel=JET_SPEED_PROMISE)
            assert water.jet_density(temperature, pressure, ambient) == pytest.approx(density, rel=DENSITY_PROMISE)


@pytest.mark.published(RELEASE)
@pytest.mark.parametrize("gauge", [1e5, 2e5, 5e5, 10e5])
def test_slow_jet_is_the_isentrope_within_its_promise(gauge):
    for temperature, ambient in itertools.product(TEMPERATURES, AMBIENTS):
        gained, _, _ = isentropic(temperature, ambient + gauge, ambient)
        speed = (-2.0 * gained) ** 0.5
        assert water.jet_speed(temperature, ambient + gauge, ambient) == pytest.approx(speed, rel=JET_SPEED_PROMISE)


@pytest.mark.published(RELEASE)
def test_supercooled_cold_end_of_a_jet():
    gained, density, cold_end = isentropic(278.15, 300e6, 0.101325e6)
    assert cold_end < 273.15  # 5 °C at 3000 bar leaves below freezing
    assert water.jet_speed(278.15, 300e6, 0.101325e6) == pytest.approx((-2.0 * gained) ** 0.5, rel=JET_SPEED_PROMISE)
    assert water.jet_density(278.15, 300e6, 0.101325e6) == pytest.approx(density, rel=DENSITY_PROMISE)


@pytest.mark.parametrize("pressure", [-1e6, 0.0, 0.09e6, 0.101325e6])
def test_no_overpressure_no_jet(pressure):
    assert water.jet_speed(293.15, pressure, 0.101325e6) == 0.0
    assert water.jet_speed_of(water.water_at(293.15, 0.101325e6), pressure) == 0.0


@pytest.mark.published(RELEASE)
@pytest.mark.parametrize("inlet", [0.08e6, 0.101325e6, 0.45e6, 1.2e6, 5e6])
def test_ideal_pump_is_the_isentrope_within_its_promise(inlet):
    for temperature, outlet in GRID:
        if outlet > 1.05 * inlet:
            gained, _, reached = isentropic(temperature, inlet, outlet)
            rise = water.enthalpy_rise(temperature, inlet, outlet)
            assert rise == pytest.approx(gained, rel=ENTHALPY_RISE_PROMISE)
            pumped = water.pumped_temperature(temperature, inlet, outlet)
            assert pumped == pytest.approx(reached, abs=PUMPED_TEMPERATURE_PROMISE)


def test_pump_that_adds_no_pressure_adds_nothing():
    for temperature, inlet in itertools.product(TEMPERATURES, (0.08e6, 5e6)):
        assert water.enthalpy_rise(temperature, inlet, inlet) == 0.0
        # the way down to 1 bar and up again closes as well as the fit does
        pumped = water.pumped_temperature(temperature, inlet, inlet)
        assert pumped == pytest.approx(temperature, abs=PUMPED_TEMPERATURE_PROMISE)


@pytest.mark.published(RELEASE)
def test_throttle_is_constant_enthalpy_within_its_promise():
    for temperature, upstream in itertools.product([273.15, 288.0, 303.0, 320.0, 338.0, 355.0], PRESSURES[3:]):
        for downstream in (0.08e6, 0.1e6, 0.1 * upstream, 0.5 * upstream, 0.95 * upstream, 0.99 * upstream):
            rise = isenthalpic(temperature, upstream, downstream) - temperature
            given_ = water.throttled_temperature(temperature, upstream, downstream) - temperature
            assert given_ == pytest.approx(rise, rel=THROTTLING_PROMISE)


def test_no_throttle_no_rise():
    for temperature, pressure in itertools.product(TEMPERATURES, PRESSURES):
        assert water.throttled_temperature(temperature, pressure, pressure) == pytest.approx(temperature, abs=1e-9)


@given(st.floats(278.15, 332.0), st.floats(0.08e6, 401e6))
def test_warm_water_is_lighter_and_thinner(temperature, pressure):
    assert water.density(temperature + 1.0, pressure) < water.density(temperature, pressure)
    assert water.viscosity(temperature + 1.0, pressure) < water.viscosity(temperature, pressure)


@given(st.floats(273.15, 333.15), st.floats(0.08e6, 400e6))
def test_pressed_water_is_heavier_and_its_jet_faster(temperature, pressure):
    assert water.density(temperature, pressure + 1e5) > water.density(temperature, pressure)
    assert water.jet_speed(temperature, pressure + 1e5, 0.08e6) > water.jet_speed(temperature, pressure, 0.08e6)


@given(st.floats(273.15, 333.15), st.floats(0.08e6, 0.1014e6), st.floats(0.0, 600e6))
def test_water_at_a_temperature_is_the_water_of_that_temperature(temperature, ambient, pressure):
    here = water.water_at(temperature, ambient)
    alike = {
        water.density_of(here, pressure): water.density(temperature, pressure),
        water.volume_of(here, pressure): water.volume(temperature, pressure),
        water.viscosity_of(here, pressure): water.viscosity(temperature, pressure),
        1.0 / water.fluidity_of(here, pressure): water.viscosity(temperature, pressure),
        water.jet_speed_of(here, pressure): water.jet_speed(temperature, pressure, ambient),
        water.jet_density_of(here, pressure): water.jet_density(temperature, pressure, ambient),
        water.enthalpy_rise_of(here, 0.4e6, pressure): water.enthalpy_rise(temperature, 0.4e6, pressure),
        here.reference_density: water.density(temperature, ambient),
    }
    for collapsed, whole in alike.items():
        assert collapsed == pytest.approx(whole, rel=1e-12)


@given(st.floats(273.15, 333.15), st.floats(401e6, 1e10))
def test_nothing_blows_up_beyond_the_served_pressures(temperature, pressure):
    here = water.water_at(temperature, 0.1e6)
    assert water.density_of(here, pressure) == pytest.approx(water.density_of(here, 401e6))
    assert water.viscosity_of(here, pressure) == pytest.approx(water.viscosity_of(here, 401e6))
    assert water.jet_speed_of(here, pressure) >= water.jet_speed_of(here, 401e6)
