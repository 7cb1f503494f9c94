"""Checks of jetwright.parts.pump against its closed forms, and of what measured points say of it."""

import pytest

from jetwright.parts.pump import Pump, delivered_per_turn, fit_slip, shaft_power, swept_volume, volumetric_efficiency
from jetwright.water.state import density, enthalpy_rise, water_at

AMBIENT = 100845.0
WATER = water_at(291.15, AMBIENT)
SWEPT = swept_volume(3, 0.032, 0.110)
PUMP = Pump(SWEPT, 0.02, 1.2, 0.90)


def reading(pump, speed, pressure):
    """What a flow meter on the suction side would show of a pump."""
    return speed, pressure, speed * delivered_per_turn(WATER, pump, pressure) / WATER.reference_density


@pytest.mark.parametrize("pressure", [0.0, 600e5, 1100e5, 2800e5])
def test_delivery_is_the_equation_of_the_job_file(pressure):
    """docs/job-file.md: ρ0·swept·speed·(1 − slip − clearance·(ρ(supply, p)/ρ0 − 1))."""
    reference = density(291.15, AMBIENT)
    share = 1.0 - 0.02 - 1.2 * (density(291.15, AMBIENT + pressure) / reference - 1.0)
    assert volumetric_efficiency(WATER, PUMP, pressure) == pytest.approx(share, rel=1e-12)
    assert delivered_per_turn(WATER, PUMP, pressure) == pytest.approx(reference * SWEPT * share, rel=1e-12)


def test_power_is_the_equation_of_the_job_file():
    """Hydraulic: delivered·Δh; shaft: (delivered + slip)·Δh/efficiency."""
    rise = enthalpy_rise(291.15, 3.5e5 + AMBIENT, 933e5 + AMBIENT)
    delivered = 2.0 * delivered_per_turn(WATER, PUMP, 933e5)
    slipped = 2.0 * WATER.reference_density * SWEPT * 0.02
    hydraulic, shaft = shaft_power(WATER, PUMP, 2.0, 3.5e5, 933e5)
    assert hydraulic == pytest.approx(delivered * rise, rel=1e-9)
    assert shaft == pytest.approx((delivered + slipped) * rise / 0.90, rel=1e-9)


def test_no_power_without_a_rise():
    assert shaft_power(WATER, PUMP, 2.0, 3.5e5, 3.5e5) == (0.0, 0.0)


@pytest.mark.parametrize(("slip", "clearance"), [(0.02, 1.2), (0.0, 0.0), (0.06, 2.5), (0.03, 0.8)])
def test_slip_and_clearance_come_back_from_the_readings_they_made(slip, clearance):
    pump = Pump(SWEPT, slip, clearance, 0.90)
    points = tuple(reading(pump, speed, pressure) for speed, pressure in ((5.0, 300e5), (4.0, 900e5), (6.0, 1050e5)))
    assert fit_slip(WATER, SWEPT, 1.2, points[:2]) == pytest.approx((slip, clearance), abs=1e-9)
    assert fit_slip(WATER, SWEPT, 1.2, points) == pytest.approx((slip, clearance), abs=1e-9)
    found, kept = fit_slip(WATER, SWEPT, clearance, points[:1])
    assert (found, kept) == (pytest.approx(slip, abs=1e-12), clearance)


def test_readings_at_one_pressure_leave_the_clearance_taken():
    pump = Pump(SWEPT, 0.05, 2.0, 0.90)
    points = (reading(pump, 5.0, 900e5), reading(pump, 6.0, 900e5))
    slip, clearance = fit_slip(WATER, SWEPT, 1.2, points)
    assert clearance == 1.2
    fitted = Pump(SWEPT, slip, clearance, 0.90)
    assert delivered_per_turn(WATER, fitted, 900e5) == pytest.approx(delivered_per_turn(WATER, pump, 900e5))
