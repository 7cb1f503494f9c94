"""Errors cross from one process to another whole."""

import pickle

import pytest

from jetwright.errors import FileError, NotServedError, Problem, RigError, UnitError

PROBLEM = Problem(("tips", "R10", "bore"), "unknown_name", "R01", {"known": ["R10"]}, "job.toml", 7)


@pytest.mark.parametrize(
    "error",
    [
        RigError([PROBLEM]),
        FileError([PROBLEM, Problem((), "not_found")]),
        UnitError("unknown_unit", "9 barr", unit="barr", nearest="bar"),
        NotServedError("too_high", pressure=4.2e8),
    ],
    ids=lambda error: type(error).__name__,
)
def test_an_error_is_the_same_on_the_other_side(error):
    there = pickle.loads(pickle.dumps(error))
    assert (type(there), str(there), vars(there)) == (type(error), str(error), vars(error))
