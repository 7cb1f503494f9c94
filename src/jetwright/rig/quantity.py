"""What a number in a rig description means; the doors read it, the core never does."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Quantity:
    """What one number means. [-]

    Parameters
    ----------
    kind : str
        A row of `units.KINDS`: "pressure", "flow", "length", ... or "ratio" for a bare number. [-]
    says : str
        What it is, in a few words, for schemas, forms and tables (passed through gettext there). [-]
    above : float | None
        The value must be larger than this. [SI]
    at_least : float | None
        The value must be this or larger. [SI]
    at_most : float | None
        The value must be this or smaller. [SI]
    shown : str
        The unit it is shown in when nobody chose one; "" for a bare number. [-]

    Examples
    --------
    >>> Quantity("pressure", "Rating", above=0.0, shown="bar").kind
    'pressure'

    References
    ----------
    Our own convention.
    """

    kind: str
    says: str
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    shown: str = ""
