"""Darcy friction factor of a hose bore, from laminar to rough turbulent flow."""

import math

from jetwright.kernel import kernel

LAMINAR_END = 2000.0
TURBULENT_START = 4000.0
LOG = 0.8685889638065037  # 2 / ln 10


@kernel
def colebrook_root(reynolds: float, relative_roughness: float, root: float) -> float:
    """1/√f of the Colebrook-White equation for turbulent flow. [-]

    Newton steps on x = -2 log10(ε/3.7d + 2.51 x/Re), which converge from any start near it; a start of 0 stands for
    Haaland's explicit form, itself within 1.5 %. What is left is below 1e-10.

    Parameters
    ----------
    reynolds : float
        4000 and above. [-]
    relative_roughness : float
        Roughness over bore, 0 to 0.05. [-]
    root : float
        1/√f of a neighbouring state to start from, or 0. [-]

    Examples
    --------
    >>> f"{colebrook_root(1e5, 1e-4, 0.0) ** -2:.10f}"
    '0.0185138661'

    References
    ----------
    C. F. Colebrook, Turbulent flow in pipes, J. Inst. Civ. Eng. 11 (1939); S. E. Haaland, J. Fluids Eng. 105 (1983) 89.
    """
    rough = relative_roughness / 3.7
    smooth = 2.51 / reynolds
    steps = 2
    if root <= 0.0:
        root = -0.7817 * math.log(rough**1.11 + 6.9 / reynolds)
        steps = 3
    for _step in range(steps):
        inside = rough + smooth * root
        root -= (root + LOG * math.log(inside)) / (1.0 + LOG * smooth / inside)
    return root


@kernel
def friction(reynolds: float, relative_roughness: float, root: float) -> tuple[float, float, float]:
    """Darcy friction factor f, its slope d ln f / d ln Re, and 1/√f to start a neighbour from. [-]

    64/Re up to 2000, Colebrook-White from 4000, linear in Re between the two ends.

    Parameters
    ----------
    reynolds : float
        Above 0. [-]
    relative_roughness : float
        Roughness over bore, 0 to 0.05. [-]
    root : float
        1/√f of a neighbouring state to start from, or 0. [-]

    Examples
    --------
    >>> friction(1600.0, 0.0, 0.0)[0]
    0.04
    >>> f"{friction(1e5, 0.0, 0.0)[0]:.5f}"
    '0.01799'

    References
    ----------
    Hagen-Poiseuille for laminar flow; `colebrook_root` for turbulent flow; the blend between is our own convention.
    """
    if reynolds >= TURBULENT_START:
        root = colebrook_root(reynolds, relative_roughness, root)
        share = LOG * (2.51 / reynolds) / (relative_roughness / 3.7 + 2.51 / reynolds * root)
        return 1.0 / (root * root), -2.0 * share / (1.0 + share), root
    if reynolds <= LAMINAR_END:
        return 64.0 / reynolds, -1.0, root
    root = colebrook_root(TURBULENT_START, relative_roughness, root)
    laminar = 64.0 / LAMINAR_END
    steepness = (1.0 / (root * root) - laminar) / (TURBULENT_START - LAMINAR_END)
    factor = laminar + steepness * (reynolds - LAMINAR_END)
    return factor, steepness * reynolds / factor, root
