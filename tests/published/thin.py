"""Our jets where they are those of the textbook: so little pressure that water is not squeezed."""

from scipy.optimize import brentq

from jetwright.units import of
from jetwright.water.state import density, water_at

AMBIENT = 101325.0
THIN = of(1.0, "psi")  # squeezes water by 3 millionths
POUND_PER_CUBIC_FOOT = of(1.0, "lb") / of(1.0, "ft") ** 3


def water_of(reference_density):
    """Water at the temperature at which it has a density."""
    return water_at(brentq(lambda t: density(t, AMBIENT) - reference_density, 278.15, 333.15, xtol=1e-10), AMBIENT)
