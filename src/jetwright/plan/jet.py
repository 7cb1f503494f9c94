"""What each jet does where it strikes: an estimate with its spread, and never a distance to a person."""

import math

from jetwright.parts.free_jet import jet_diameter, jet_force, jet_power, pressure_at, width_at
from jetwright.parts.nozzle import jet_flow, round_area
from jetwright.plan.answer import JetAtTarget, Span
from jetwright.plan.judging.recoil import FED, held_by
from jetwright.rig.check import CheckedRig, JetRow
from jetwright.rig.description import Free, Pipe, Tip, Tool
from jetwright.solve.steady import State
from jetwright.water.state import jet_speed_of

GOOD = 0.85
"""A tip that was measured counts as a good nozzle from this discharge coefficient on (our own convention)."""
STILL_CLEANS = 40e5
"""An estimate below it is told in no figure: skin is penetrated from about 40 bar and broken from about 7 bar (German
and American trade press, as quoted), and a low figure must not read as a safe place. [Pa]"""
FLAT = 1e-9
"""Sines and cosines below it are none."""
INLETS = {"rounded": True, "cone": True, "sharp": False}
"""Whether a tip of such an inlet is a good nozzle; any other is not known."""


def jets_at_target(rig: CheckedRig, state: State) -> tuple[JetAtTarget, ...]:
    """What one jet of each port row does at the task's stand-off; nothing where none is given, or none strikes. [-]

    A track that was measured beats the estimate of its width. What no longer cleans by the estimate has no figure.

    Parameters
    ----------
    rig : CheckedRig
        The rig of the task. [-]
    state : State
        As planned, every tool jetting. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.solve.steady import reach
    >>> rig = check(replace(JOB, task=(replace(JOB.task[0], jet=Free(0.1, "straight")),)))
    >>> [jet] = jets_at_target(rig, reach(rig, "nozzle_pressure", 850e5))  # 83 bores away: within the core
    >>> [f"{pressure / 1e5:.0f} bar" for pressure in jet.pressure], f"{jet.force:.0f} N"
    (['510 bar', '850 bar', '850 bar'], '170 N')

    References
    ----------
    `parts.free_jet`.
    """
    asked = rig.task.jet
    if asked is None:
        return ()
    jets = []
    for number, (branch, line) in enumerate(zip(rig.branches, state.lines, strict=True), start=1):
        speed = jet_speed_of(rig.water, line.nozzle + rig.water.ambient)
        surface = surface_of(branch.tool, rig.task.pipe)
        for row in branch.rows:
            path = path_of(asked.standoff, row.angle, surface)
            if path is None:
                continue
            flow = jet_flow(rig.water, row.area, line.nozzle)[0]
            straight = straight_of(asked, rig.job.tips[row.tip])
            pressure = pressure_at(line.nozzle, bore_of(row), path, straight)
            cleans = pressure[1] >= STILL_CLEANS
            jets.append(
                JetAtTarget(
                    branch=number,
                    tip=row.tip,
                    count=row.count,
                    standoff=asked.standoff,
                    power=jet_power(flow, speed),
                    force=jet_force(flow, speed),
                    pressure=pressure if cleans else None,
                    width=_track(row, asked, path, straight) if cleans or asked.footprint is not None else None,
                    estimated=asked.footprint is None,
                    ordinary=asked.approach == "straight" and not straight,
                )
            )
    return tuple(jets)


def straight_of(asked: Free, tip: Tip) -> bool | None:
    """Whether the water comes straight to a good nozzle, which alone keeps its pressure far; None: not known. [-]

    Parameters
    ----------
    asked : Free
        How the water comes to the tip. [-]
    tip : Tip
        Its inlet, or what was measured: that beats the inlet. [-]

    Examples
    --------
    >>> tips = Tip(0.001, "rounded"), Tip(0.001, "sharp"), Tip(0.001, "unknown"), Tip(0.001, cd=0.85)
    >>> [straight_of(Free(0.1, "straight"), tip) for tip in tips]
    [True, False, None, True]
    >>> [straight_of(Free(0.1, approach), tips[0]) for approach in ("bend", None)]
    [False, None]

    References
    ----------
    Our own convention: what Leach & Walker measured were good nozzles; a sharp edge makes a ragged jet whatever comes.
    """
    good = INLETS.get(tip.inlet or "") if tip.cd is None else tip.cd >= GOOD
    if asked.approach == "bend" or good is False:
        return False
    return good if asked.approach == "straight" else None


def surface_of(tool: Tool, pipe: Pipe | None = None) -> str:
    """Where what a tool cleans stands: "ahead", as the "wall" of a pipe about it, or all "around". [-]

    Parameters
    ----------
    tool : Tool
        The tool. [-]
    pipe : Pipe | None
        In which it works; a hose-fed tool and a flexible lance always work in one. [-]

    Examples
    --------
    >>> [surface_of(Tool(kind, 0.012, "none", ())) for kind in ("floor head", "pipe nozzle", "tank head")]
    ['ahead', 'wall', 'around']
    >>> surface_of(Tool("rotating head", 0.012, "none", ()), Pipe(0.3))
    'wall'

    References
    ----------
    Our own convention: a tank head turns each of its jets every way.
    """
    if tool.kind == "tank head":
        return "around"
    turned = pipe is not None and tool.kind == "rotating head"
    return "wall" if turned or tool.kind in FED or held_by(tool) == "hose" else "ahead"


def path_of(standoff: float, angle: float, surface: str) -> float | None:
    """How far a jet flies to the surface; None where it strikes nothing of it. [m]

    Ahead standoff/cos(angle), and from 90° on nothing; a wall about the tool standoff/sin(angle), and of a jet along
    the pipe what stands ahead. A skew, which lengthens it a little, is left out.

    Parameters
    ----------
    standoff : float
        Tip to surface, squarely. [m]
    angle : float
        Between the jet and the tool's forward axis. [rad]
    surface : str
        Of `surface_of`. [-]

    Examples
    --------
    >>> path_of(0.3, 0.0, "ahead"), path_of(0.3, math.radians(90.0), "ahead")
    (0.3, None)
    >>> f"{path_of(0.05, math.radians(150.0), 'wall'):.3f} m"
    '0.100 m'

    References
    ----------
    Geometry.
    """
    if surface == "around":
        return standoff
    ahead, aside = math.cos(angle), math.sin(angle)
    if surface == "wall" and aside > FLAT:
        return standoff / aside
    return standoff / ahead if ahead > FLAT else None


def bore_of(row: JetRow) -> float:
    """Bore of a row's tips; of a rated tip no more is known than how wide its jet is. [m]

    Parameters
    ----------
    row : JetRow
        The row of ports. [-]

    Examples
    --------
    >>> f"{1000 * bore_of(JetRow('R', 1, None, 0.25e-6 * math.pi, 0.0, 0.0)):.2f} mm"
    '1.00 mm'

    References
    ----------
    Geometry. A tip taken too small counts as farther away, which leaves less of its pressure.
    """
    return math.sqrt(4.0 * row.area / math.pi) if row.bore is None else row.bore


def _track(row: JetRow, asked: Free, path: float, straight: bool | None) -> Span:
    """Width of the track that one jet of a row cleans: as measured, else low, middle and high estimate."""
    if asked.footprint is not None:
        return (asked.footprint,) * 3
    bore = bore_of(row)
    diameter = jet_diameter(bore, row.area / round_area(bore))
    return width_at(diameter, bore, path, straight)
