"""A rig whose tips have inlets nobody knows, at the ends of what those may be."""

import math
from dataclasses import replace

from jetwright.parts.nozzle import UNKNOWN_INLET, round_area
from jetwright.rig.check import CheckedBranch, CheckedRig, JetRow


def unknown_tips(rig: CheckedRig) -> tuple[str, ...]:
    """Tips in use whose inlet nobody knows and whose discharge nobody measured, in the order of the ports. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.description import Tip
    >>> from jetwright.rig.example import JOB
    >>> unknown_tips(check(JOB)), unknown_tips(check(replace(JOB, tips={"R12": Tip(1.2e-3, "unknown")})))
    ((), ('R12',))

    References
    ----------
    docs/tolerance.md.
    """
    tips = rig.job.tips
    names = dict.fromkeys(row.tip for branch in rig.branches for row in branch.rows)
    return tuple(name for name in names if tips[name].inlet == "unknown" and tips[name].cd is None)


def out_at_most(rig: CheckedRig, number: int) -> tuple[CheckedRig, ...]:
    """The rig where its unknown inlets push one tool back the hardest; none where every inlet is known. [-]

    Of that tool the jets ahead are at their high end and those that point back at their low one, row by row, also where
    both rows have the same tip. The other tools' inlets are at one end and at the other: they decide what is left.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    number : int
        Branch, from 1. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.description import Port, Tip
    >>> from jetwright.rig.example import JOB
    >>> mole = replace(JOB.tools["gun"], ports=(Port("R12"), Port("R12", 4, math.radians(150.0))))
    >>> rig = check(replace(JOB, tools={"gun": mole}, tips={"R12": Tip(1.2e-3, "unknown")}))
    >>> [f"{row.area * 1e6:.3f} mm2" for row in out_at_most(rig, 1)[0].branches[0].rows]  # 1.131 mm2 × 0.97 and 0.60
    ['1.097 mm2', '0.679 mm2']

    References
    ----------
    docs/tolerance.md.
    """
    return _at_ends(rig, number, *reversed(UNKNOWN_INLET))


def in_at_most(rig: CheckedRig, number: int) -> tuple[CheckedRig, ...]:
    """The rig where its unknown inlets pull one tool forward the hardest; none where every inlet is known. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    number : int
        Branch, from 1. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> in_at_most(check(JOB), 1)
    ()

    References
    ----------
    `out_at_most` the other way round.
    """
    return _at_ends(rig, number, *UNKNOWN_INLET)


def both_ways(branch: CheckedBranch) -> bool:
    """Whether a tool has jets that push it back and jets that pull it forward. [-]

    Parameters
    ----------
    branch : CheckedBranch
        The tool. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> both_ways(check(JOB).branches[0])
    False

    References
    ----------
    Geometry.
    """
    return {_ahead(row) for row in branch.rows} == {True, False}


def _ahead(row: JetRow) -> bool:
    return math.cos(row.angle) * math.cos(row.skew) > 0.0


def _at_ends(rig: CheckedRig, number: int, ahead: float, back: float) -> tuple[CheckedRig, ...]:
    """Discharge coefficients of the tool's unknown jets ahead and back; the others' at either end."""
    unknown = unknown_tips(rig)
    if not unknown:
        return ()
    others = {row.tip for at, branch in enumerate(rig.branches, start=1) if at != number for row in branch.rows}

    def row_at(row: JetRow, cd: float) -> JetRow:
        return row if row.tip not in unknown or row.bore is None else replace(row, area=cd * round_area(row.bore))

    def rig_at(elsewhere: float) -> CheckedRig:
        branches = tuple(
            replace(
                branch,
                rows=tuple(
                    row_at(row, elsewhere if at != number else ahead if _ahead(row) else back) for row in branch.rows
                ),
            )
            for at, branch in enumerate(rig.branches, start=1)
        )
        return replace(rig, branches=branches)

    ends = UNKNOWN_INLET if others.intersection(unknown) else UNKNOWN_INLET[:1]
    return tuple(rig_at(elsewhere) for elsewhere in ends)
