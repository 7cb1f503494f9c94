"""The best tips out of a box as a page: what may go where, the best ways, why each is no better, and what to paste."""

import json
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import PurePath
from types import MappingProxyType
from typing import Any

from rich.console import JustifyMethod, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from jetwright import units
from jetwright.limits.limit import WORST_LAST, counts
from jetwright.plan.answer import Plan
from jetwright.plan.tip_answer import PULL, STARVED, TORQUE, Edge, Instead, Nothing, Refusal, TipChoice, TipsPlan, Way
from jetwright.plan.tip_box import LeftOut, Offer, Places
from jetwright.plan.tip_window import BEYOND
from jetwright.report.figures import POUND_FOOT, percent
from jetwright.report.gauge import gauge_figure
from jetwright.report.limits import limit_name, not_judged_words
from jetwright.report.limits_table import limits_section
from jetwright.report.plan_table import foot, head
from jetwright.report.terminal import GLUE, INDENT, figure, glued, listing, page, rule, section, verdict
from jetwright.report.wording import _, force, ngettext
from jetwright.rig.description import Job

NARROW = 90
"""Below this width what a way gives stands in several tables."""
COLUMNS = 5
"""Most of its columns in one of them."""
NO_LESS = 5e-4
"""Jet powers that differ by less than this share are as good as equal."""
NO_MORE = 0.5
"""So are pushes that differ by less. [N]"""
MILLION = 1_000_000
BARE = re.compile(r"[A-Za-z0-9_-]+")
"""A key that needs no quotes."""
MOST_OFFERED = 24
"""Most tips of a box that are listed by name."""
MOST_NAMED = 3
"""Most limits that are named as the reason why a size is not listed."""


def tips_table(
    plan: TipsPlan,
    job: Job,
    written: Mapping[str, Any],
    system: str = "si",
    width: int = 100,
    colour: bool = False,
    files: Mapping[str, str] = MappingProxyType({}),
) -> str:
    """The best tips as text; only the lines to paste into a file may be wider than asked. [-]

    Parameters
    ----------
    plan : TipsPlan
        The answer. [-]
    job : Job
        What was asked. [-]
    written : Mapping
        The job file's tables as written: angles are printed as they stand there. [-]
    system : str
        Units of all figures: "si" or "us". [-]
    width : int
        Widest line. [-]
    colour : bool
        Colour and weight for a terminal; the text is the same without. [-]
    files : Mapping
        By tool the file in which it stands; where it is not told, the job file. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.plan.tips import tips_for_job
    >>> from jetwright.rig.example import JOB
    >>> plan = tips_for_job(JOB, basis_for(JOB), Wish())
    >>> print(tips_table(plan, JOB, {}).splitlines()[4].strip())
    1  Plates by gun                                                                      ▲ look first

    References
    ----------
    Our own layout.
    """
    whole = Plan(plan.title, plan.rules, (), plan.basis.day)
    text = page([head(whole, job, system)], width, colour)
    for choice in plan.tasks:
        place = 1 + next(at for at, task in enumerate(job.task) if task.name == choice.name)
        text += page(_choice(place, choice, job, system, width), width, colour)
        if choice.best:
            text += page([section(_paste_title(choice, files.get(choice.tool, "")))], width, colour)
            text += "".join(f"  {line}\n" for line in ports_lines(choice, choice.best[0], written))
            if choice.also_in:
                words = _("{tool} also serves {tasks}: plan them again with it.")
                tasks = ", ".join(_("“{name}”").format(name=name) for name in choice.also_in)
                said = Padding(Text(words.format(tool=choice.tool, tasks=tasks)), (0, 0, 0, INDENT))
                text += page([said], width, colour)
    if any(choice.best for choice in plan.tasks):
        words = _(
            "Of a tip was looked at whether its bore fits the tool; not its thread, its seat, nor what pressure it is "
            "made for: look that they fit."
        )
        text += page([Text(""), Text(words)], width, colour)
    return text + page([foot(whole, system)], width, colour)


def _choice(place: int, choice: TipChoice, job: Job, system: str, width: int) -> Iterable[RenderableType]:
    line = Table.grid(expand=True)
    line.add_column(overflow="fold")
    line.add_column(justify="right", no_wrap=True)
    line.add_row(Text(f"{place}  {choice.name}", style="bold"), verdict(choice.verdict))
    yield from (Text(""), rule(), line)
    yield section(_("Places of {tool}").format(tool=_tool(choice)), *_places(choice, system))
    yield section(
        _("On offer"),
        Text(glued(_offered(choice.offers, system))),
        *map(Text, left_out_lines(choice.left_out)),
        *_counted(choice.offers),
    )
    if choice.best:
        yield section(_title(choice, system), *_ways(choice, job, system, width))
        yield section(_("Why the others are no better"), *_reasons(choice, system))
    if choice.missed:
        yield section(_("Sizes that are not listed"), *map(Text, missed_lines(choice)))
    judged = judged_lines(choice, system)
    if judged:
        yield section(_("What was judged"), *(Text(glued(line)) for line in judged))
    if choice.nothing is not None:
        yield from _nothing(choice, choice.nothing, job, system, width)


def _tool(choice: TipChoice) -> str:
    if choice.branches == (1,) and choice.branch == 1:
        return choice.tool
    branches = ", ".join(map(str, choice.branches))
    return ngettext("{tool}, branch {n}", "{tool}, branches {n}, filled alike", len(choice.branches)).format(
        tool=choice.tool, n=branches
    )


# ---- places and tips -------------------------------------------------------------------------------------------------


def where_words(places: Places, system: str = "si", *, short: bool = False) -> str:
    """Which way places point, and where they stand. [-]

    Parameters
    ----------
    places : Places
        Places that point alike. [-]
    system : str
        "si" or "us". [-]
    short : bool
        Only the direction. [-]

    Examples
    --------
    >>> where_words(Places(math.radians(150.0), 0.015, 0.35, 2, 2, 0))
    'rear, 150°, 15.0 mm off the axis, skewed by 20°'

    References
    ----------
    Our own convention.
    """
    named = {"front": _("front"), "side": _("side"), "rear": _("rear")}[places.where]
    text = _("{where}, {angle}").format(where=named, angle=_degrees(places.angle))
    if short:
        return text
    if places.radius:
        text += _(", {radius} off the axis").format(radius=figure(places.radius, "mm", system).replace(GLUE, " "))
    if places.skew:
        text += _(", skewed by {angle}").format(angle=_degrees(places.skew))
    return text


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.0f}°".replace("-", "−")


def _places(choice: TipChoice, system: str) -> list[RenderableType]:
    told: list[RenderableType] = []
    for places in choice.places:
        where = where_words(places, system)
        if places.jets == 1:
            words = ngettext("{where}: {n} single tip", "{where}: {n} single tips", places.count)
        elif places.jets == 2:
            words = ngettext(
                "{where}: {n} opposed pair of one size", "{where}: {n} opposed pairs, each of one size", places.count
            )
        else:
            words = ngettext(
                "{where}: {n} ring of {jets} of one size",
                "{where}: {n} rings of {jets}, each of one size",
                places.count,
            )
        told.append(Text(glued(words.format(where=where, n=places.count, jets=places.jets))))
    return told


def _offered(offers: Sequence[Offer], system: str) -> str:
    """Every tip on offer with its pieces and its bore."""
    if not offers:
        return _("no tip")
    told = []
    for offer in offers[:MOST_OFFERED]:
        bore = _("rated") if offer.bore is None else figure(offer.bore, "mm", system)
        words = _("{n} × {tip} ({bore})").format(n=offer.pieces, tip=offer.name, bore=bore)
        told.append(words.replace(" ", GLUE))
    text = ", ".join(told)
    if len(offers) > MOST_OFFERED:
        text += _(" and {n} more").format(n=len(offers) - MOST_OFFERED)
    return text


def left_out_lines(left_out: Sequence[LeftOut]) -> list[str]:
    """Which tips of the box cannot go into the tool at all, and why. [-]

    Parameters
    ----------
    left_out : Sequence of LeftOut
        The tips. [-]

    Examples
    --------
    >>> left_out_lines([LeftOut("R80", "wide"), LeftOut("R90", "wide")])
    ["Wider than the tool's bore: R80, R90."]

    References
    ----------
    Our own convention.
    """
    words = {"wide": _("Wider than the tool's bore: {tips}."), "used": _("In use at the other branches: {tips}.")}
    named = {why: [one.name for one in left_out if one.why == why] for why in words}
    return [words[why].format(tips=", ".join(names)) for why, names in named.items() if names]


def _counted(offers: Sequence[Offer]) -> list[RenderableType]:
    """Tips of which the tools carry more than the file counts."""
    carried = ", ".join(_("{n} × {tip}").format(n=offer.carried, tip=offer.name) for offer in offers if offer.carried)
    words = _("Counted as carried by the task's tools, more than the file says: {tips}. Write count for what is owned.")
    return [Text(glued(words.format(tips=carried)))] if carried else []


def tips_words(places: Sequence[Places], tips: Sequence[Sequence[str]]) -> str:
    """The tips of a way, place by place. [-]

    Parameters
    ----------
    places : Sequence of Places
        Of the tool. [-]
    tips : Sequence
        Names of the tips, place by place. [-]

    Examples
    --------
    >>> tips_words((Places(0.0, 0.0, 0.0, 2, 2, 0),), (("F15", "F13"),))
    '2 × F15 + 2 × F13'

    References
    ----------
    Our own convention.
    """
    return "; ".join(_in_places(one, chosen) for one, chosen in zip(places, tips, strict=True))


def _in_places(places: Places, chosen: Sequence[str]) -> str:
    return " + ".join(f"{places.jets * list(chosen).count(name)} × {name}" for name in dict.fromkeys(chosen))


# ---- the best ways ---------------------------------------------------------------------------------------------------


def _title(choice: TipChoice, system: str) -> str:
    kind, value, at = choice.target
    words = {
        "nozzle_pressure": _("Most jet power at {target} behind the tips"),
        "flow": _("Most jet power at {target} through the jets"),
        "pump_pressure": _("Most jet power at {target} on the pump's gauge"),
    }[kind]
    if at != choice.branch and kind != "pump_pressure":
        words = {
            "nozzle_pressure": _("Most jet power with {target} behind the tips of branch {n}"),
            "flow": _("Most jet power with {target} through the jets of branch {n}"),
        }[kind]
    text = words.format(target=figure(value, "L/min" if kind == "flow" else "bar", system), n=at)
    wish = choice.wish
    if wish.least_pull is not None:
        text += _(", with {force} of pull at least").format(force=figure(wish.least_pull, "N", system))
    if wish.least_torque is not None:
        text += _(", with {torque} of torque at least").format(torque=_torque(wish.least_torque, system))
    return text.replace(GLUE, " ")


def _ways(choice: TipChoice, job: Job, system: str, width: int) -> list[RenderableType]:
    turns = any(places.lever for places in choice.places)
    aside = any(way.recoil_side > NO_MORE for way in choice.best)
    behind = choice.target[0] != "nozzle_pressure" or choice.target[2] != choice.branch
    tip_heads = [(where_words(places, system, short=True), "left") for places in choice.places]
    heads: list[tuple[str, JustifyMethod]] = [("", "right"), *tip_heads]  # type: ignore[list-item]
    heads += [(_("Jet power"), "right"), (_("Verdict"), "left")]
    more: list[tuple[str, JustifyMethod]] = [("", "right"), (_("Gauge"), "right"), (_("Pump speed"), "right")]
    more += [(_("At tip"), "right")] if behind else []
    more += [(_("Flow"), "right"), (_("Jet"), "right"), (_("Push"), "left")]
    more += [(_("Across"), "right")] if aside else []
    more += [(_("Torque"), "right")] if turns else []
    first: list[list[str | Text]] = []
    second: list[list[str | Text]] = []
    for number, way in enumerate(choice.best, start=1):
        placed = [_in_places(one, chosen).replace(" × ", f"{GLUE}×{GLUE}") for one, chosen in _by_place(choice, way)]
        first.append([str(number), *placed, figure(way.jet_power, "kW", system), verdict(way.verdict)])
        row: list[str | Text] = [str(number), glued(gauge_figure(way.pump_pressure, job.unit.gauge, system))]
        row.append("–" if way.pump_speed is None else figure(way.pump_speed, "rpm", system))
        row += [figure(way.nozzle, "bar", system)] if behind else []
        row += [figure(way.flow, "L/min", system), figure(way.jet_speed, "m/s", system), _push(way.recoil, system)]
        row += [figure(way.recoil_side, "N", system)] if aside else []
        row += [_torque(abs(way.torque), system)] if turns else []
        second.append(row)
    tables: list[RenderableType] = [listing(heads, first), Text("")]
    if width >= NARROW:
        return [*tables, listing(more, second)]
    for start in range(1, len(more), COLUMNS):
        part = (0, *range(start, min(start + COLUMNS, len(more))))
        tables += [listing([more[at] for at in part], [[row[at] for at in part] for row in second]), Text("")]
    return tables[:-1]


def _by_place(choice: TipChoice, way: Way) -> Iterable[tuple[Places, Sequence[str]]]:
    return zip(choice.places, way.tips, strict=True)


def _push(along: float, system: str) -> str:
    words = _("back {force}") if along >= 0.0 else _("forward {force}")
    return words.format(force=figure(abs(along), "N", system))


def _torque(torque: float, system: str) -> str:
    """A torque in N m, or in lbf ft."""
    if system == "us":
        return figure(torque / POUND_FOOT, "N m").replace("N m".replace(" ", GLUE), f"lbf{GLUE}ft")
    return figure(torque, "N m", system)


def _reasons(choice: TipChoice, system: str) -> list[RenderableType]:
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(justify="right", no_wrap=True)
    table.add_column(overflow="fold")
    for number, way in enumerate(choice.best, start=1):
        table.add_row(str(number), glued(against_words(way, choice.best[0], system)))
    return [table, *map(Text, best_notes(choice, system, typed=True))]


def best_notes(choice: TipChoice, system: str = "si", *, typed: bool = False) -> list[str]:
    """Which way is the first that is within limits, where the best is not; what of the best was not judged. [-]

    Parameters
    ----------
    choice : TipChoice
        The task's answer. [-]
    system : str
        "si" or "us". [-]
    typed : bool
        Name facts by their keys, for whoever types them into a file. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.plan.tips import choose_tips
    >>> from jetwright.rig.example import JOB
    >>> [note.partition(":")[0] for note in best_notes(choose_tips(JOB, 0, basis_for(JOB), Wish()))]
    ['Not judged, and so to be looked at first']

    References
    ----------
    Our own convention.
    """
    if not choice.best:
        return []
    best = choice.best[0]
    unjudged = not_judged_words([one for one in best.limits if counts(one)], typed=typed)
    number = next((at for at, way in enumerate(choice.best, start=1) if way.verdict == "within"), 1)
    if best.verdict != "look" or number == 1:
        return unjudged
    words = _("The best is to be looked at first. The first that is within limits is {n}, with {power}.")
    power = figure(choice.best[number - 1].jet_power, "kW", system)
    return [glued(words.format(n=number, power=power)), *unjudged]


def against_words(way: Way, best: Way, system: str = "si") -> str:
    """Why a way is no better than the best, and what is to be looked at first. [-]

    Parameters
    ----------
    way : Way
        The way. [-]
    best : Way
        The best; the same one says what is to be looked at. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> best = Way((("A",),), (), 9e7, 2.0, 9e7, 3e-4, 420.0, 26e3, 125.0, 0.0, 0.0, "within", ())
    >>> way = Way((("B",),), (), 9e7, 2.0, 9e7, 3e-4, 420.0, 13e3, 62.0, 0.0, 0.0, "within", (), as_now=True)
    >>> against_words(way, best).replace(GLUE, " ")
    '13.0 kW less jet power (50 %). These are the tips as they are.'

    References
    ----------
    Our own convention.
    """
    if way is best:
        told = [_("The best.")]
    elif best.jet_power - way.jet_power > NO_LESS * best.jet_power:
        less = best.jet_power - way.jet_power
        words = _("{power} less jet power ({share}).")
        told = [words.format(power=figure(less, "kW", system), share=percent(less / best.jet_power))]
    else:
        told = [_as_much(way, best, system)]
    here, there = _pressing(way), [] if way is best else _pressing(best)
    worse, cured = (
        "; ".join(name for name in these if name not in those) for these, those in ((here, there), (there, here))
    )
    if WORST_LAST.index(way.verdict) < WORST_LAST.index(best.verdict):
        told.append(_("But within limits."))
        cured = ""
    if worse:
        told.append(_("Look first: {limits}.").format(limits=worse))
    if cured:
        told.append(_("Within, unlike the best: {limits}.").format(limits=cured))
    if way.as_now:
        told.append(_("These are the tips as they are."))
    return " ".join(told)


def _as_much(way: Way, best: Way, system: str) -> str:
    """What tells two ways of the same jet power apart."""
    if way.recoil < 0.0 and best.recoil < 0.0 and way.recoil - best.recoil > NO_MORE:
        return _("As much jet power, {force} less pull.").format(force=figure(way.recoil - best.recoil, "N", system))
    push = math.hypot(way.recoil, way.recoil_side) - math.hypot(best.recoil, best.recoil_side)
    if push > NO_MORE:
        return _("As much jet power, {force} more push.").format(force=figure(push, "N", system))
    return _("As good, with other tips.")


def _pressing(way: Way) -> list[str]:
    """Names of what is to be looked at first."""
    pressing = [one for one in way.limits if one.verdict == "look"]
    return list(dict.fromkeys(_lower(limit_name(one.id, one.quantity)) for one in pressing))


def _lower(name: str) -> str:
    return f"{name[:1].lower()}{name[1:]}"


# ---- what was judged -------------------------------------------------------------------------------------------------


def refusal_words(refusal: Refusal) -> str:
    """What refused a way. [-]

    Parameters
    ----------
    refusal : Refusal
        By a limit, by a wish, or because nothing can be solved. [-]

    Examples
    --------
    >>> refusal_words(Refusal("pump.speed", 3)), refusal_words(Refusal("pull", 1))
    ('pump speed', 'too little pull')

    References
    ----------
    Our own convention.
    """
    own = {
        PULL: _("too little pull"),
        TORQUE: _("too little torque"),
        STARVED: _("the water boils at the pump's inlet"),
        BEYOND: _("beyond what is known of water"),
    }
    if refusal.id in own:
        return own[refusal.id]
    quantity = "" if refusal.limit is None else refusal.limit.quantity
    return _lower(limit_name(refusal.id, quantity))


def missed_lines(choice: TipChoice) -> list[str]:
    """Why tips of the box are in no listed way, a line for those that share it. [-]

    Parameters
    ----------
    choice : TipChoice
        Of the task. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.plan.tips import choose_tips
    >>> from jetwright.rig.description import Tip
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, tips=dict(JOB.tips) | {"R30": Tip(3.0e-3, "rounded")})
    >>> missed_lines(choose_tips(job, 0, basis_for(job), Wish()))
    ['R30: not allowed: pump speed; engine load; plunger rods and 5 more.']

    References
    ----------
    Our own convention.
    """
    shared: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for one in choice.missed:
        shared.setdefault((one.why, one.ids), []).append(one.name)
    later = _("{tips}: not judged, as no way with them gives more jet power than those listed.")
    if not choice.proven:
        later = _("{tips}: not judged, the search was broken off before.")
    words = {
        "refused": _("{tips}: not allowed: {limits}."),
        "large": _("{tips}: too large for any way that is allowed: {limits}."),
        "small": _("{tips}: too small for any way that is allowed: {limits}."),
        "later": later,
    }
    return [words[why].format(tips=", ".join(names), limits=_named_limits(ids)) for (why, ids), names in shared.items()]


def _named_limits(ids: Sequence[str]) -> str:
    text = "; ".join(refusal_words(Refusal(one, 0)) for one in ids[:MOST_NAMED])
    return text + (_(" and {n} more").format(n=len(ids) - MOST_NAMED) if len(ids) > MOST_NAMED else "")


def judged_lines(choice: TipChoice, system: str = "si") -> list[str]:
    """How many ways were judged, what was left out of the search, and what that proves. [-]

    Parameters
    ----------
    choice : TipChoice
        Of the task. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.plan.tips import choose_tips
    >>> from jetwright.rig.example import JOB
    >>> judged_lines(choose_tips(JOB, 0, basis_for(JOB), Wish()))[0]
    '1 way was judged by every limit, of at most 1, the most jet power first.'

    References
    ----------
    Our own convention.
    """
    if not choice.ways:
        return [_("The tips on offer do not fill the places: nothing was judged.")]
    told = []
    if choice.judged:
        told.append(
            ngettext(
                "{n} way was judged by every limit, of at most {ways}, the most jet power first.",
                "{n} ways were judged by every limit, of at most {ways}, the most jet power first.",
                choice.judged,
            ).format(n=choice.judged, ways=_large(choice.ways))
        )
    for edge, larger in ((choice.large, True), (choice.small, False)):
        if edge is not None:
            told.append(_edge(choice, edge, system, larger=larger))
    if choice.cap is not None:
        told.append(
            _("Not allowed whatever the tips, so not judged: more than {force} of push by hand.").format(
                force=force(choice.cap, system)
            )
        )
    if choice.refused and choice.best:
        counts = "; ".join(
            _("{what} ({n})").format(what=refusal_words(refusal), n=refusal.ways) for refusal in choice.refused
        )
        told.append(_("With more jet power, and not allowed: {counts}.").format(counts=counts))
    if choice.between:
        told.append(
            ngettext(
                "{n} more on the way to the last one listed is not allowed.",
                "{n} more on the way to the last one listed are not allowed.",
                choice.between,
            ).format(n=choice.between)
        )
    if not choice.proven:
        told.append(_("The search was broken off there: a better way may be left."))
    elif choice.best:
        told.append(_("So no way to fill this tool from this box has more jet power and is allowed."))
    return told


def _large(count: int) -> str:
    """The most that a count can be, as a person says it."""
    if count < MILLION:
        return str(count)
    if count > MILLION * MILLION:
        return _("a 1 with {n} zeros").format(n=len(str(count - 1)))
    return _("{n} million").format(n=-(-count // MILLION))


def _edge(choice: TipChoice, edge: Edge, system: str, *, larger: bool) -> str:
    names = "; ".join(refusal_words(Refusal(one, 0)) for one in edge.ids)
    if choice.better == "smallest":
        value, unit = edge.nozzle, "bar"
        words = _("Not allowed whatever the tips, so not judged: more than {value} behind the tips ({limits}).")
        if larger:
            words = _("Not allowed whatever the tips, so not judged: less than {value} behind the tips ({limits}).")
    else:
        value, unit = edge.flow, "L/min"
        words = _("Not allowed whatever the tips, so not judged: less than {value} through the jets ({limits}).")
        if larger:
            words = _("Not allowed whatever the tips, so not judged: more than {value} through the jets ({limits}).")
    shown = _("what is known of water") if value is None else figure(value, unit, system)
    return words.format(value=shown, limits=names)


# ---- where nothing is allowed ----------------------------------------------------------------------------------------


def _nothing(choice: TipChoice, nothing: Nothing, job: Job, system: str, width: int) -> Iterable[RenderableType]:
    told: list[str] = []
    way = nothing.way
    if way is not None:
        named = tips_words(choice.places, way.tips).replace(" ", GLUE)
        told.append(_("The nearest: {tips}.").format(tips=named))
        told += [_short_of(refusal, choice, way, system) for refusal in nothing.refusals if refusal.limit is None]
    elif not choice.ways:
        needed = sum(places.count * places.jets for places in choice.places)
        told.append(
            _(
                "{n} tips are needed, and each pair or ring takes one size: "
                "count what is owned, or write down more tips."
            ).format(n=needed)
        )
    if nothing.always:
        limits = "; ".join(refusal_words(Refusal(one, 0)) for one in nothing.always)
        told.append(_("Whatever the tips, not allowed: {limits}. That comes first.").format(limits=limits))
    told += _would_do(nothing, choice, system)
    yield section(_("No tips of this box are allowed"), *(Text(glued(line)) for line in told))
    if nothing.limits:
        yield limits_section(nothing.limits, system, width, unit=job.unit, cut=nothing.cut)


def _short_of(refusal: Refusal, choice: TipChoice, way: Way, system: str) -> str:
    if refusal.id == PULL and choice.wish.least_pull is not None:
        return _("It pulls forward with {value}, and {wish} are asked for.").format(
            value=figure(max(0.0, -way.recoil), "N", system), wish=figure(choice.wish.least_pull, "N", system)
        )
    if refusal.id == TORQUE and choice.wish.least_torque is not None:
        return _("It turns with {value}, and {wish} are asked for.").format(
            value=_torque(abs(way.torque), system), wish=_torque(choice.wish.least_torque, system)
        )
    return _("It is refused: {what}.").format(what=refusal_words(refusal))


def _would_do(nothing: Nothing, choice: TipChoice, system: str) -> list[str]:
    told = []
    if nothing.pull is not None:
        told.append(
            _("{value} of pull can be had and is allowed: ask for no more.").format(
                value=figure(nothing.pull, "N", system)
            )
        )
    if nothing.torque is not None:
        told.append(
            _("{value} of torque can be had and is allowed: ask for no more.").format(
                value=_torque(nothing.torque, system)
            )
        )
    told += [_instead(one, choice, system) for one in nothing.instead]
    if told and not nothing.instead:
        told.append(
            _(
                "The tips that give it do not do if all are larger or smaller alike, nor with a higher target: a limit "
                "refuses that, or it is still too little."
            )
        )
    if nothing.bore is not None:
        told.append(
            _("Tips of {bore} with a rounded inlet (0.90) in every place would be allowed.").format(
                bore=figure(nothing.bore, "mm", system)
            )
        )
    return told


def _instead(change: Instead, choice: TipChoice, system: str) -> str:
    """A change that was judged and would do."""
    tips = tips_words(choice.places, change.tips).replace(" ", GLUE)
    if change.what == "target":
        value = figure(change.target, "L/min" if choice.target[0] == "flow" else "bar", system)
        return _("A target of {value} with {tips} would do.").format(value=value, tips=tips)
    share = percent(abs(change.by - 1.0))
    if change.by > 1.0:
        return _("Larger tips would do: of {share} more area than {tips}.").format(share=share, tips=tips)
    return _("Smaller tips would do: of {share} less area than {tips}.").format(share=share, tips=tips)


# ---- what to paste ---------------------------------------------------------------------------------------------------


def _paste_title(choice: TipChoice, file: str) -> str:
    table = table_words(choice.tool)
    if not file:
        return _("For the job file, in [{table}]").format(table=table)
    return _("For {file}, in [{table}]").format(file=PurePath(file).name, table=table)


def table_words(tool: str) -> str:
    """The name of a tool's table as a file has it, in quotes where TOML wants them. [-]

    Parameters
    ----------
    tool : str
        Name of the tool. [-]

    Examples
    --------
    >>> table_words("floor-head"), table_words("Lanze 2")
    ('tools.floor-head', 'tools."Lanze 2"')

    References
    ----------
    TOML 1.0; docs/job-file.md.
    """
    return f"tools.{tool if BARE.fullmatch(tool) else _quoted(tool)}"


def ports_lines(choice: TipChoice, way: Way, written: Mapping[str, Any]) -> list[str]:
    """The key `ports` of the tool with a way's tips, as TOML, line by line. [-]

    Parameters
    ----------
    choice : TipChoice
        The task's answer. [-]
    way : Way
        The way. [-]
    written : Mapping
        The job file's tables as written. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.plan.tips import choose_tips
    >>> from jetwright.rig.example import JOB
    >>> choice = choose_tips(JOB, 0, basis_for(JOB), Wish())
    >>> ports_lines(choice, choice.best[0], {})
    ['ports = [{ tip = "R12" }]']

    References
    ----------
    TOML 1.0; docs/job-file.md.
    """
    table = written.get("tools", {}).get(choice.tool, {}).get("ports", ())
    rows = []
    for port in way.ports:
        alike = next(
            one for one in choice.places if (one.angle, one.radius, one.skew) == (port.angle, port.radius, port.skew)
        )
        keys = [f"tip = {_quoted(port.tip)}"]
        if port.count > 1:
            keys.append(f"count = {port.count}")
        row = table[alike.row] if alike.row < len(table) else {}
        for key, unit, value in (
            ("angle", "deg", port.angle),
            ("radius", "mm", port.radius),
            ("skew", "deg", port.skew),
        ):
            if key in row:
                keys.append(f"{key} = {_quoted(str(row[key]))}")
            elif value:
                keys.append(f"{key} = {_quoted(units.show(value, unit))}")
        rows.append(f"{{ {', '.join(keys)} }}")
    if len(rows) == 1:
        return [f"ports = [{rows[0]}]"]
    return ["ports = [", *(f"  {row}," for row in rows), "]"]


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
