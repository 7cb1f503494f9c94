"""How long a call takes in plain Python."""

import timeit

import pytest

from jetwright.water import state as water

PROMISED = 3e-6  # s
HERE = water.water_at(293.15, 0.1e6)

CALLS = {
    water.density: (293.15, 90e6),
    water.viscosity: (293.15, 90e6),
    water.sound_speed: (293.15, 90e6),
    water.vapour_pressure: (293.15,),
    water.bulk_modulus_isothermal: (293.15, 90e6),
    water.bulk_modulus_isentropic: (293.15, 90e6),
    water.jet_speed: (293.15, 90e6, 0.1e6),
    water.jet_density: (293.15, 90e6, 0.1e6),
    water.enthalpy_rise: (293.15, 0.4e6, 90e6),
    water.pumped_temperature: (293.15, 0.4e6, 90e6),
    water.throttled_temperature: (293.15, 90e6, 0.1e6),
    water.volume_of: (HERE, 90e6),
    water.fluidity_of: (HERE, 90e6),
    water.jet_speed_of: (HERE, 90e6),
    water.jet_density_of: (HERE, 90e6),
    water.enthalpy_rise_of: (HERE, 0.4e6, 90e6),
}


@pytest.mark.parametrize("function", CALLS, ids=lambda function: function.__name__)
def test_call_takes_no_longer_than_promised(function):
    arguments = CALLS[function]
    best = min(timeit.repeat(lambda: function(*arguments), number=500, repeat=15)) / 500
    print(f"{function.__name__} {1e6 * best:.2f} µs")
    assert best < 2.0 * PROMISED  # twice: a machine that runs tests may be busy
