"""The change card in a crew's words: what must not be left on first, then what changes, then the way there."""

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from rich.console import JustifyMethod, RenderableType
from rich.text import Text

from jetwright.limits.limit import Limit
from jetwright.plan.answer import StepAt
from jetwright.plan.change import ChangeCard, Hold, Holder, Side
from jetwright.report.figures import as_written, figure, rated
from jetwright.report.gauge import gauge_band, gauge_down, gauge_figure
from jetwright.report.limits import (
    limit_name,
    part_name,
    source_words,
    standing_words,
)
from jetwright.report.limits_table import counted_words, limits_section
from jetwright.report.plan_table import foot, head
from jetwright.report.steps import first_facts, stem_words, step_letter, step_notes, step_words
from jetwright.report.terminal import GLUE, glued, grid, listing, page, rule, section, verdict
from jetwright.report.wording import N_, _, force, holder_words, left_words, ngettext, speed_words
from jetwright.rig.description import Hazards, Job

PUSH = 0.5
"""Across a tool's axis less than this is nothing. [N]"""
UNSET = N_("not to be set")
"""Of a task that is not allowed."""
AGREED = N_(
    "Pressure is changed only by agreement with the operator (Norway, regulation on the performance of work, chapter "
    "20)."
)
BY_GAUGE = N_("part open, set by the gauge alone")
"""Of a bypass whose stem's turns nobody gave: the same words may stand for another opening."""
HAZARDS = ("ignition", "confined_space", "live_electrical", "product")
Row = tuple[str, str, str]
"""What differs, as it was, as it becomes."""


def change_table(card: ChangeCard, job: Job, system: str = "si", width: int = 100, colour: bool = False) -> str:
    """The card as text for a terminal or a printer. [-]

    Parameters
    ----------
    card : ChangeCard
        The answer. [-]
    job : Job
        What was asked: it says what the panel shows. [-]
    system : str
        "si" or "us". [-]
    width : int
        Widest line. [-]
    colour : bool
        Colour and weight for a terminal; the text is the same without. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.change import change_card
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, task=(*JOB.task, replace(JOB.task[0], name="Wall", rise=12.0)))
    >>> print(change_table(change_card(job, 0, 1, basis_for(job)), job).splitlines()[0])
    SPEED TO START, BYPASS OPEN, BEFORE THE TOOL IS TOUCHED.

    References
    ----------
    Our own layout.
    """
    told = _Card(card, job, system)
    content: list[RenderableType] = [Text(told.first().upper(), style="bold"), rule()]
    content += [Text(glued(line)) for line in told.left()]
    content += [Text(""), head(card.plan, job, system), Text(told.names(), style="bold")]
    content.append(Text.assemble(verdict(card.task.verdict), f" · {counted_words(card.task.limits)}"))
    heads: list[tuple[str, JustifyMethod]] = [("", "left"), (_("Before"), "left"), (_("After"), "left")]
    rows = [[what, _whole(before), _whole(after)] for what, before, after in told.rows()]
    content.append(section(_("What changes"), *([listing(heads, rows)] if rows else []), Text(told.stays())))
    for title, steps, after in told.steps():
        table = grid("right", "left", "right", "right", whole=(0, 2, 3))
        for letter, act, speed, gauge in steps:
            table.add_row(letter, glued(act), glued(speed), Text(glued(gauge), style="bold"))
        content.append(section(title, *([table] if steps else []), *(Text(line) for line in after)))
    if told.limits():
        content.append(limits_section(told.limits(), system, width, unit=job.unit, cut=card.task.cures_cut))
    if told.reading():
        content.append(section(_("Readings"), Text(glued(told.reading()))))
    return page([*content, foot(card.plan, system)], width, colour)


def change_rows(card: ChangeCard, job: Job, system: str = "si") -> list[tuple[str, list[tuple[str, ...]]]]:
    """The card without its limits, as headings with rows under them; the first heading is to be large. [-]

    A row of one cell is a sentence; of three, what differs, before, after; of four, a step: its letter, the act, the
    speed, what the gauge must show. The run-up leaves out the openings of the bypass on the way.

    Parameters
    ----------
    card : ChangeCard
        The answer. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.change import change_card
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, task=(*JOB.task, replace(JOB.task[0], name="Wall", rise=12.0)))
    >>> first, differs, *way = change_rows(change_card(job, 0, 1, basis_for(job)), job)
    >>> differs[1][0]
    ('Tool above the pump', '0 mm', '12 m')

    References
    ----------
    Our own convention.
    """
    told = _Card(card, job, system)
    found: list[tuple[str, list[tuple[str, ...]]]] = [(told.first(), [(line,) for line in told.left()])]
    found.append((_("What changes"), [*told.rows(), (told.stays(),)]))
    for title, steps, after in told.steps(short=True):
        found.append((title, [*steps, *((line,) for line in after)]))
    if told.reading():
        found.append((_("Readings"), [(told.reading(),)]))
    return found


class _Card:
    """The card's facts, in words."""

    def __init__(self, card: ChangeCard, job: Job, system: str) -> None:
        self.card, self.job, self.system = card, job, system
        self.gauge = job.unit.gauge

    def show(self, value: float, unit: str) -> str:
        """Number and unit."""
        return figure(value, unit, self.system)

    def stem(self, area: float) -> str:
        """An opening that a hand can set; "" where it cannot."""
        return stem_words(area, self.job.unit.bypass, self.system)

    def speed(self, pump_speed: float) -> str:
        """A speed in what the panel shows."""
        return speed_words(pump_speed, self.job.unit)

    def names(self) -> str:
        """From which task to which."""
        one, other = self.card.before, self.card.after
        return _("From task {n}, “{one}”, to task {m}, “{other}”").format(
            n=one.place + 1, one=one.name, m=other.place + 1, other=other.name
        )

    # ---- what must not be left on

    def first(self) -> str:
        """What comes before any hand on the tool."""
        first = self.card.first
        return step_words(replace(first, facts=first_facts(first)))[0]

    def left(self) -> list[str]:
        """Where the gauge then stands, and what the old setting would do to the new rig."""
        card = self.card
        lines = [self.start()]
        if card.left is None:
            words = _("“{task}” is not allowed, no speed serves it: what stands on the machine is not known.")
            return [*lines, words.format(task=card.before.name)]
        if card.before.verdict == "not_allowed":
            words = _(
                "“{task}” is not allowed, and its setting belongs on no machine; should it stand there all the same:"
            )
            lines.append(words.format(task=card.before.name))
        found = replace(card.left, recoil=tuple(hold.push for hold in card.holds))
        told = [left_words(found, self.system, gauge_figure(found.gauge, self.gauge, self.system))[1]]
        told.append(self.left_setting())
        if not found.held:
            pass  # said already
        elif card.relief is None:
            told.append(_("No relief is described: nothing is known to hold it there."))
        elif not found.relief_opens:
            opens = self.show(card.relief, "bar")
            told.append(_("That is below the relief's {pressure}, as far as the plan knows.").format(pressure=opens))
        lines.append(" ".join(told))
        lines += filter(None, map(self.hold, card.holds))
        if card.below:
            parts = ", ".join(f"{part_name(key)} {rated(rating, self.system)}" for key, rating in card.below)
            lines.append(_("Rated below that gauge: {parts}.").format(parts=parts))
        if card.unrated:
            parts = ", ".join(part_name(key) for key in card.unrated)
            lines.append(_("Rating not known: {parts}.").format(parts=parts))
        if card.bears is not None:
            bears, nozzle = rated(card.bears[0], self.system), self.show(card.bears[1], "bar")
            words = _("The object withstands {pressure}; at the tip it would be {nozzle} or more.")
            lines.append(words.format(pressure=bears, nozzle=nozzle))
        return lines

    def start(self) -> str:
        """Start speed, and what the gauge shows there with the bypass open."""
        first = self.card.first
        speed = self.speed(first.pump_speed or 0.0)
        told = _("Start speed is {speed}.").format(speed=speed)
        if first.gauge is not None:
            shown = gauge_band(*first.gauge, self.gauge, self.system)
            told = _("Start speed is {speed}; the gauge then shows {gauge}.").format(speed=speed, gauge=shown)
        return " ".join((told, *step_notes(first, self.system, self.gauge)))

    def left_setting(self) -> str:
        """Where the hands stand if nothing is done."""
        left, kind = self.card.left, self.job.unit.bypass.kind
        assert left is not None
        words = {
            "hand-set": _("That is {speed} with the bypass shut."),
            "regulating": _("That is {speed} with the regulator as it was."),
            "unloader": _("That is {speed} with the unloader shut."),
        }[kind]
        if left.bypass_area > 0.0:
            words = _("That is {speed} with the bypass part open, as it was set.")
            if self.stem(left.bypass_area):
                words = _("That is {speed} with the bypass {opening} open.")
        words = words.format(speed=self.speed(left.pump_speed), opening=self.stem(left.bypass_area))
        if left.fastest > left.pump_speed:
            words += " " + _("It may have been {speed}, and is taken so.").format(speed=self.speed(left.fastest))
        return words

    def hold(self, hold: Hold) -> str:
        """A push against what the person there may hold; "" where no hand holds the tool."""
        told = []
        for limit in hold.limits:
            if limit.bound is None:
                continue
            passed = hold.push > limit.bound
            if not passed and self.card.left is not None and not self.card.left.held:
                continue  # it pushes harder than that, and nobody knows how hard
            if limit.id == "recoil.left":
                words = _("{tool}: {push}, and a hand may hold {bound} like this ({source}).")
                if passed:
                    words = _("{tool}: {push}, more than the {bound} that a hand may hold like this ({source}).")
            else:
                words = _("The lightest operator may hold {bound} ({source}).")
                if passed:
                    words = _("It is more than the {bound} that the lightest operator may hold ({source}).")
            bound, push = force(limit.bound, self.system), force(hold.push, self.system)
            source = standing_words(limit)
            told.append(words.format(tool=self.held_tool(hold), push=push, bound=bound, source=source))
        return " ".join(told)

    def held_tool(self, hold: Hold) -> str:
        """A tool in the hand, as the card calls it."""
        name = hold.tool
        if len(self.card.holds) > 1:
            name = f"{hold.branch}, {name}"
        return name if hold.by else _("{tool}, of which nobody said who holds it").format(tool=name)

    # ---- what changes

    def rows(self) -> list[Row]:
        """Each thing that reads otherwise before than after."""
        return [row for row in self.compared() if row[1] != row[2]]

    def stays(self) -> str:
        """What is the same on both sides, by name."""
        silent = self.silent()
        same: list[str] = []
        unsaid: list[str] = []
        for what, before, after in self.compared():
            if before == after not in ("", _(UNSET), _(BY_GAUGE)):
                (unsaid if what in silent else same).append(what[:1].lower() + what[1:])
        told = _("Nothing else that this card compares stays.")
        if same:
            told = _("All else stays: {names}.").format(names=", ".join(same))
        if unsaid:
            told += " " + _("Not said in full for either task: {names}.").format(names=", ".join(unsaid))
        return told

    def silent(self) -> set[str]:
        """What nobody said of the task before, or not all of it: none of that can be said to stay."""
        side = self.card.before
        said = side.hazards or Hazards()
        bare = {
            _("Held by"): any(not one.by or (one.by == "hand" and one.support is None) for one in side.holders),
            _("Operator"): self.person(side) == _("not said"),
            _("Stops"): not side.stops,
            _("Object"): side.object is None or side.object.withstands is None,
            _("Hazards"): any(getattr(said, name) is None for name in HAZARDS),
        }
        return {what for what, unsaid in bare.items() if unsaid}

    def compared(self) -> Iterator[Row]:
        """Everything that is held against each other."""
        sides = (self.card.before, self.card.after)

        def row(label: str, words: Callable[[Side], str]) -> Row:
            return (label, words(sides[0]), words(sides[1]))

        yield row(_("Tool"), self.tools)
        yield row(_("Tips"), self.tips)
        for label, name in ((_("Hoses"), "hoses"), (_("Fittings"), "fittings")):
            yield (label, *self.pieces(*(getattr(side, name) for side in sides)))
        yield row(_("Hose run"), self.run)
        yield row(_("Tool above the pump"), self.rise)
        yield row(_("Pump speed"), self.pump_speed)
        yield row(_("Bypass"), self.bypass)
        yield row(_("Gauge"), self.target)
        yield row(_("At the tip"), self.nozzle)
        yield row(_("Proving point"), self.proving)
        yield row(_("Recoil"), self.recoil)
        yield row(_("Held by"), self.holders)
        yield row(_("Operator"), self.person)
        yield row(_("Stops"), self.stops)
        yield row(_("Restraints"), self.restraints)
        yield row(_("Object"), self.object)
        yield row(_("Hazards"), self.hazards)

    def each(self, texts: Sequence[str]) -> str:
        """One text for each tool, with its branch where they differ."""
        if len(set(texts)) == 1:
            return texts[0] if len(texts) == 1 else _("each {text}").format(text=texts[0])
        return ", ".join(f"{number}: {text}" for number, text in enumerate(texts, start=1))

    def tools(self, side: Side) -> str:
        """The tools by name."""
        alike = len(side.tools) > 1 and len(set(side.tools)) == 1
        return f"{len(side.tools)} × {side.tools[0]}" if alike else self.each(side.tools)

    def tips(self, side: Side) -> str:
        """The tips of each tool."""
        texts = []
        for number in range(1, len(side.tools) + 1):
            rows = [tip for tip in side.tips if tip.branch == number]
            bores = [_("rated") if tip.bore is None else self.show(tip.bore, "mm") for tip in rows]
            texts.append(" + ".join(f"{tip.count} × {tip.tip} ({bore})" for tip, bore in zip(rows, bores, strict=True)))
        return self.each(texts)

    def pieces(self, before: Sequence[str], after: Sequence[str]) -> tuple[str, str]:
        """What is taken out and what is put in; where neither is, what is there, on both sides."""
        out, put = Counter(before) - Counter(after), Counter(after) - Counter(before)
        if self.card.after.verdict == "not_allowed":  # nothing is fitted
            return counted(Counter(before)) or _("none"), counted(Counter(after)) or _("none")
        if not out and not put:
            there = counted(Counter(before)) or _("none")
            return there, there
        taken = _("take out {pieces}").format(pieces=counted(out)) if out else ""
        return taken, _("put in {pieces}").format(pieces=counted(put)) if put else ""

    def run(self, side: Side) -> str:
        """Main run and branches in the order the water flows."""
        main, *own = side.run
        if len(own) == 1:
            return in_order((*main, *own[0])) or _("none")
        branches = [f"{number}: {in_order(items) or _('none')}" for number, items in enumerate(own, start=1)]
        return "; ".join(filter(None, (in_order(main), *branches)))

    def rise(self, side: Side) -> str:
        """Height of each tool."""
        return self.each([as_written(rise, "length", self.system) for rise in side.rise])

    def pump_speed(self, side: Side) -> str:
        """Of the setting, in what the panel shows."""
        if side.setting is None or side.setting.pump_speed is None:
            return _(UNSET)
        return _("about {speed}").format(speed=self.speed(side.setting.pump_speed))

    def bypass(self, side: Side) -> str:
        """Of the setting."""
        setting = side.setting
        if setting is None:
            return _(UNSET)
        if setting.bypass == "part open":
            opening = self.stem(setting.bypass_area)
            return _("part open, {opening}").format(opening=opening) if opening else _(BY_GAUGE)
        if setting.bypass == "regulating" and setting.opening_pressure is not None:
            opens = self.show(setting.opening_pressure, "bar")
            return _("regulating, opens at about {pressure}").format(pressure=opens)
        words = {"closed": _("closed"), "open": _("fully open"), "regulating": _("regulating")}
        return words[setting.bypass]

    def target(self, side: Side) -> str:
        """The gauge to reach."""
        if side.setting is None or side.setting.pump_pressure is None:
            return _(UNSET)
        return gauge_figure(side.setting.pump_pressure, self.gauge, self.system)

    def nozzle(self, side: Side) -> str:
        """The pressure behind the tips."""
        if side.nozzle is None:
            return _(UNSET)
        return self.each([self.show(pressure, "bar") for pressure in side.nozzle])

    def proving(self, side: Side) -> str:
        """Where the gauge must stand before anyone goes on."""
        point = side.proving
        if point is None:
            return _(UNSET)
        shown = gauge_figure(point.gauge, self.gauge, self.system)
        if point.band is not None:
            shown = gauge_band(*point.band, self.gauge, self.system)
        words = _("{gauge} at {speed}, bypass shut")
        if self.job.unit.bypass.kind == "regulating":
            words = _("{gauge} at {speed}, regulator brought in")
        elif self.job.unit.bypass.kind == "unloader":
            words = _("{gauge} at {speed}, unloader shut")
        elif point.bypass_area == self.job.unit.bypass.full_open_area:
            words = _("{gauge} at {speed}, bypass fully open")
        elif point.bypass_area > 0.0:
            words = _("{gauge} at {speed}, set by the gauge alone")
            if self.stem(point.bypass_area):
                words = _("{gauge} at {speed}, bypass {opening} open")
        return words.format(gauge=shown, speed=self.speed(point.pump_speed), opening=self.stem(point.bypass_area))

    def recoil(self, side: Side) -> str:
        """As planned, which way, and across."""
        if side.recoil is None:
            return _(UNSET)
        texts = []
        for along, across in side.recoil:
            words = _("back {force}") if along >= 0.0 else _("forward {force}")
            text = words.format(force=force(abs(along), self.system))
            if across >= PUSH:
                text += ", " + _("{force} across").format(force=force(across, self.system))
            texts.append(text)
        return self.each(texts)

    def holders(self, side: Side) -> str:
        """Who or what holds each tool, and with which support."""
        return self.each([self.holder(holder) for holder in side.holders])

    def holder(self, holder: Holder) -> str:
        """One of them."""
        if not holder.by:
            return _("nobody said")
        if holder.by != "hand":
            return holder.name or holder_words(holder.by)
        return {
            "none": _("hand, no body rest"),
            "body rest": _("hand, with a body rest"),
            None: _("hand; a body rest is not said"),
        }[holder.support]

    def person(self, side: Side) -> str:
        """Who may stand there, and where."""
        person = side.person
        if person is None:
            return _("not said")
        parts = []
        if person.lightest is not None:
            parts.append(_("{mass} or heavier").format(mass=self.show(person.lightest, "kg")))
        if person.place is not None:
            parts.append(_(PLACES[person.place]))
        if person.guard_rail is not None:
            parts.append(_("with a guard rail") if person.guard_rail else _("no guard rail"))
        return ", ".join(parts) or _("not said")

    def stops(self, side: Side) -> str:
        """The ways to stop, and who holds each."""
        return ", ".join(f"{n}. {stop}" for n, stop in enumerate(side.stops, 1)) or _("not named")

    def restraints(self, side: Side) -> str:
        """Whip checks and shrouds that the run needs."""
        checks, shrouds = side.restraints.whip_checks, side.restraints.shrouds
        return ", ".join(
            (
                ngettext("{n} whip check", "{n} whip checks", checks).format(n=checks),
                ngettext("{n} hose shroud", "{n} hose shrouds", shrouds).format(n=shrouds),
            )
        )

    def object(self, side: Side) -> str:
        """What is cleaned, and what it withstands."""
        cleaned = side.object
        if cleaned is None:
            return _("not said")
        if cleaned.withstands is None:
            return _("{what}, withstands: not said").format(what=cleaned.what)
        return _("{what}, withstands {pressure} ({source})").format(
            what=cleaned.what,
            pressure=rated(cleaned.withstands, self.system),
            source=source_words(cleaned.source or "") or _("source not said"),
        )

    def hazards(self, side: Side) -> str:
        """What is there, and what nobody said."""
        told = side.hazards or Hazards()
        states = {name: getattr(told, name) for name in HAZARDS}

        def listed(state: bool | None) -> str:
            names = (limit_name(f"hazard.{name}") for name, said in states.items() if said is state)
            return ", ".join(name[:1].lower() + name[1:] for name in names)

        parts = [listed(True)]
        if listed(None):
            parts.append(_("not said: {names}").format(names=listed(None)))
        return "; ".join(filter(None, parts)) or _("none")

    # ---- the way there

    def steps(self, *, short: bool = False) -> Iterator[tuple[str, list[tuple[str, str, str, str]], list[str]]]:
        """Planned stop, change, run-up: a title, its steps (letter, act, speed, gauge), and what stands under them.

        short: without the openings of the bypass on the way up.
        """
        card, place = self.card, 0
        titles = {
            "stop": _("Stop “{task}”, with the gauge to expect").format(task=card.before.name),
            "change": _("Change over"),
            "run-up": _("Run up “{task}”, with the gauge to expect").format(task=card.after.name),
        }
        for part, title in titles.items():
            rows = []
            for step in card.steps:
                if _part(step) == part:
                    rows.append((step_letter(place), *self.step(_without_openings(step) if short else step)))
                    place += 1
            under = []
            if part == "run-up" and rows:
                under.append(_(AGREED))
            if part == "stop" and card.after.verdict == "not_allowed":
                words = _(
                    "“{task}” is not allowed: it stays locked. Nothing is fitted and nothing is set until the rig or "
                    "the target is changed and planned again."
                )
                under.append(words.format(task=card.after.name))
            if rows or under:
                yield title, rows, under

    def step(self, step: StepAt) -> tuple[str, str, str]:
        """What is done, at which speed, what the gauge must show."""
        act, why = step_words(step, self.system, self.gauge)
        if step.why == "band":
            act = f"{act} {why}"
        gauge = "" if step.gauge is None else gauge_band(*step.gauge, self.gauge, self.system)
        return act, "" if not step.pump_speed else self.speed(step.pump_speed), gauge

    # ---- limits and readings

    def limits(self) -> list[Limit]:
        """Each that is not within limits."""
        return [limit for limit in self.card.task.limits if limit.verdict != "within"]

    def reading(self) -> str:
        """The last reading on the old task, and why it does not hold for the new one; "" where it still does."""
        card = self.card
        if not card.readings or not card.expired:
            return ""
        last = max(card.readings, key=lambda reading: reading.day)
        words = _(
            "The reading of {day} on “{before}”, {gauge} at {speed}, does not hold for “{after}”: {what}. It is read "
            "anew at the proving point."
        )
        return words.format(
            day=last.day.isoformat(),
            before=card.before.name,
            gauge=gauge_down(last.gauge, self.gauge, self.system),
            speed=self.speed(last.pump_speed),
            after=card.after.name,
            what=", ".join(_(EXPIRED[word]) for word in card.expired),
        )


def _whole(words: str) -> str:
    """Words in which no number is parted from what it counts."""
    return re.sub(r"(?<=×) |(?<=\d:) ", GLUE, glued(words))


def _without_openings(step: StepAt) -> StepAt:
    return replace(step, facts={key: fact for key, fact in step.facts.items() if key != "openings"})


def _part(step: StepAt) -> str:
    """Under which title a step stands."""
    if step.order == "planned stop":
        return "stop"
    return "run-up" if step.order.startswith("run-up") else "change"


PLACES: Mapping[str, str] = {
    "ground": N_("on the ground"),
    "platform": N_("on a platform"),
    "scaffold": N_("on a scaffold"),
    "ladder": N_("on a ladder"),
}
EXPIRED: Mapping[str, str] = {"tip": N_("other tips"), "hose": N_("other hoses"), "tool": N_("another tool")}
"""Why a reading does not hold, by what differs."""


def counted(pieces: Counter[str]) -> str:
    """How many of each piece. [-]

    Parameters
    ----------
    pieces : Counter of str
        By name. [-]

    Examples
    --------
    >>> counted(Counter(["S8-20", "S8-20", "reducer"]))
    '2 × S8-20, reducer'

    References
    ----------
    Our own convention.
    """
    return ", ".join(name if count == 1 else f"{count} × {name}" for name, count in pieces.items())


def in_order(items: Sequence[str]) -> str:
    """A hose run as a person says it, equal neighbours together. [-]

    Parameters
    ----------
    items : Sequence of str
        Names from the pump outward. [-]

    Examples
    --------
    >>> in_order(("W13-20", "reducer", "S8-20", "S8-20"))
    'W13-20, reducer, 2 × S8-20'

    References
    ----------
    Our own convention.
    """
    groups: list[tuple[str, int]] = []
    for name in items:
        if groups and groups[-1][0] == name:
            groups[-1] = (name, groups[-1][1] + 1)
        else:
            groups.append((name, 1))
    return ", ".join(name if count == 1 else f"{count} × {name}" for name, count in groups)
