"""The facts of a job sheet: every word and figure that stands on one task's page; `press` makes the page of them."""

import datetime
import math
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from jetwright import __version__, units
from jetwright.limits.limit import Limit, counts
from jetwright.plan.answer import Plan, StepAt, TaskPlan, ToolState
from jetwright.report.figures import as_written, figure, half_width, number, percent, printed, rated
from jetwright.report.gauge import gauge_band, gauge_ends, gauge_figure, gauge_number, gauge_tolerance
from jetwright.report.limits import (
    LONG,
    filled,
    limit_figure,
    limit_figures,
    limit_title,
    margin_words,
    missing_words,
    source_words,
    standing_words,
    worst_push,
)
from jetwright.report.profile import FAMILY, profile_svg
from jetwright.report.remedies import CUT, cure_words, distinct, remedy_sentence
from jetwright.report.steps import brief_words, numbered, openings_words, step_act, step_notes, step_words
from jetwright.report.terminal import GLUE, glued
from jetwright.report.wording import (
    _,
    force,
    left_words,
    ngettext,
    release_words,
    rules_words,
    speed_words,
    spoken,
    stop_words,
    verdict_words,
)
from jetwright.rig.description import Job, Task, Tool

PAPERS = {"a4": "a4", "letter": "us-letter"}
BESIDE = (401.0, 10.0)
"""Width of the profile beside the run-up, and the height of its letters. [px]"""
ACROSS = (860.0, 11.0)
"""The same across the whole page."""
WEIGHTY = ("prove", "prove_spill", "stay", "screw_in", "raise")
"""How the ids of those steps end that stand out: what is proved there, or reached."""
LAST = "letting go"
"""The order after the run-up; what is done at no speed of its own."""
FIRST = ("hazard", "recoil", "person.stops")
"""Topics and limits that no sheet leaves out where they are not judged: what hurts, who can stop it, what is held."""
LEAST = 4
"""So many of the others that are not judged stand on the front however full it is; the back has the rest."""
MOST_CHANGES = 6
"""So many changes find room on the front, the last of them for how many more there are."""
ALIKE = 5.0
"""A change of recoil smaller than this is not felt. [N]"""
MOST_PUSHES, MOST_FELT, MOST_TIPS = 4, 3, 2
"""So many tools' pushes, triggers let go and kinds of tool find room; the hardest pushes first, the rest counted."""
ARROW = " → "
"""Between what was and what cures; the page's font lacks it."""
UNBROKEN, KEYS, STEP = 20, 28, 12
"""A word of so many letters may be broken, and a key of so many, between its words or after every so many. [-]"""
BREAK = "\u200b"
"""A line may end here; nothing is drawn."""


@dataclass(frozen=True, slots=True)
class Changed:
    """What was written anew after a refusal: what it is called, from, to (both as written), who, when.

    before "": it was not there; after "": it is not there any more; both: a refused task of that name was not compared.
    """

    key: str
    before: str
    after: str
    who: str
    when: datetime.date


@dataclass(frozen=True, slots=True)
class Signed:
    """Who signed a task, as what, when, and why in spite of each thing to look at first.

    reasons: limits, and the reason given for them: one to look at first, or some that lack one fact.
    crew: in whose name, "" where there are no crews; practice: in a demo crew, for nobody to work from.
    """

    who: str
    role: str
    at: str
    reasons: Sequence[tuple[Sequence[Limit], str]]
    crew: str = ""
    practice: bool = False

    def words(self) -> str:
        """Who, as what, of which crew, when; and where nobody works from it, that. [-]"""
        line = _("{who}, {role} of {crew}, {when}") if self.crew else _("{who}, {role}, {when}")
        if self.practice:
            line = _("{who}, {role} of {crew}, {when}. For practice: signed in a demo crew")
        return line.format(who=self.who, role=self.role, crew=self.crew, when=self.at)


def _change_words(each: Changed) -> str:
    if each.before and each.after:
        return _("{key}: from {before} to {after}, {who}, {when}")
    if each.after:
        return _("{key}: was not there, now {after}, {who}, {when}")
    if each.before:
        return _("{key}: was {before}, is not there any more, {who}, {when}")
    return _("{key}: refused before, not compared, {who}, {when}")


def _changed_lines(changed: Sequence[Changed]) -> list[str]:
    return [
        _change_words(each).format(
            key=each.key, before=each.before, after=each.after, who=each.who, when=each.when.isoformat()
        )
        for each in changed
    ]


class _Sheet:
    """The facts of one sheet, in words."""

    def __init__(
        self,
        plan: Plan,
        task: TaskPlan,
        job: Job,
        system: str,
        changed: Sequence[Changed],
        place: int,
        signed: Signed | None,
        back: Mapping[str, Any] | None = None,
    ) -> None:
        self.plan, self.task, self.job, self.system, self.changed = plan, task, job, system, changed
        self.signed, self.has_back = signed, back is not None
        lettered = [] if back is None else back.get("lettered", [])
        self.letters = [letter for letter, _id in lettered]
        self.lettered = {known: letter for letter, known in lettered if known}
        self.asked = task.verdict == "not_allowed"
        self.gauge = job.unit.gauge
        self.place = place
        self.described: Task = job.task[self.place]
        self.several = len(task.tools) > 1

    def show(self, value: float, unit: str) -> str:
        """Number and unit."""
        return figure(value, unit, self.system)

    # ---- the head

    def head(self) -> dict[str, Any]:
        """Job, task, rig, day."""
        job, described = self.job, self.described
        if described.branches:
            branches = [
                f"{n}: {_run_words((*branch.hose_run, branch.tool))}" for n, branch in enumerate(described.branches, 1)
            ]
            rig = " · ".join(filter(None, [_run_words(described.hose_run), *branches]))
        else:
            rig = " · ".join(filter(None, [_run_words(described.hose_run), described.tool]))
        if described.rise:
            height = as_written(abs(described.rise), "length", self.system)
            words = _("tool {height} above the pump") if described.rise > 0.0 else _("tool {height} below the pump")
            rig += " · " + words.format(height=height)
        cleaned = described.object
        if cleaned is not None:
            rig += " · " + _("on {what}").format(what=cleaned.what)
            if cleaned.withstands is not None:
                rig += ", " + _("withstands {pressure} ({source})").format(
                    pressure=rated(cleaned.withstands, self.system),
                    source=source_words(cleaned.source or "") or _("source not said"),
                )
        when = _("{day} · task {n} of {all}").format(day=self.plan.day.isoformat(), n=self.place + 1, all=len(job.task))
        return {"job": f"{self.plan.title} · {job.unit.name}", "task": self.task.name, "rig": rig, "when": when}

    def verdict(self) -> dict[str, str]:
        """The verdict, and how many limits made it."""
        counts = {each: sum(limit.verdict == each for limit in self.task.limits) for each in _ORDER}
        judged = len(self.task.limits) - counts["not_judged"]
        notes = []
        if counts["not_allowed"]:
            notes.append(_("{n} of {all} limits refuse it").format(n=counts["not_allowed"], all=judged))
        if counts["look"]:
            notes.append(_("{n} of {all} limits to look at").format(n=counts["look"], all=judged))
        if not notes:
            notes.append(ngettext("{n} limit judged", "{n} limits judged", judged).format(n=judged))
        if counts["not_judged"]:
            notes.append(_("{n} not judged").format(n=counts["not_judged"]))
        word = verdict_words(self.task.verdict)
        return {"verdict": self.task.verdict, "word": word[:1].upper() + word[1:], "note": ", ".join(notes)}

    # ---- refused

    def refused(self) -> dict[str, Any] | None:
        """Why nothing here is to be set, and what would cure it."""
        if not self.asked:
            return None
        limits = [limit for limit in self.task.limits if limit.verdict == "not_allowed"]
        reasons = [
            {
                "what": limit_title(limit, alone=not self.several),
                "how": " · ".join(
                    filter(
                        None, [limit_figures(limit, self.system), remedy_sentence(limit, self.system, self.job.unit)]
                    )
                ),
                "source": standing_words(limit),
            }
            for limit in limits
        ]
        found = distinct([cure for limit in limits for cure in limit.cures])
        cures = [cure_words(cure, self.system, self.job.unit).replace(ARROW, _(" to ")) for cure in found]
        return {
            "word": _("NOT ALLOWED"),
            "note": _(
                "Nothing on this sheet is to be set. It is cured by changing the rig or the target, and planned again."
            ),
            "reasons": reasons,
            "more_reasons": _more(len(reasons), lambda n: ngettext("{n} more reason", "{n} more reasons", n)),
            "cures_title": _("What would cure it, each solved again"),
            "cures": cures,
            "cut": _(CUT) if self.task.cures_cut else "",
            "more_cures": _more(len(cures), lambda n: ngettext("{n} more cure", "{n} more cures", n)),
        }

    # ---- the change card

    def change(self) -> dict[str, Any] | None:
        """What must not be left on from the task before."""
        left = self.task.left
        if left is None or self.asked:
            return None
        first, told = left_words(left, self.system, gauge_figure(left.gauge, self.gauge, self.system))
        start = _("Start speed is {speed}.").format(
            speed=speed_words(self.task.proving_point.pump_speed, self.job.unit)
        )
        return {"first": first, "left": f"{told} {start}", "warn": left.relief_opens or self.left_refused()}

    def left_refused(self) -> bool:
        """Whether a limit about the setting left over is not within."""
        return any(limit.id == "recoil.left" and limit.verdict in ("look", "not_allowed") for limit in self.task.limits)

    # ---- settings

    def settings(self) -> dict[str, Any]:
        """What is put on the machine, in what the panel shows."""
        setting, unit = self.task.setting, self.job.unit
        tiles = []
        if setting.pump_pressure is not None:
            tiles.append(
                self.tile(
                    _("Gauge at the pump"), self.gauge_shown(), printed("bar", self.system), self.gauge_note(), 1.1
                )
            )
        direct = unit.drive.kind == "direct"
        if setting.pump_speed is None:
            tiles.append(self.tile(_("Pump speed"), "–", "", _("not to be had at any speed"), 1.0))
        elif "pump speed" in unit.shows or not unit.shows:
            tiles.append(self.tile(_("Pump speed"), number(setting.pump_speed, "rpm"), "rpm", self.speed_note(), 1.0))
        if direct and setting.engine_speed is not None and ("engine speed" in unit.shows or not unit.shows):
            tiles.append(
                self.tile(_("Engine speed"), number(setting.engine_speed, "rpm"), "rpm", self.engine_note(), 1.0)
            )
        tiles.append(self.tile(_("Bypass"), _bypass_word(setting.bypass), "", self.bypass_note(), 1.15))
        for name, value, note in self.tips():
            tiles.append(self.tile(name, value, "", note, 1.1))
        title = _("Asked for, not to be set") if self.asked else _("Set")
        return {"title": title, "tiles": tiles}

    def tile(self, label: str, value: str, unit: str, note: str, weight: float) -> dict[str, Any]:
        """One large figure."""
        return {"label": label, "value": value, "unit": unit, "note": note, "weight": weight, "asked": self.asked}

    def gauge_shown(self) -> str:
        """The gauge to reach."""
        return gauge_number(self.task.setting.pump_pressure or 0.0, self.gauge, self.system)

    def gauge_note(self) -> str:
        """How far off the gauge may be, and what stands at the tip."""
        pressure, tolerance = self.task.setting.pump_pressure or 0.0, self.task.tolerance
        tips = dict.fromkeys(self.show(tool.nozzle, "bar") for tool in self.task.tools)
        notes = []
        if tolerance is not None and not self.asked:
            ends = gauge_ends(pressure, tolerance)
            if ends is not None:
                within = gauge_tolerance(pressure, *ends, self.gauge, self.system)
                notes.append(_("{within}, middle of the flutter").format(within=within))
        if self.gauge is None:
            notes.append(_("no gauge is described"))
        if "engine speed" in self.job.unit.shows and "pump speed" not in self.job.unit.shows:
            notes += self.engine_told()
        if tips:
            notes.append(_("{pressure} at the tip").format(pressure=_(" and ").join(tips)))
        return "; ".join(notes)

    def speed_note(self) -> str:
        """How nearly the speed is known."""
        setting, tolerance = self.task.setting, self.task.tolerance
        assert setting.pump_speed is not None
        if self.asked:
            top = self.job.unit.pump.top_speed
            return _("top speed is {speed}").format(speed=figure(top, "rpm")) if setting.pump_speed > top else ""
        notes = [_("about")]
        if tolerance is not None and tolerance.pump_speed is not None:
            apart = half_width(setting.pump_speed, tolerance.pump_speed, "rpm")
            low, high = (number(speed, "rpm") for speed in tolerance.pump_speed)
            notes = [
                _("about, ± {apart} rpm").format(apart=apart)
                if apart is not None
                else _("about, {low} to {high} rpm").format(low=low, high=high)
            ]
        if not self.job.unit.shows:
            notes.append(_("the panel shows no speed: raise it by the gauge"))
        else:
            notes.append(_("the gauge decides"))
        return "; ".join(notes + self.engine_told())

    def engine_told(self) -> list[str]:
        """Where the engine goes by itself, for whoever sees its speed on the panel; nobody sets it."""
        unit, setting = self.job.unit, self.task.setting
        if setting.engine_speed is None or unit.drive.kind == "direct" or "engine speed" not in unit.shows:
            return []
        return [_("engine {note}").format(note=self.engine_note())]

    def engine_note(self) -> str:
        """Who sets the engine's speed."""
        power = self.task.power
        load = (
            ""
            if power is None or power.engine_load is None
            else _("{share} load").format(share=percent(power.engine_load))
        )
        if self.job.unit.drive.kind == "direct":
            return "; ".join(filter(None, ["" if self.asked else _("about; the gauge decides"), load]))
        speed = figure(self.task.setting.engine_speed or 0.0, "rpm")
        return ", ".join(filter(None, [_("sets itself to {speed}").format(speed=speed), load]))

    def bypass_note(self) -> str:
        """How the bypass is brought to its place."""
        setting, bypass = self.task.setting, self.job.unit.bypass
        if self.asked:
            return self.show(setting.bypass_area, "mm2") if setting.bypass_area > 0.0 else ""
        if setting.bypass == "part open":
            if bypass.turns is None or setting.bypass_open_share is None:
                return _("close it slowly until the gauge shows it; by the gauge alone")
            opened = self.opening(setting.bypass_area, bypass.turns * setting.bypass_open_share)
            return _("close it slowly until the gauge shows it; about {opened} open").format(opened=opened)
        if setting.bypass == "open":
            return _("leave it fully open")
        if setting.bypass == "regulating":
            opening = setting.opening_pressure
            note = _("trigger held, screw it in until the gauge shows it")
            if self.no_trigger():
                note = _("screw it in until the gauge shows it")
            if opening is not None:
                note += "; " + _("opens at about {pressure}").format(pressure=self.show(opening, "bar"))
            return note
        if bypass.kind == "unloader":
            return _("the unloader stays shut while the trigger is held")
        if bypass.kind == "regulating":
            return _("regulator in until nothing spills, no further")
        return _("shut it at start speed, {speed}, and leave it shut").format(
            speed=speed_words(self.task.proving_point.pump_speed, self.job.unit)
        )

    def no_trigger(self) -> bool:
        """Whether no tool of the task has one."""
        steps = self.task.run_up
        return bool(steps) and all(step.facts.get("no_trigger") for step in steps)

    def tips(self) -> Iterable[tuple[str, str, str]]:
        """The tips that belong in each kind of tool: those that push hardest, the others counted."""
        seen: dict[str, ToolState] = {}
        for tool in self.hardest():
            seen.setdefault(tool.tool, tool)
        left = len(seen) - MOST_TIPS
        for place, (name, tool) in enumerate(list(seen.items())[:MOST_TIPS], 1):
            label = _("Tips in {tool}").format(tool=name)
            value = " + ".join(f"{jet.count} × {jet.tip}" for jet in tool.jets)
            bores = dict.fromkeys(
                as_written(jet.bore, "length", self.system) if jet.bore is not None else _("rated") for jet in tool.jets
            )
            note = ", ".join([*bores, self.show(tool.flow, "L/min")])
            if place == MOST_TIPS and left > 0:
                words = ngettext("{n} more tool: see the plan", "{n} more tools: see the plan", left)
                note += "; " + words.format(n=left)
            yield label, value, note

    # ---- run-up and letting go

    def run_up(self) -> dict[str, Any] | None:
        """The steps to the target, with the gauge to expect."""
        if self.asked:
            return None
        steps = numbered(self.task.run_up)
        if not steps:
            return None
        rows = [self.step(n, step, [one for _n, one in steps[: n - 1]]) for n, step in steps]
        low = next((step.gauge for step in self.task.run_up if step.id == "stop.open"), None)
        stop = stop_words(self.task.run_up, "" if low is None else gauge_band(*low, self.gauge, self.system))
        if stop:
            rows.append(_row(len(rows) + 1, stop, gauge_figure(0.0, self.gauge, self.system)) | {"kept": True})
        return {
            "title": _("Run up, with the gauge to expect"),
            "rows": rows,
            "under": _("Second page of the job sheet"),
            "notes": self.away(rows, "note"),
            "more": self.away(rows, "note", "say"),
            "all": self.whole(rows),
            "card": self.on_card(rows),
        }

    def step(self, n: int, step: StepAt, before: Sequence[StepAt]) -> dict[str, Any]:
        """A step of the way up, its openings in their own table; its brief words are the sheet's, all the page's."""
        notes = step_notes(self.without_told(step, before), self.system, self.gauge)
        gauge = "" if step.gauge is None else gauge_band(*step.gauge, self.gauge, self.system)
        weighty = step.order == LAST or step.id.endswith(WEIGHTY)
        return _row(n, step_act(step, self.system, self.gauge), gauge) | {
            "at": [speed_words(step.pump_speed, self.job.unit)] if step.pump_speed and step.order != LAST else [],
            "note": _whole(" ".join(notes)),
            "say": step_words(step, self.system, self.gauge)[1] if step.why == "band" else "",
            "opened": _whole(openings_words(step, self.system, self.gauge)),
            "brief": brief_words(step),
            "weighty": weighty,
            "kept": weighty,
            "letter": self.lettered.get(step.id, ""),
        }

    def without_told(self, step: StepAt, before: Sequence[StepAt]) -> StepAt:
        """A step without its openings, and without the engine's speed where that is told beside it or before it."""
        told = {"openings"}
        speed = step.pump_speed
        beside = bool(speed) and speed_words(speed or 0.0, self.job.unit) != figure(speed or 0.0, "rpm")
        if beside or "speeds" in step.facts or speed in [one.pump_speed for one in before]:
            told |= set() if step.facts.get("faster") else {"engine_speed"}
        return replace(step, facts={key: fact for key, fact in step.facts.items() if key not in told})

    def away(self, rows: Sequence[Mapping[str, Any]], *keys: str) -> dict[str, Any]:
        """What is told of the steps and has no room on the front: for the back, or a page of its own."""
        told = [(row["n"], " ".join(row[key] for key in keys if row[key])) for row in rows]
        return {
            "title": _("Run up, more of the front's steps"),
            "where": _("* more on the back") if self.has_back else _("* more on the second page"),
            "told": [_row(n, words) for n, words in told if words],
            "opened": [_row(row["n"], row["opened"]) for row in rows if row["opened"]],
        }

    def whole(self, rows: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
        """Every step with all that is told of it, where the front has room for the last ones alone."""
        told = []
        for row in rows:
            act = " ".join(row[key] for key in ("act", "opened", "note", "say") if row[key])
            told.append(_row(row["n"], act, row["gauge"]) | {"at": row["at"]})
        where = _("All {n} steps stand on the second page: begin there.")
        if self.has_back:
            where = _("All {n} steps stand on the back: begin there.")
        title = _("Run up, with the gauge to expect")
        return {"title": title, "where": where.format(n=len(told)), "told": told, "opened": []}

    def on_card(self, rows: Sequence[Mapping[str, Any]]) -> dict[str, Any] | None:
        """The front where the change card on the back has some of its steps; None: it has none of them.

        One order for front and back: a line in the place of what stands there names it, and the letters of the card
        that no front has (the stop, the change itself) fall where they come.
        """
        there = [row for row in rows if row["letter"]]
        if not there:
            return None
        return {
            "title": _("Change card, openings of the bypass"),
            "where": _("In this order; letters are steps of the change card on the back."),
            "rows": list(self.by_turns(rows)),
            "told": [],
            "opened": [_row(row["letter"], row["opened"]) for row in there if row["opened"]],
        }

    def by_turns(self, rows: Sequence[Mapping[str, Any]]) -> Iterator[Mapping[str, Any]]:
        """The rows of the front, those of the card as one line for each that follow each other."""
        shared = [self.letters.index(row["letter"]) for row in rows if row["letter"]]
        done, group = shared[0], list[Mapping[str, Any]]()
        if done > 0:
            yield self.there([], 0, done)
        for row in rows:
            if row["letter"]:
                group.append(row)
                continue
            if group:
                upto = self.upto(group[-1], shared)
                yield self.there(group, done, upto)
                done, group = upto, []
            yield row
        if group:
            yield self.there(group, done, self.upto(group[-1], shared))

    def upto(self, row: Mapping[str, Any], shared: Sequence[int]) -> int:
        """The place on the card after a row, with the steps behind it that the card alone has."""
        place = self.letters.index(row["letter"])
        return min((one for one in shared if one > place), default=len(self.letters))

    def there(self, group: Sequence[Mapping[str, Any]], first: int, end: int) -> dict[str, Any]:
        """A line for the steps of the card from one place to before another; group: the rows of the front in them."""
        letters = _span(self.letters[first:end])
        words = _("{letters} on the back.").format(letters=letters)
        if group:
            numbers = _span([row["n"] for row in group])
            words = _("{numbers}: {letters} on the back.").format(numbers=numbers, letters=letters)
        return _row("", words) | {"brief": words}

    def opening(self, area: float, turns: float) -> str:
        """A hole, and the turns of the stem that open it."""
        shown = f"{turns:.1f}" if turns >= 1.0 else f"{turns:.2f}"
        return _("{area}, {n} turns").format(area=self.show(area, "mm2"), n=shown)

    def openings(self) -> dict[str, Any] | None:
        """Openings of the bypass against the gauge, on the way to the target; the last one comes from both steps."""
        found: dict[float, dict[str, str]] = {}
        bar, area_unit = printed("bar", self.system), printed("mm2", self.system)
        for step in self.task.run_up if not self.asked else ():
            rows = step.facts.get("openings")
            for area, turns, pressure in rows if isinstance(rows, tuple) else ():
                turned = "" if turns is None or area == 0.0 else f"{turns:.1f}" if turns >= 1.0 else f"{turns:.2f}"
                found[area] = {
                    "opened": number(area, "mm2", self.system) if area > 0.0 else _("shut"),
                    "turns": turned,
                    "gauge": gauge_figure(pressure, self.gauge, self.system).removesuffix(f" {bar}"),
                }
        if not found:
            return None
        columns = list(found.values())
        turns = _("turns") if any(column["turns"] for column in columns) else ""
        heads = {"opened": _("open, {unit}"), "turns": turns, "gauge": _("gauge, {unit}")}
        heads["opened"], heads["gauge"] = heads["opened"].format(unit=area_unit), heads["gauge"].format(unit=bar)
        note = "" if turns else _("The stem's turns are not given: no hand can set these, follow the gauge.")
        return {"title": _("Opening against gauge, at start speed"), "heads": heads, "columns": columns, "note": note}

    # ---- recoil, what others feel

    def force(self, newton: float) -> str:
        """A force in N and kg, or in lbf."""
        return force(abs(newton), self.system)

    def tool_name(self, tool: ToolState) -> str:
        """A tool, with its branch where there are several."""
        return f"{tool.branch}, {tool.tool}" if self.several else tool.tool

    def recoil(self) -> dict[str, Any]:
        """What each tool pushes, at most, and what may be held."""
        tools = [
            {
                "name": f"{self.tool_name(tool)}:" if self.several else "",
                "force": self.force(tool.recoil),
                "rest": self.held(tool),
            }
            for tool in self.hardest()[:MOST_PUSHES]
        ]
        left = len(self.task.tools) - len(tools)
        more = ngettext("{n} more tool, pushing no harder", "{n} more tools, pushing no harder", left).format(n=left)
        return {"title": _("Recoil"), "tools": tools, "more": more if left > 0 else ""}

    def hardest(self) -> list[ToolState]:
        """The tools, the hardest push first; alike ones in their order."""
        return sorted(self.task.tools, key=lambda tool: -max(abs(tool.recoil), self.most(tool)))

    def most(self, tool: ToolState) -> float:
        """The highest push that a limit or the tolerances tell of a tool. [N]"""
        bound = self.bound_of(tool)
        worst = None if bound is None else worst_push(self.task.limits, bound)
        return self.cautious(tool) if worst is None else worst[0]

    def cautious(self, tool: ToolState) -> float:
        """The push with everything as far off as it may be. [N]"""
        pushes = self.task.tolerance.recoil if self.task.tolerance is not None else ()
        return dict(zip((each.branch for each in self.task.tools), pushes, strict=False)).get(tool.branch, 0.0)

    def held(self, tool: ToolState) -> str:
        """Which way a tool pushes, how hard at most, who holds it and what may be held."""
        rest = [_("back")] if tool.recoil > 0.0 else [_("forward")]
        if abs(tool.recoil) < 0.5:
            rest = [_("along its axis")]
        if tool.recoil_side >= 0.5:
            rest.append(_("{force} across").format(force=self.force(tool.recoil_side)))
        bound = self.bound_of(tool)
        worst = None if bound is None else worst_push(self.task.limits, bound)
        if worst is not None:
            rest.append(_("at most {force}: {when}").format(force=self.force(worst[0]), when=worst[1]))
        elif self.cautious(tool) >= 0.5:
            rest.append(_("up to {force}").format(force=self.force(self.cautious(tool))))
        rest.append(_held_words(self.job.tools.get(tool.tool)))
        if bound is not None and bound.bound is not None:
            rest.append(_("a hand may hold {bound} like this").format(bound=self.force(bound.bound)))
        return ", ".join(filter(None, rest))

    def bound_of(self, tool: ToolState) -> Limit | None:
        """The limit on what a person may hold of a tool."""
        about = (f"tools.{tool.tool}", f"branch.{tool.branch}", "")
        found = [limit for limit in self.task.limits if limit.id == "recoil.hand" and limit.about in about]
        return min(found, key=lambda limit: limit.bound or math.inf, default=None)

    def others(self) -> dict[str, Any]:
        """What letting go does, and what the others feel."""
        lines: list[str] = []
        if self.asked:
            return {"title": _("When somebody lets go"), "lines": lines}
        release = self.task.release
        if release is not None:
            lines.append(release_words(release, self.system, gauge_figure(release.gauge, self.gauge, self.system)))
        lines += self.felt()
        return {"title": _("When somebody lets go"), "lines": lines}

    def felt(self) -> list[str]:
        """For each tool let go alone, what the others then hold; the largest change first."""
        states, tools = self.task.states, self.task.tools
        if len(tools) < 2 or not states or not all(states[0].held) or len(states[0].tools) != len(tools):
            return []
        found: list[tuple[float, str]] = []
        for state in states[1:]:
            gone = [n for n, held in enumerate(state.held) if not held]
            if len(gone) != 1 or state.pump_pressure is None:
                continue
            changes = []
            for n, held in enumerate(state.held):
                before, after = (math.hypot(at.tools[n].along, at.tools[n].across) for at in (states[0], state))
                if held:
                    changes.append((abs(after - before), n, before, after))
            apart, n, before, after = max(changes)
            words = _("{one} lets go: {other} feels {after}, not {before}; gauge {gauge}")
            if apart < ALIKE:
                words = _("{one} lets go: {other} feels no change; gauge {gauge}")
            said = words.format(
                one=self.tool_name(tools[gone[0]]),
                other=self.tool_name(tools[n]),
                after=self.force(after),
                before=self.show(before, "N"),
                gauge=gauge_figure(state.pump_pressure, self.gauge, self.system),
            )
            found.append((apart, said))
        lines = [words for _apart, words in sorted(found, key=lambda each: -each[0])]
        if len(lines) > MOST_FELT:
            more = len(lines) - MOST_FELT
            words = ngettext("{n} more, felt no harder", "{n} more, felt no harder", more)
            lines[MOST_FELT:] = [words.format(n=more)]
        return lines

    # ---- limits

    def limits(self) -> dict[str, Any]:
        """Every limit: what was not judged first, then what to look at, then the narrowest margin of each kind."""
        limits = sorted(self.task.limits, key=_rank)
        look = [limit for limit in limits if limit.verdict == "look"]
        within: dict[tuple[str, str], list[Limit]] = {}
        for limit in limits:
            if limit.verdict == "within":
                within.setdefault((limit.id, limit.quantity), []).append(limit)
        good = [each[0] for each in within.values()]
        marks = {source: _letter(n) for n, source in enumerate(dict.fromkeys(map(standing_words, look + good)))}
        kept = [sum(len(each) for each in list(within.values())[shown:]) for shown in range(len(good) + 1)]
        others = [sum(len(each) - 1 for each in list(within.values())[:shown]) for shown in range(len(good) + 1)]
        words = _("{n} more within limits, see jetwright check")
        if self.signed is not None:
            words = _("{n} more within limits: see the page of this record")
        return {
            "title": _("Limits"),
            "look": [self.limit_row(limit, marks) for limit in look],
            "within": [self.limit_row(limit, marks) for limit in good],
            "more_look": _more(len(look), lambda n: ngettext("{n} more to look at", "{n} more to look at", n)),
            "more_within": [
                words.format(n=rest + alike) if rest + alike else "" for rest, alike in zip(kept, others, strict=True)
            ],
            "whys": _("Why each was signed: see the back"),
            "sources": [{"mark": mark, "words": words} for words, mark in marks.items()],
            "quoted": "" if spoken() == "en" else _("Sources are quoted as they are written."),
            "not_judged": self.not_judged(),
        }

    def not_judged(self) -> dict[str, Any]:
        """What lacks a fact, by the fact that it lacks; what may hurt before the rest, and never left out."""
        limits = [limit for limit in self.task.limits if limit.verdict == "not_judged"]
        hurts = [limit for limit in limits if limit.id in FIRST or limit.id.split(".")[0] in FIRST]
        first = self.lacking(hurts)
        rest = [line for line in self.lacking([limit for limit in limits if limit not in hurts]) if line not in first]
        lines, kept = [*first, *rest], len(first)
        words = _("and {n} more on the back.") if self.has_back else _("and {n} more: see jetwright check.")
        return {
            "title": _("Not judged, to be checked by hand:"),
            "lines": lines,
            "kept": kept,
            "more": [
                "." if shown == len(lines) else "; " + words.format(n=len(lines) - shown)
                for shown in range(len(lines) + 1)
            ],
        }

    def lacking(self, limits: Iterable[Limit]) -> list[str]:
        """What is to be done about limits that are not judged, then which they are, by the fact that is lacking."""
        ranked = sorted(limits, key=_rank)
        lacking: dict[str, list[str]] = {}
        for limit in ranked:
            lacking.setdefault(missing_words(limit.missing), []).append(limit_title(limit, alone=not self.several))
        todo = [remedy_sentence(one, self.system, self.job.unit).rstrip(".") for one in ranked]
        named = [f"{', '.join(dict.fromkeys(names))} ({why})" for why, names in lacking.items()]
        return [*dict.fromkeys(filter(None, todo)), *named]

    def overleaf(self) -> list[dict[str, Any]]:
        """What the front may have no room for, for the back: the reasons in full, every change, what is not judged."""
        given = self.reasons()
        parts = [given]
        if len(self.changed) > MOST_CHANGES:
            parts.append(self.part(self.changes_title(), [["", line] for line in _changed_lines(self.changed)]))
        open_ones = self.not_judged()
        rest = open_ones["lines"][open_ones["kept"] :]
        if len(rest) > LEAST:
            told = "" if given is None else " ".join(names for names, _reason in given["rows"])
            left = [f"{line}." for line in rest if line not in told]
            parts.append(self.part(open_ones["title"].rstrip(":"), [], left) if left else None)
        return [part for part in parts if part is not None]

    def part(self, title: str, rows: Sequence[Sequence[str]], notes: Sequence[str] = ()) -> dict[str, Any]:
        """A part of the back in words."""
        return {"title": title, "kind": "words", "heads": [], "rows": rows, "notes": notes}

    def limit_row(self, limit: Limit, marks: Mapping[str, str]) -> dict[str, Any]:
        """One limit."""
        used = filled(limit)
        share = None
        if used is not None:
            share = 0.25 / max(used, 1e-3) if limit.least else 0.75 * used
        value, rest = limit_figures(limit, self.system), ""
        name, remedy = limit_title(limit, alone=not self.several), ""
        if limit.verdict == "look":
            remedy = remedy_sentence(limit, self.system, self.job.unit)
        long = len(value) > LONG
        if long and limit.verdict == "look":
            remedy, value = f"{value[:1].upper()}{value[1:]}. {remedy}", ""
        elif long:
            name, value = f"{name}: {value}", ""
        if limit.value is not None and limit.bound is not None and value:
            for bare in (False, True):
                shown = limit_figure(limit.value, limit.quantity, self.system, bare=bare)
                if value.startswith(shown):
                    value, rest = shown, value.removeprefix(shown).removeprefix(",").strip()
                    break
        return {
            "verdict": limit.verdict,
            "word": verdict_words(limit.verdict),
            "name": name,
            "mark": marks.get(standing_words(limit), ""),
            "bar": None if long else share,
            "least": limit.least,
            "value": value,
            "of": rest,
            "margin": margin_words(limit, self.system),
            "remedy": remedy,
            "seen": _("Looked at by, and why") if limit.verdict == "look" and not self.asked else "",
            "why": self.why(limit),
        }

    def why(self, limit: Limit) -> str:
        """Why a limit to look at first was signed in spite of it."""
        given = () if self.signed is None else self.signed.reasons
        return next((reason for limits, reason in given if limit.verdict == "look" and limit in limits), "")

    def reasons(self) -> dict[str, Any] | None:
        """Every reason given, in full, for the back."""
        if self.signed is None or not self.signed.reasons:
            return None
        about: dict[str, list[str]] = {}
        for limits, reason in self.signed.reasons:
            names = ", ".join(dict.fromkeys(limit_title(limit, alone=not self.several) for limit in limits))
            lacking = {missing_words(limit.missing) for limit in limits if limit.verdict == "not_judged"}
            why = verdict_words("not_judged") if len(lacking) > 1 else "".join(lacking)
            about.setdefault(reason, []).append(f"{names} ({why})" if why else names)
        rows = [["; ".join(names), reason] for reason, names in about.items()]
        return self.part(_("Looked at first by {who}, and why").format(who=self.signed.who), rows) | {"running": True}

    # ---- people, use, papers

    def stops(self) -> dict[str, Any]:
        """Who holds the stops, and what the crew agrees."""
        lines = [f"{n}. {stop}" for n, stop in enumerate(self.described.stops, 1)]
        blanks = [_("Stop {n}, held by").format(n=n) for n in range(len(lines) + 1, 3)]
        blanks += [_("Stop word and signals")]
        needed = self.task.restraints
        if needed is not None and (needed.whip_checks or needed.shrouds):
            checks, shrouds = needed.whip_checks, needed.shrouds
            parts = [
                ngettext("{n} whip check", "{n} whip checks", checks).format(n=checks) if checks else "",
                ngettext("{n} hose shroud", "{n} hose shrouds", shrouds).format(n=shrouds) if shrouds else "",
            ]
            lines.append(_("On this run: {parts}").format(parts=", ".join(filter(None, parts))))
        lines.append(self.wear())
        return {"title": _("Stops and people"), "lines": lines, "blanks": blanks}

    def wear(self) -> str:
        """What is worn at this pressure (common practice)."""
        highest = max([self.task.setting.pump_pressure or 0.0, *(tool.inlet for tool in self.task.tools)])
        always = _("helmet, visor and goggles, hearing protection")
        if highest <= 350e5:
            return _("Wear {always}, waterproofs, metatarsal boots (common practice)").format(always=always)
        if highest <= 1000e5:
            return _("Wear {always}, jet-rated boots, gaiters and gloves (common practice)").format(always=always)
        return _("Wear {always}, jet-rated suit, boots and gloves (common practice)").format(always=always)

    def use(self) -> dict[str, Any]:
        """Water, fuel, DEF, and what is to be taken away."""
        use, unit = self.task.use, self.job.unit
        lines: list[str] = []
        if use is None or self.asked:
            return {"title": _("Use"), "lines": lines}
        planned, usage = self.described.planned_time, self.task.usage
        stock = self.task.water
        water = _("Water {flow}").format(flow=self.show(use.water, "L/min"))
        if stock is not None and stock.lasts is not None:
            water += ", " + _("tank and supply last {minutes} min").format(minutes=f"{stock.lasts / 60.0:.0f}")
        elif stock is not None and stock.short > 0.0:
            water += ", " + _("{flow} more than the supply gives").format(flow=self.show(stock.short, "L/min"))
        elif stock is not None:
            water += ", " + _("the supply keeps up")
        lines.append(water)
        if usage is not None and usage.trigger is not None and usage.waste is not None:
            waste = _("Waste water {volume} in {time} of trigger").format(
                volume=_volume(usage.waste, self.system), time=_hours(usage.trigger)
            )
            if usage.waste_fills is not None:
                waste += ", " + _("fills the waste tank {n} times").format(n=units.show(usage.waste_fills, "", 2))
            lines.append(waste)
        elif planned is not None:
            lines.append(
                _("Waste water {volume} in {time} of trigger").format(
                    volume=_volume(use.water * planned, self.system), time=_hours(planned)
                )
            )
        else:
            lines.append(
                _("Waste water {volume} each hour of trigger").format(volume=_volume(use.water * 3600.0, self.system))
            )
        engine = unit.engine
        if use.fuel is not None:
            fuel = _("Fuel {flow}").format(flow=self.show(use.fuel, "L/h"))
            if engine is not None and engine.fuel_tank is not None and use.fuel > 0.0:
                fuel += ", " + _("a full tank lasts {time}").format(time=_hours(engine.fuel_tank / use.fuel))
            lines.append(fuel)
        if use.def_fluid:
            fluid = _("DEF {flow}").format(flow=self.show(use.def_fluid, "L/h"))
            if engine is not None and engine.def_tank is not None:
                fluid += ", " + _("a full tank lasts {time}").format(time=_hours(engine.def_tank / use.def_fluid))
            lines.append(fluid)
        if use.bypass_temperature is not None and self.task.setting.bypass_flow > 0.0:
            lines.append(
                _("Water comes back from the bypass at {t}").format(t=self.show(use.bypass_temperature, "degC"))
            )
        return {"title": _("Use"), "lines": lines}

    def hoses(self) -> dict[str, Any]:
        """The tag of each hose in the run."""
        lines = []
        names = [item.item for item in self.task.hose_run]
        for name in dict.fromkeys(names):
            hose = self.job.hoses.get(name)
            if hose is None:
                continue
            parts = [f"{names.count(name)} × {name}"]
            parts.append(_("no rating on the tag") if hose.rating is None else rated(hose.rating, self.system))
            parts.append(
                _("test date not said")
                if hose.tested is None
                else _("tested {day}").format(day=hose.tested.isoformat())
            )
            lines.append(", ".join(parts))
        if len(lines) > 5:
            more = len(lines) - 4
            lines[4:] = [ngettext("{n} more tag", "{n} more tags", more).format(n=more)]
        return {"title": _("Hose tags"), "lines": lines}

    def changes(self) -> dict[str, Any] | None:
        """What was written anew after a refusal; on a signed sheet, since the job was made."""
        if not self.changed:
            return None
        lines = _changed_lines(self.changed)
        if len(lines) > MOST_CHANGES:
            more = len(lines) - MOST_CHANGES + 1
            words = ngettext("{n} more change", "{n} more changes", more)
            if self.has_back:
                words = ngettext("{n} more change: see the back", "{n} more changes: see the back", more)
            lines[MOST_CHANGES - 1 :] = [words.format(n=more)]
        return {"title": self.changes_title(), "lines": lines}

    def changes_title(self) -> str:
        """What the changes are called."""
        return _("Changed after a refusal") if self.signed is None else _("Ratings and test dates written anew")

    def card(self) -> dict[str, Any]:
        """What the hospital is told."""
        pressure = max((tool.nozzle for tool in self.task.tools), default=0.0)
        flow = max((jet.flow for tool in self.task.tools for jet in tool.jets), default=0.0)
        facts = _("Jet: {pressure}, {flow} out of one hole. Water of {temperature}, not sterile.").format(
            pressure=self.show(pressure, "bar"),
            flow=self.show(flow, "L/min"),
            temperature=self.show(self.job.supply.temperature, "degC"),
        )
        return {
            "title": _("Struck by the jet: to the hospital at once, with this card"),
            "lines": [
                _(
                    "Water was injected under high pressure. Treat it like a gunshot wound: the hole is small, the "
                    "damage is deep, and how it looks says nothing about it. Skin is broken from about 7 bar (100 psi)."
                ),
                _(
                    "For the doctor: pulse, feeling and movement beyond the wound; X-ray for air and foreign bodies; "
                    "compartment syndrome may follow; a surgeon's opinion early; broad-spectrum antibiotics, cultures."
                ),
                facts,
            ],
            "blanks": [
                [_("Product in the vessel or pipe")],
                [_("Water from"), _("Time, part of the body")],
                [_("Emergency number, address of this place")],
            ],
        }

    def sign(self) -> dict[str, Any]:
        """Who signs."""
        if self.asked:
            return {
                "title": _("Signatures"),
                "notes": [_("Nothing to sign: a task that is not allowed is not set up.")],
                "blanks": [],
            }
        look = sum(limit.verdict == "look" for limit in self.task.limits)
        if self.signed is not None:
            reasons = _more(
                look, lambda n: ngettext("{n} more reason: see the back.", "{n} more reasons: see the back.", n)
            )
            return {"title": _("Signed"), "notes": reasons, "signed": self.signed.words(), "blanks": [_("Operator")]}
        notes = _more(
            look,
            lambda n: ngettext(
                "{n} more to look at: sign it on the printed check.",
                "{n} more to look at: sign them on the printed check.",
                n,
            ),
        )
        if look:
            notes[-1] = _("Each limit to look at first has its own name and reason above.")
        return {"title": _("Signatures"), "notes": notes, "blanks": [_("Crew lead"), _("Operator"), _("Date and time")]}

    def foot(self) -> dict[str, Any]:
        """What this sheet is not, and what it was made from."""
        judged, *looser = rules_words(self.plan.rules, self.system)
        made = [_("Jetwright {version}.").format(version=__version__), judged]
        taken = len(self.task.taken_as)
        if taken:
            made.append(
                ngettext("{n} fact taken, not measured.", "{n} facts taken, not measured.", taken).format(n=taken)
            )
        if len(looser) > 4:
            more = len(looser) - 3
            looser[3:] = [ngettext("{n} more looser bound", "{n} more looser bounds", more).format(n=more)]
        lines = [" ".join(made), *looser]
        caution = _(
            "This sheet supports and never replaces training, the maker's manual, local rules and the competent person "
            "on site. Pressure is changed only by agreement with the operator."
        )
        return {"caution": caution, "lines": lines}

    def profile(self) -> dict[str, str]:
        """The picture, and what it shows in words."""
        wide = self.run_up() is None
        width, text = ACROSS if wide else BESIDE
        height = width * 0.24 if wide else 0.0
        svg = profile_svg(self.task, self.job, self.system, width, height, "light", text)
        told = svg.split("<desc>", 1)[1].split("</desc>", 1)[0]
        title = _("Pressure along the rig, as asked for") if self.asked else _("Pressure along the rig")
        return {"title": title, "svg": svg, "told": told}


_ORDER: tuple[Literal["not_allowed", "look", "within", "not_judged"], ...] = (
    "not_allowed",
    "look",
    "within",
    "not_judged",
)


def _rank(limit: Limit) -> tuple[int, int, float]:
    telling = limit.margin is not None and limit.quantity != "count" and filled(limit) is not None
    margin = limit.margin if telling and limit.margin is not None else math.inf
    return _ORDER.index(limit.verdict), int(limit.verdict == "not_judged" and not counts(limit)), margin


def _more(count: int, words: Callable[[int], str]) -> list[str]:
    """For each number of lines shown, how many more there are."""
    return [words(count - shown).format(n=count - shown) if shown < count else "" for shown in range(count + 1)]


def _letter(place: int) -> str:
    """a, b, ... z, aa, ab."""
    return ("" if place < 26 else _letter(place // 26 - 1)) + chr(ord("a") + place % 26)


def _row(n: int | str, act: str, gauge: str = "") -> dict[str, Any]:
    """A step with nothing beside its act and its gauge; kept: no front lacks it."""
    row = {"n": str(n), "act": _whole(act), "brief": "", "at": [], "gauge": gauge, "note": "", "say": ""}
    return {**row, "opened": "", "weighty": False, "kept": False, "letter": ""}


def _span(names: Sequence[str]) -> str:
    """From the first to the last of some that follow each other."""
    return names[0] if len(names) == 1 else _("{first} to {last}").format(first=names[0], last=names[-1])


def _whole(words: str) -> str:
    """Words in which no number is parted from its unit."""
    return glued(words).replace(GLUE, "\u00a0")


def _bypass_word(word: str) -> str:
    return {
        "closed": _("closed"),
        "part open": _("part open"),
        "open": _("fully open"),
        "regulating": _("regulating"),
    }[word]


def _run_words(run: Sequence[str]) -> str:
    """A hose run as a person says it: "W13-20, reducer, 2 × S8-20"."""
    groups: list[list[Any]] = []
    for name in run:
        if groups and groups[-1][0] == name:
            groups[-1][1] += 1
        else:
            groups.append([name, 1])
    return ", ".join(name if count == 1 else f"{count} × {name}" for name, count in groups)


def _held_words(tool: Tool | None) -> str:
    if tool is None:
        return ""
    held = tool.held_by or ("hand" if tool.kind == "hand lance" else "machine")
    if held == "hand":
        return {
            "none": _("held by hand, no body rest"),
            "body rest": _("held by hand with a body rest"),
            None: _("held by hand"),
        }[tool.support]
    return {"carrier": _("held by a carrier"), "machine": _("held by a machine"), "hose": _("held by its hose")}[held]


def _volume(volume: float, system: str) -> str:
    if system == "us":
        return figure(volume, "L", system)
    return f"{volume:.1f} m³" if volume >= 1.0 else figure(volume, "L", system)


def _hours(seconds: float) -> str:
    if seconds < 5400.0:
        return f"{seconds / 60.0:.0f} min"
    return f"{seconds / 3600.0:.1f} h"


def _breakable(part: Any) -> Any:
    """A part of the sheet whose long runs of letters may be broken; not the picture, which has its own places."""
    if isinstance(part, str):
        return re.sub(rf"[^ ]{{{KEYS},}}|[^ ._]{{{UNBROKEN},}}", lambda run: _broken(run[0]), part)
    if isinstance(part, list):
        return [_breakable(each) for each in part]
    if isinstance(part, dict):
        return {key: each if key in ("svg", "told") else _breakable(each) for key, each in part.items()}
    return part


def _broken(run: str) -> str:
    kept, count = "", 0
    for sign in run:
        whole = unicodedata.category(sign)[0] not in "MC"  # a mark stays with its letter
        if whole and count >= STEP:
            kept, count = kept + BREAK, 0
        kept, count = kept + sign, count + whole
        if sign in "._" and count > 3:  # between the words of a key rather than in them
            kept, count = kept + BREAK, 0
    return kept


def sheet_facts(
    plan: Plan,
    task: TaskPlan,
    job: Job,
    system: str = "si",
    paper: str = "a4",
    changed: Sequence[Changed] = (),
    place: int | None = None,
    back: Mapping[str, Any] | None = None,
    signed: Signed | None = None,
) -> dict[str, Any]:
    """Everything that stands on a task's sheet, in words. [-]

    Parameters
    ----------
    plan : Plan
        The answer it belongs to. [-]
    task : TaskPlan
        One of its tasks. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]
    paper : str
        "a4" or "letter". [-]
    changed : Sequence of Changed
        Ratings written anew after a refusal. [-]
    place : int or None
        Which task of the job it is, from 0; the first of its name when not given. [-]
    back : Mapping or None
        What stands on its back, from `back_facts`; None: it has none. [-]
    signed : Signed or None
        Who signed it, and why: printed in place of the lines to sign on. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> plan = plan_job(JOB, basis_for(JOB))
    >>> sheet_facts(plan, plan.tasks[0], JOB)["settings"]["title"]
    'Set'

    References
    ----------
    Our own layout.
    """
    at = _place(job, task) if place is None else place
    sheet = _Sheet(plan, task, job, system, changed, at, signed, back)
    parts = _parts(sheet) | {"profile": sheet.profile(), "limits": sheet.limits()}
    if back is not None:
        parts["back"] = dict(back)
        parts["back"]["sections"] = [*sheet.overleaf(), *back["sections"]]
    return {
        "title": _("Job sheet: {task}, {job}").format(task=task.name, job=plan.title),
        "lang": spoken(),
        "paper": PAPERS[paper],
        "font": FAMILY,
        "day": [plan.day.year, plan.day.month, plan.day.day],
        **{key: _breakable(part) for key, part in parts.items()},
    }


def sealed(
    facts: Mapping[str, Any], fingerprint: str, record: int, code: str = "", follows: str = ""
) -> dict[str, Any]:
    """A signed sheet with its seal: on the front with the code to its page, in words at the foot of each side. [-]

    Parameters
    ----------
    facts : Mapping
        From `sheet_facts`, signed. [-]
    fingerprint : str
        First signs of the record's digest. [-]
    record : int
        The record's number in its crew. [-]
    code : str
        The address of the record's page as a matrix code, an SVG; "": no other device is known to reach it. [-]
    follows : str
        Fingerprint of the record of the same task that this one comes after; "": it is the first. [-]

    Examples
    --------
    >>> facts = {"sign": {"signed": "Ada"}, "foot": {"lines": ["Jetwright 0.1.0."]}}
    >>> sealed(facts, "12ab-34cd-56ef-7890", 7)["foot"]["lines"][0]
    'Sealed 12ab-34cd-56ef-7890, record 7. Ada.'

    References
    ----------
    Our own layout, docs/records.md.
    """
    words = _("Sealed {fingerprint}, record {n}").format(fingerprint=fingerprint, n=record)
    after = [_("It follows {fingerprint}").format(fingerprint=follows)] if follows else []
    told = _("Matrix code that leads to the page of this record")
    foot = dict(facts["foot"])
    foot["lines"] = [". ".join([words, *after, facts["sign"]["signed"]]) + ".", *foot["lines"]]
    unset = "" if code else _("No address is set: look it up on the counter by its number.")
    named = _("Record {n}").format(n=record)
    seal = {"title": _("Sealed"), "fingerprint": fingerprint, "record": named, "code": code, "told": told}
    seal["unset"] = unset
    return {**facts, "foot": foot, "seal": seal}


def screen_facts(plan: Plan, task: TaskPlan, job: Job, system: str = "si", place: int | None = None) -> dict[str, Any]:
    """What stands on a task's sheet, in words for a screen: no picture, no limit but those not judged. [-]

    Parameters
    ----------
    plan : Plan
        The answer it belongs to. [-]
    task : TaskPlan
        One of its tasks. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]
    place : int or None
        Which task of the job it is, from 0; the first of its name when not given. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> plan = plan_job(JOB, basis_for(JOB))
    >>> screen_facts(plan, plan.tasks[0], JOB)["verdict"]["word"]
    'Look first'

    References
    ----------
    Our own layout.
    """
    sheet = _Sheet(plan, task, job, system, (), _place(job, task) if place is None else place, None)
    return _parts(sheet) | {"not_judged": sheet.not_judged()}


def _place(job: Job, task: TaskPlan) -> int:
    return [described.name for described in job.task].index(task.name)


def _parts(sheet: _Sheet) -> dict[str, Any]:
    return {
        "head": sheet.head(),
        "verdict": sheet.verdict(),
        "refused": sheet.refused(),
        "change": sheet.change(),
        "settings": sheet.settings(),
        "run_up": sheet.run_up(),
        "openings": sheet.openings(),
        "recoil": sheet.recoil(),
        "others": sheet.others(),
        "stops": sheet.stops(),
        "use": sheet.use(),
        "hoses": sheet.hoses(),
        "changed": sheet.changes(),
        "card": sheet.card(),
        "sign": sheet.sign(),
        "foot": sheet.foot(),
    }
