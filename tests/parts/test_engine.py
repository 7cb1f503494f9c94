"""Checks of jetwright.parts.engine and drive."""

import pytest

from jetwright.parts.drive import engine_power
from jetwright.parts.engine import ambient_pressure, derating, full_load, lowest_speed

CURVE = ((25.0, 235e3), (30.0, 290e3), (35.0, 310e3))


@pytest.mark.published("ISO 2533:1975, standard atmosphere (printed values, from memory)")
@pytest.mark.parametrize(
    ("altitude", "pressure"),
    [(-500.0, 107478.0), (0.0, 101325.0), (500.0, 95461.0), (1000.0, 89874.0), (1900.0, 80500.0)],
)
def test_air_pressure_at_an_altitude(altitude, pressure):
    assert ambient_pressure(altitude) == pytest.approx(pressure, rel=2e-4)


# By hand, with k = (ambient/100 kPa)^0.7·(298.15 K/air)^1.2 and the factor k - 0.175(1 - k)
BY_HAND = [
    (100e3, 298.15, 1.0),
    (90e3, 298.15, 0.9289 - 0.175 * 0.0711),  # 0.9^0.7 = 0.9289
    (100e3, 313.15, 0.9428 - 0.175 * 0.0572),  # (298.15/313.15)^1.2 = 0.9428
    (80e3, 313.15, 0.8554 * 0.9428 - 0.175 * (1.0 - 0.8554 * 0.9428)),  # 0.8^0.7 = 0.8554
    (101325.0, 253.15, 1.0),  # never above 1
]


@pytest.mark.published("form of ISO 3046-1 for turbocharged, charge-cooled engines (from memory), worked by hand")
@pytest.mark.parametrize(("ambient", "air", "factor"), BY_HAND)
def test_derating_by_hand(ambient, air, factor):
    assert derating(ambient, air) == pytest.approx(factor, abs=2e-4)


def test_curve_is_straight_between_its_points_and_flat_beyond():
    assert [full_load(CURVE, speed) for speed in (20.0, 25.0, 27.5, 30.0, 32.5, 35.0, 40.0)] == pytest.approx(
        [235e3, 235e3, 262.5e3, 290e3, 300e3, 310e3, 310e3]
    )


@pytest.mark.parametrize(
    ("factor", "power", "at_least", "speed"),
    [
        (1.0, 100e3, 0.0, 25.0),  # the first point covers it
        (1.0, 262.5e3, 0.0, 27.5),
        (0.9, 0.9 * 300e3, 0.0, 32.5),  # derated
        (1.0, 100e3, 26.0, 26.0),  # the drive's reach decides
        (1.0, 300e3, 26.0, 32.5),  # the power decides
        (1.0, 310e3, 0.0, 35.0),
        (1.0, 311e3, 0.0, None),
        (1.0, 100e3, 35.1, None),
    ],
)
def test_lowest_engine_speed(factor, power, at_least, speed):
    found = lowest_speed(CURVE, factor, power, at_least)
    assert found == (None if speed is None else pytest.approx(speed))


def test_lowest_speed_passes_over_a_dip():
    """A curve that falls again: the first speed that covers the power, not the last."""
    dipped = ((20.0, 100e3), (25.0, 200e3), (30.0, 150e3), (35.0, 250e3))
    assert lowest_speed(dipped, 1.0, 180e3, 0.0) == pytest.approx(24.0)
    assert lowest_speed(dipped, 1.0, 180e3, 28.0) == pytest.approx(31.5)
    assert lowest_speed(dipped, 1.0, 180e3, 26.0) == pytest.approx(26.0)


def test_auxiliaries_come_on_top_of_the_drive_s_loss():
    assert engine_power(80e3, 0.8, 9e3) == pytest.approx(109e3)
