"""Checks of jetwright.parts.friction: our explicit Colebrook against its root and against a library."""

import itertools
import math

import fluids
import pytest
from scipy.optimize import brentq

from jetwright.parts.friction import LAMINAR_END, TURBULENT_START, colebrook_root, friction, friction_near

REYNOLDS = [4e3 * 25e3 ** (i / 24) for i in range(25)]  # 4e3 to 1e8
ROUGHNESS = [0.0, 1e-8, 1e-6, 1e-5, 1e-4, 3e-4, 1e-3, 3e-3, 1e-2, 0.03, 0.05]
GRID = list(itertools.product(REYNOLDS, ROUGHNESS))


@pytest.mark.published("Colebrook's equation, by Brent's method in SciPy")
def test_explicit_colebrook_solves_colebrook():
    for reynolds, relative in GRID:

        def left(x, reynolds=reynolds, relative=relative):
            return x + 2.0 * math.log10(relative / 3.7 + 2.51 * x / reynolds)

        exact = brentq(left, 1.0, 20.0, xtol=1e-14, rtol=1e-15) ** -2
        assert colebrook_root(reynolds, relative) ** -2 == pytest.approx(exact, rel=1e-9), (reynolds, relative)


@pytest.mark.published(f"fluids {fluids.__version__}, Colebrook")
def test_turbulent_factor_is_the_library_s():
    for reynolds, relative in GRID:
        assert friction(reynolds, relative)[0] == pytest.approx(fluids.friction.Colebrook(reynolds, relative), rel=1e-9)


@pytest.mark.published(f"fluids {fluids.__version__}, friction_laminar (Hagen-Poiseuille)")
@pytest.mark.parametrize("reynolds", [1.0, 64.0, 1600.0, 2000.0])
def test_laminar_factor_does_not_know_the_wall(reynolds):
    for relative in ROUGHNESS:
        factor, slope = friction(reynolds, relative)
        assert factor == pytest.approx(fluids.friction.friction_laminar(reynolds), rel=1e-14)
        assert slope == -1.0


@pytest.mark.parametrize("relative", ROUGHNESS)
def test_blend_is_a_straight_line_between_both_ends(relative):
    """Our own convention, docs/job-file.md."""
    laminar, turbulent = 64.0 / 2000.0, fluids.friction.Colebrook(4000.0, relative)
    for share in (0.0, 0.1, 0.5, 0.9, 1.0):
        expected = laminar + share * (turbulent - laminar)
        assert friction(2000.0 + 2000.0 * share, relative)[0] == pytest.approx(expected, rel=1e-9)
    for end in (LAMINAR_END, TURBULENT_START):
        assert friction(end * (1.0 - 1e-12), relative)[0] == pytest.approx(friction(end, relative)[0], rel=1e-9)


@pytest.mark.parametrize("reynolds", [500.0, 1999.0, 2001.0, 3000.0, 3999.0, 4001.0, 1e4, 1e6, 1e8])
@pytest.mark.parametrize("relative", [0.0, 1e-4, 0.05])
def test_slope_is_the_derivative(reynolds, relative):
    """By central differences."""
    step = 1e-5
    ahead, behind = (math.log(friction(reynolds * factor, relative)[0]) for factor in (1.0 + step, 1.0 - step))
    assert friction(reynolds, relative)[1] == pytest.approx((ahead - behind) / (2.0 * step), rel=1e-4, abs=1e-6)


@pytest.mark.parametrize("relative", [0.0, 1e-4, 0.02])
@pytest.mark.parametrize("reynolds", [300.0, 1990.0, 2500.0, 3990.0, 4010.0, 4500.0, 1e5, 1e7])
@pytest.mark.parametrize("change", [-0.02, -0.005, 0.005, 0.02])
def test_factor_nearby(reynolds, relative, change):
    """Against the factor from scratch; what is left is the change of the slope, as the function says."""
    there = reynolds * (1.0 + change)
    near = friction_near(there, relative, reynolds, *friction(reynolds, relative))
    assert near == pytest.approx(friction(there, relative)[0], rel=2e-5)
