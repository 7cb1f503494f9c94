"""Each kernel of the room is one text that gives the same, plain and compiled."""

import dataclasses
import inspect

import pytest

from jetwright.kernel import KERNELS
from jetwright.water import fits, state

numba = pytest.importorskip("numba")
np = pytest.importorskip("numpy")

ROOM = [function for function in KERNELS if function.__module__ in (fits.__name__, state.__name__)]
TEMPERATURES = (273.15, 281.3, 300.0, 317.2, 333.15)
PRESSURES = (0.08e6, 0.3e6, 7e6, 63e6, 180e6, 401e6, 500e6)
RECORD = np.dtype([(field.name, np.float64) for field in dataclasses.fields(state.Water)])


def arguments(function):
    """Every combination of what the function's parameters may be."""
    names = list(inspect.signature(function).parameters)
    if function is state.series:
        yield 0.7, 1.0, -2.0, 3.0, 0.4, -0.5, 0.06
        return
    for temperature in TEMPERATURES:
        for pressure in PRESSURES:
            given = {
                "temperature": temperature,
                "pressure": pressure,
                "upstream": pressure,
                "downstream": 0.4 * pressure,
                "inlet": 0.1e6 + 1e-3 * pressure,
                "outlet": pressure,
                "ambient": 0.0905e6,
                "water": state.water_at(temperature, 0.0905e6),
            }
            yield tuple(given[name] for name in names)


def as_record(value):
    if isinstance(value, state.Water):
        return np.array([dataclasses.astuple(value)], dtype=RECORD)[0]
    return value


@pytest.fixture(scope="module")
def compiled():
    """Each kernel by name, compiled as it stands, callees too."""
    for function in ROOM:
        numba.extending.register_jitable(error_model="numpy")(function)
    return {function.__name__: numba.njit(error_model="numpy")(function) for function in ROOM}


@pytest.mark.parametrize("function", ROOM, ids=lambda function: function.__name__)
def test_compiled_gives_the_same(function, compiled):
    for given in arguments(function):
        plain = function(*given)
        fast = compiled[function.__name__](*map(as_record, given))
        assert fast == pytest.approx(plain, rel=1e-12)


def test_every_kernel_of_the_room_is_here():
    named = {f.__name__ for f in vars(state).values() if inspect.isfunction(f) and f.__module__ == state.__name__}
    assert named - {"water_at"} <= {function.__name__ for function in ROOM}
