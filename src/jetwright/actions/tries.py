"""What of a crew's own stands for a cure: another hose, another tip, another tool, a lower target."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from jetwright.actions.box import tips_that_fit
from jetwright.errors import FileError
from jetwright.files.job import JobFile
from jetwright.limits.limit import Cure
from jetwright.rig.description import Hose, Task, Tool

NEARLY = 1e-3
"""A bore or a rating that differs by less, as a share, is the same. [-]"""


@dataclass(frozen=True, slots=True)
class Try:
    """A change of a task by what the crew owns; None: it stays. target [Pa or m³/s]; tips: one for each row of ports.

    new, old: names of what comes in place of what; "" where it is the target.
    """

    target: float | None = None
    run: tuple[str, ...] | None = None
    tool: str | None = None
    tips: tuple[str, ...] | None = None
    new: str = ""
    old: str = ""


def try_for(read: JobFile, place: int, cure: Cure) -> Try | None:
    """What the crew may try for a cure with what it owns; None where the cure changes more than the task's rig. [-]

    What is tried is not what was solved: the nearest piece that is owned. It is to be planned again.

    Parameters
    ----------
    read : JobFile
        The job, with everything the crew has in use. [-]
    place : int
        Of the task, from 0. [-]
    cure : Cure
        A change that was solved again. [-]

    Examples
    --------
    >>> from pathlib import Path
    >>> from jetwright.rig.example import JOB
    >>> read = JobFile(Path("job.toml"), JOB, {}, {})
    >>> try_for(read, 0, Cure("target", "task.target.nozzle_pressure", "pressure", 85e6, 80e6)).target
    80000000.0
    >>> try_for(read, 0, Cure("speed", "unit.pump.top_speed", "speed", 8.0, 9.0)) is None
    True

    References
    ----------
    Our own convention.
    """
    task = read.job.task[place]
    if cure.also:
        return None
    if cure.kind == "target":
        return Try(target=float(cure.after)) if isinstance(cure.after, float) else None
    names = [tuple(key.split(".")) for key in cure.key.split(", ")]
    if cure.kind in ("hose", "rating") and all(name[0] == "hoses" for name in names):
        return _other_hoses(read, task, [name[1] for name in names], cure)
    if task.tool is None or len(names) != 1:
        return None
    if cure.kind == "tip":
        return _other_tip(read, place, read.job.tools[task.tool], names[0][1], cure)
    if cure.kind in ("support", "holder", "release"):
        return _other_tool(read, task.tool, cure)
    return None


def _other_hoses(read: JobFile, task: Task, names: list[str], cure: Cure) -> Try | None:
    run, stock, new = list(task.hose_run), read.job.hoses, []
    wanted = float(cure.after)
    for name in names:
        if name not in run:
            return None
        old = stock[name]
        needed, used = run.count(name), {one: run.count(one) for one in stock}
        fits = [
            (hose.bore, hose.rating or 0.0, other)
            for other, hose in stock.items()
            if other != name and hose.count - used[other] >= needed and _serves(hose, old, cure.kind, wanted)
        ]
        if not fits:
            return None
        best = min(fits)[2]
        run = [best if one == name else one for one in run]
        new.append(best)
    return Try(run=tuple(run), new=", ".join(dict.fromkeys(new)), old=", ".join(names))


def _serves(hose: Hose, old: Hose, kind: str, wanted: float) -> bool:
    """Whether a hose is as wide and as strong as is asked, and no worse than the one before in the other."""
    bore, rating = (wanted, old.rating or 0.0) if kind == "hose" else (old.bore, wanted)
    return hose.bore >= bore * (1.0 - NEARLY) and (hose.rating or 0.0) >= rating * (1.0 - NEARLY)


def _other_tip(read: JobFile, place: int, tool: Tool, name: str, cure: Cure) -> Try | None:
    before, after = float(cure.before), float(cure.after)
    needed = sum(port.count for port in tool.ports if port.tip == name)
    held = {port.tip: sum(one.count for one in tool.ports if one.tip == port.tip) for port in tool.ports}
    try:
        offers = tips_that_fit(read, place)
    except FileError:
        return None
    sized = [
        (offer.bore, offer.name)
        for offer in offers
        if offer.bore is not None and offer.name != name and offer.pieces - held.get(offer.name, 0) >= needed
    ]
    small = [each for each in sized if each[0] <= after * (1.0 + NEARLY)]
    large = [each for each in sized if each[0] >= after * (1.0 - NEARLY)]
    if not (small if after < before else large):
        return None
    new = (max(small) if after < before else min(large))[1]
    return Try(tips=tuple(new if port.tip == name else port.tip for port in tool.ports), new=new, old=name)


def _other_tool(read: JobFile, name: str, cure: Cure) -> Try | None:
    old, tools = read.job.tools[name], read.job.tools
    alike = [other for other in tools if other != name and _alike(tools[other], old, cure)]
    if not alike:
        return None
    new = min(alike, key=lambda other: (_ports(tools[other]) != _ports(old), other))
    tips = tuple(port.tip for port in old.ports) if _places(tools[new]) == _places(old) else None
    return Try(tool=new, tips=tips, new=new, old=name)


def _alike(tool: Tool, old: Tool, cure: Cure) -> bool:
    facts: Mapping[str, object] = {
        "support": tool.support if tool.held_by == old.held_by else "",
        "holder": tool.held_by,
        "release": tool.release,
    }
    strong = (tool.rating or 0.0) >= (old.rating or 0.0) * (1.0 - NEARLY)
    return facts[cure.kind] == cure.after and tool.kind == old.kind and strong


def _ports(tool: Tool) -> Iterable[tuple[str, int]]:
    return [(port.tip, port.count) for port in tool.ports]


def _places(tool: Tool) -> Iterable[tuple[int, float, float, float]]:
    return [(port.count, port.angle, port.radius, port.skew) for port in tool.ports]
