"""The published goals: every grade and pressure class, and what each edition calls a pressure."""

from dataclasses import dataclass

from jetwright.files.goals import goals
from jetwright.plan.goal import Term, terms_at
from jetwright.rig.goal import Goals


@dataclass(frozen=True, slots=True)
class Published:
    """The grades and classes; the pressure that was asked about [Pa], and what each edition calls it."""

    goals: Goals
    pressure: float | None = None
    terms: tuple[Term, ...] = ()


def published_goals(pressure: float | None = None) -> Published:
    """Every grade and pressure class, and what each edition calls a pressure. [-]

    Parameters
    ----------
    pressure : float or None
        Right behind the tips; None: nothing was asked about. [Pa]

    Examples
    --------
    >>> published_goals(950e5).terms[0]
    ('SSPC-SP 12/NACE No. 5 (1995)', 'HP WJ', True)

    References
    ----------
    docs/goals.md.
    """
    return Published(goals(), pressure, () if pressure is None else terms_at(goals(), pressure))
