"""Whether a rig is still the one that a reading was taken with."""

import datetime

from jetwright.rig.check import CheckedRig, Item
from jetwright.rig.description import Reading

DIGITS = 4
"""Of a digest."""


def taken_with(rig: CheckedRig) -> str:
    """A short text by which tips, hose run, pump and gauge of a task are known again. [-]

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> taken_with(check(JOB)).split()[::2]
    ['tip', 'hose', 'kit', 'gauge']

    References
    ----------
    Our own convention: the first digits of a SHA-256 of what bears on the hydraulics, and of the names.
    """
    return " ".join(f"{name} {digest}" for name, digest in _digests(rig).items())


def changed_since(rig: CheckedRig, reading: Reading, day: datetime.date) -> tuple[str, ...]:
    """What is no longer as it was when a reading was taken: "tip", "hose", "kit", "gauge", "shift". [-]

    Of a reading that does not say what it was taken with only the day is compared.

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]
    reading : Reading
        Of that task. [-]
    day : date
        Of the job. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig, day = check(JOB), datetime.date(2026, 5, 4)
    >>> other = taken_with(rig).replace("kit ", "kit 0")
    >>> changed_since(rig, Reading("A", day, 2.0, 470e5, taken_with=other), datetime.date(2026, 5, 5))
    ('kit', 'shift')

    References
    ----------
    Our own convention.
    """
    changed: list[str] = []
    if reading.taken_with is not None:
        words = reading.taken_with.split()
        told = dict(zip(words[::2], words[1::2], strict=False))
        changed = [name for name, digest in _digests(rig).items() if told.get(name) != digest]
    return (*changed, "shift") if reading.day != day else tuple(changed)


def _digests(rig: CheckedRig) -> dict[str, str]:
    job = rig.job
    pump, gauge = job.unit.pump, job.unit.gauge
    kit = None if pump.kit is None else job.unit.kits[pump.kit]
    tips = [
        (jets.tip, jets.count, tip.bore, tip.inlet, tip.cd, _pair(tip.rated))
        for branch in rig.branches
        for jets in branch.rows
        for tip in [job.tips[jets.tip]]
    ]
    runs = [
        (
            one.tool_name,
            one.tool.bore,
            one.tool.loss_k,
            _pair(one.tool.leak),
            one.rise,
            [_piece(at) for at in one.items],
        )
        for one in rig.branches
    ]
    measured = [(at.speed, at.pressure, at.flow) for at in pump.measured]
    at_rating = None if pump.flow_per_turn is None else (pump.flow_per_turn, pump.rating)
    size = (pump.plungers, pump.plunger_diameter, pump.stroke, at_rating, pump.slip)
    fitted = (pump.kit, None if kit is None else kit.plunger_diameter, pump.clearance, measured)
    return {
        "tip": _digest(tips),
        "hose": _digest([[_piece(item) for item in rig.main], runs]),
        "kit": _digest([job.unit.name, size, fitted]),
        "gauge": _digest(None if gauge is None else (gauge.full_scale, gauge.accuracy, gauge.division)),
    }


def _pair(rated: object) -> object:
    return None if rated is None else (getattr(rated, "flow", None), getattr(rated, "pressure", None))


def _piece(item: Item) -> object:
    piece = item.piece
    return (item.name, piece.bore, piece.length, piece.roughness, piece.loss_k, piece.tail_bore, piece.tail_length)


def _digest(facts: object) -> str:
    """First digits of a digest; numbers as far as two ways of writing one agree."""

    def told(fact: object) -> str:
        if isinstance(fact, float):
            return f"{fact:.9g}"
        return f"({','.join(map(told, fact))})" if isinstance(fact, list | tuple) else repr(fact)

    import hashlib  # a plan without readings needs none

    return hashlib.sha256(told(facts).encode()).hexdigest()[:DIGITS]
