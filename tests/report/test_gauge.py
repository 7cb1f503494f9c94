"""What a crew is asked to see on a gauge is never finer than half of a division, and a band is never narrowed."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright import units
from jetwright.report.gauge import gauge_band, gauge_down, gauge_figure, gauge_number, gauge_step, gauge_tolerance
from jetwright.rig.description import Gauge


def bar(number):
    return units.of(number, "bar")


BY_20 = Gauge(bar(1600.0), 1.6, bar(20.0))


@pytest.mark.parametrize(("division", "step"), [(20.0, 10.0), (50.0, 20.0), (10.0, 5.0), (25.0, 10.0), (1.0, 0.5)])
def test_the_step_is_the_largest_that_people_count_in_within_half_a_division(division, step):
    assert gauge_step(Gauge(bar(1600.0), 1.6, bar(division))) == pytest.approx(step)


def test_a_gauge_that_nobody_described_is_read_coarsely():
    assert gauge_number(bar(933.1), None) == "930"
    assert gauge_tolerance(bar(933.0), bar(924.0), bar(942.0), None) == "± 10 bar"
    assert gauge_number(bar(933.1), None, "us") == "13500"
    assert gauge_number(bar(933.1), Gauge(bar(1600.0))) == "930"  # 50 divisions of 32 bar
    assert gauge_number(bar(933.1), Gauge(bar(4000.0))) == "940"  # of 80 bar, read in steps of 20


def test_a_most_is_rounded_down_and_a_least_up():
    assert gauge_down(bar(1035.4), BY_20) == "1030 bar"
    assert gauge_down(bar(1030.0), BY_20) == gauge_down(bar(1030.0), BY_20, up=True) == "1030 bar"
    assert gauge_down(bar(0.4), BY_20, up=True) == "10 bar"


def test_a_gauge_in_bar_is_not_read_finer_in_psi():
    assert gauge_number(bar(933.1), BY_20, "us") == "13500"  # 13 533 psi, in steps of 100


def test_below_the_first_step_no_figure_is_claimed():
    assert gauge_figure(bar(3.0), BY_20) == "under 10 bar"
    assert gauge_band(0.0, bar(26.0), BY_20) == "under 30 bar"
    assert gauge_figure(0.0, BY_20) == "0 bar"


def test_a_tolerance_is_its_wider_side_rounded_up():
    assert gauge_tolerance(bar(933.0), bar(925.0), bar(954.0), BY_20) == "± 30 bar"
    assert gauge_tolerance(bar(933.0), bar(933.0), bar(933.0), BY_20) == "± 10 bar"


@given(st.floats(20.0, 3000.0), st.floats(0.5, 800.0), st.sampled_from([5.0, 10.0, 20.0, 50.0]))
def test_a_band_is_rounded_outward(low, wide, division):
    gauge = Gauge(bar(4000.0), 1.6, bar(division))
    first, last = map(float, gauge_band(bar(low), bar(low + wide), gauge).removesuffix(" bar").split(" to "))
    assert first <= low + 1e-3
    assert last >= low + wide - 1e-3
    assert all(math.isclose(end % gauge_step(gauge), 0.0, abs_tol=1e-9) for end in (first, last))
