"""Darcy friction factor of a hose bore, from laminar to rough turbulent flow."""

import math

from jetwright.kernel import kernel

LAMINAR_END = 2000.0
TURBULENT_START = 4000.0
LOG = 0.8685889638065037  # 2 / ln 10


@kernel
def colebrook_root(reynolds: float, relative_roughness: float) -> float:
    """1/√f of the Colebrook-White equation for turbulent flow. [-]

    x = -2 log10(ε/3.7d + 2.51 x/Re): one substitution from a middling x, then two of Halley's steps, which leave
    less than 1e-10 of f over Re 4000 to 1e8 and ε/d 0 to 0.05.

    Parameters
    ----------
    reynolds : float
        4000 and above. [-]
    relative_roughness : float
        Roughness over bore, 0 to 0.05. [-]

    Examples
    --------
    >>> f"{colebrook_root(1e5, 1e-4) ** -2:.10f}"
    '0.0185138661'

    References
    ----------
    C. F. Colebrook, Turbulent flow in pipes, J. Inst. Civ. Eng. 11 (1939).
    """
    rough = relative_roughness / 3.7
    smooth = 2.51 / reynolds
    root = -LOG * math.log(rough + 7.5 * smooth)
    for _step in range(2):
        inside = rough + smooth * root
        share = LOG * smooth / inside
        excess = root + LOG * math.log(inside)
        slope = 1.0 + share
        root -= 2.0 * excess * slope / (2.0 * slope * slope + excess * share * share / LOG)
    return root


@kernel
def friction(reynolds: float, relative_roughness: float) -> tuple[float, float]:
    """Darcy friction factor f and its slope d ln f / d ln Re. [-, -]

    64/Re up to 2000, Colebrook-White from 4000, linear in Re between the two ends.

    Parameters
    ----------
    reynolds : float
        Above 0. [-]
    relative_roughness : float
        Roughness over bore, 0 to 0.05. [-]

    Examples
    --------
    >>> friction(1600.0, 0.0)[0]
    0.04
    >>> f"{friction(1e5, 0.0)[0]:.5f}"
    '0.01799'

    References
    ----------
    Hagen-Poiseuille for laminar flow; `colebrook_root` for turbulent flow; the blend between is our own convention.
    """
    if reynolds >= TURBULENT_START:
        root = colebrook_root(reynolds, relative_roughness)
        share = LOG * 2.51 / (relative_roughness / 3.7 * reynolds + 2.51 * root)
        return 1.0 / (root * root), -2.0 * share / (1.0 + share)
    if reynolds <= LAMINAR_END:
        return 64.0 / reynolds, -1.0
    root = colebrook_root(TURBULENT_START, relative_roughness)
    laminar = 64.0 / LAMINAR_END
    steepness = (1.0 / (root * root) - laminar) / (TURBULENT_START - LAMINAR_END)
    factor = laminar + steepness * (reynolds - LAMINAR_END)
    return factor, steepness * reynolds / factor


@kernel
def friction_near(reynolds: float, relative_roughness: float, near: float, factor: float, slope: float) -> float:
    """Darcy friction factor at a Reynolds number close to one where it is known. [-]

    Along the power law f ~ Re^slope to second order; within a tenth of the ends of the blend, where the slope jumps,
    from scratch. For the 2 % by which viscosity varies along a hose that is good to 2e-5 of f.

    Parameters
    ----------
    reynolds : float
        Above 0. [-]
    relative_roughness : float
        Roughness over bore, 0 to 0.05. [-]
    near : float
        Reynolds number where f is known. [-]
    factor : float
        f there. [-]
    slope : float
        d ln f / d ln Re there. [-]

    Examples
    --------
    >>> f"{friction_near(1.02e5, 1e-4, 1e5, *friction(1e5, 1e-4)) / friction(1.02e5, 1e-4)[0] - 1:.0e}"
    '-6e-06'

    References
    ----------
    Taylor's series of a power law.
    """
    if 0.9 * LAMINAR_END < reynolds < 1.1 * TURBULENT_START:
        return friction(reynolds, relative_roughness)[0]
    step = reynolds / near - 1.0
    return factor * (1.0 + slope * step * (1.0 + 0.5 * (slope - 1.0) * step))
