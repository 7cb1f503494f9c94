"""Why a size of the box stands in no way that is listed: refused by which limits, beyond a bound, or not reached."""

from collections.abc import Sequence

from jetwright.plan.tip_answer import Missed, Way
from jetwright.plan.tip_box import Box
from jetwright.plan.tip_judging import Known, wished
from jetwright.plan.tip_order import Wish
from jetwright.plan.tip_window import Window


def missed_of(box: Box, best: Sequence[Way], known: Known, wish: Wish, window: Window) -> tuple[Missed, ...]:
    """The tips on offer that no listed way has, by size, each with why: out of what was judged, nothing is solved. [-]

    Parameters
    ----------
    box : Box
        The tool and its tips. [-]
    best : Sequence of Way
        The ways that are listed. [-]
    known : dict
        What the limits say to the ways that were judged. [-]
    wish : Wish
        What is asked besides the limits. [-]
    window : Window
        Areas of all jets between which was looked. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.plan.tip_box import box_of
    >>> from jetwright.rig.description import Tip
    >>> from jetwright.rig.example import JOB
    >>> box = box_of(replace(JOB, tips=dict(JOB.tips) | {"R30": Tip(3.0e-3, "rounded")}), 0)
    >>> [one.why for one in missed_of(box, (), {}, Wish(), Window(*box.span))]  # nothing was judged
    ['later', 'later']

    References
    ----------
    Our own convention.
    """
    listed = {name for way in best for chosen in way.tips for name in chosen}
    sizes = dict(zip((offer.name for offer in box.offers), box.sizes, strict=True))
    names = sorted((name for name in sizes if name not in listed), key=lambda name: (sizes[name], name))
    return tuple(_missed(name, box, sizes, known, wish, window) for name in names)


def _missed(name: str, box: Box, sizes: dict[str, int], known: Known, wish: Wish, window: Window) -> Missed:
    """Of the ways with a tip the one that is nearest to being allowed says what refuses it."""
    judged = [wished(wish, one) for tips, one in known.items() if any(name in chosen for chosen in tips)]
    refused = [one for one in judged if one.refused]
    if refused:
        return Missed(name, "refused", tuple(min(refused, key=lambda one: one.overrun).refused))
    others = box.jets - 1
    if window.large is not None and sizes[name] + others * min(sizes.values()) > window.high:
        return Missed(name, "large", window.large.ids)
    if window.small is not None and sizes[name] + others * max(sizes.values()) < window.low:
        return Missed(name, "small", window.small.ids)
    return Missed(name, "later")
