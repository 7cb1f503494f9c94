"""The orders of steps in a crew's words: what to do, with its figures, and why it stands there."""

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations
from typing import cast

from jetwright.plan.answer import StepAt
from jetwright.plan.run_up import SKIN
from jetwright.report.figures import as_number, figure, number, percent, unit_for
from jetwright.report.gauge import gauge_band, gauge_down, gauge_figure
from jetwright.report.wording import N_, _
from jetwright.rig.description import Bypass, Gauge

ACTS: Mapping[str, str] = {
    # before water
    "water.ready": N_(
        "Inspection signed with no stop item open. Permit, zone, signals and stop word agreed; two ways to stop named, "
        "and who holds them; someone who sees the operator. Unit level and chocked."
    ),
    "water.bleed": N_("Water on, tank full: bleed the suction until the stream is solid."),
    "water.open_end": N_("Bypass fully open. Tip off, the open end tied down."),
    "water.open_end/regulating": N_("Regulator backed off fully. Tip off, the open end tied down."),
    "water.open_end/unloader": N_("Tip off, the open end tied down."),
    "water.packings": N_("Packing water on: see a trickle at each plunger."),
    "water.engine": N_("Engine at idle, drive at zero: oil and charge pressure up, then let it warm."),
    "water.engine/direct": N_("Engine at idle, and the pump turns: oil pressure up, then let it warm."),
    "water.flush": N_(
        "Start speed, never faster. Bring the bypass in until water runs from the open end, and flush {volume}: "
        "{time} or more."
    ),
    "water.flush/regulating": N_(
        "Start speed, never faster. Bring the regulator in until water runs from the open end, and flush {volume}: "
        "{time} or more."
    ),
    "water.flush/unloader": N_("Start speed, never faster. Flush {volume} from the open end: {time} or more."),
    "water.fit_tip": N_("Drive at zero, bypass open, vented: only then fit the tip."),
    "water.fit_tip/regulating": N_("Drive at zero, regulator backed off, vented: only then fit the tip."),
    "water.fit_tip/unloader": N_("Drive at zero, vented: only then fit the tip."),
    "water.fit_tip/direct": N_("Engine off, bypass open, vented: only then fit the tip."),
    "water.fit_tip/direct regulating": N_("Engine off, regulator backed off, vented: only then fit the tip."),
    "water.fit_tip/direct unloader": N_("Engine off, vented: only then fit the tip."),
    "water.hold": N_("Trigger held, 10 to 20 % of the target for one to two minutes: look for weeps, from a distance."),
    "water.hold/none": N_("10 to 20 % of the target for one to two minutes: look for weeps, from a distance."),
    "water.hold/outside": N_(
        "Trigger held for one to two minutes: look for weeps, from farther off, nobody near the hose."
    ),
    "water.hold/none outside": N_(
        "Water running for one to two minutes: look for weeps, from farther off, nobody near the hose."
    ),
    "water.release": N_("Let go at this low pressure: prove trigger or pedal, and what it opens or shuts."),
    "water.release/outside": N_("Let go: prove trigger or pedal, and what it opens or shuts."),
    "water.stops": N_(
        "Prove the stop on the unit and on the remote; a radio from the farthest work point, and with its link lost."
    ),
    # run-up with a hole that a hand sets
    "a.first_press": N_("Start speed, bypass open. Aim at the work: first press."),
    "a.first_press/none": N_("Start speed, bypass open, tool on the work, everyone clear."),
    "a.close": N_("Close the bypass slowly, by the gauge, to the proving point."),
    "a.prove": N_("Proving point: compare the gauge with the band."),
    "a.prove/unturned": N_("Proving point, set by the gauge alone: stop as soon as it stands in the band."),
    "a.stay": N_("Close the bypass on until the gauge shows the target, and stay there."),
    "a.shut": N_("Close the bypass on until it is shut."),
    "a.raise": N_("Bypass left shut, raise the speed in steps, each agreed with the operator."),
    "a.baseline": N_("Note speed, gauge, inlet pressure and temperatures."),
    # run-up with a valve that opens by itself
    "b.valve_shut_off": N_("Screw the regulator in until the gauge shows {held}, trigger held; then let go."),
    "b.valve_shut_off/several": N_(
        "Screw the regulator in until the gauge shows {held}; then let go of every trigger."
    ),
    "b.valve_held": N_(
        "Trigger held, screw the regulator in until water spills at 20 % of the target; the gauge follows the screw, "
        "in and out."
    ),
    "b.valve_held/none": N_(
        "Screw the regulator in until water spills at 20 % of the target; the gauge follows the screw, in and out."
    ),
    "b.unloader_shut_off": N_("Press, then let go: the unloader opens and the pump circulates."),
    "b.unloader_held": N_("Trigger held: nothing comes back over the unloader."),
    "b.unloader_held/none": N_("Nothing comes back over the unloader."),
    "b.prove": N_(
        "Proving point, trigger held, the regulator in until nothing spills, no further: compare the gauge with the "
        "band."
    ),
    "b.prove/none": N_(
        "Proving point, the regulator in until nothing spills, no further: compare the gauge with the band."
    ),
    "b.prove/none unloader": N_("Proving point: compare the gauge with the band."),
    "b.prove/unloader": N_("Proving point: compare the gauge with the band."),
    "b.prove_spill": N_("Proving point, the regulator in to this gauge: {spill} of the flow spills, no less."),
    "b.speed": N_("Speed to the planned one, the regulator left where it is."),
    "b.screw_in": N_(
        "Trigger held, screw the regulator in until the gauge shows the target; agreed with the operator."
    ),
    "b.screw_in/several": N_("Screw the regulator in until the gauge shows the target; agreed with every operator."),
    "b.screw_in/none": N_(
        "Screw the regulator in until the gauge shows the target; agreed with whoever holds the stop."
    ),
    "b.raise": N_("Raise the speed in steps, each agreed with the operator."),
    "b.baseline": N_("Note speed, gauge, spill, inlet pressure and temperatures."),
    "b.baseline_shut": N_("Note speed, gauge, inlet pressure and temperatures."),
    # letting go
    "let_go.dump": N_("Let go: the dump port carries the flow. The gauge falls, and not to zero."),
    "let_go.valve": N_("Let go: the regulator opens by itself, and the gauge stays up."),
    "let_go.idle": N_("Let go: the unloader opens, and the pump circulates at its idle pressure."),
    "let_go.pump": N_("No trigger: speed down to start, bypass open."),
    "let_go.pump/regulating": N_("No trigger: speed down to start, regulator backed off."),
    "let_go.pump/unloader": N_("No trigger: speed down to start."),
    "let_go.off": N_("Drive to zero: what then stands above 0 is trapped."),
    "let_go.off/direct": N_("Engine off: what then stands above 0 is trapped."),
    # stopping
    "stop.speed": N_("Tool kept open on the work: speed down to start."),
    "stop.open": N_("Bypass fully open."),
    "stop.open/regulating": N_("Regulator backed off fully."),
    "stop.open/unloader": N_("The unloader stays as it is set: nothing opens it by hand."),
    "stop.release": N_("The gauge is down: let go."),
    "stop.release/unloader": N_("Let go."),
    "stop.drive": N_("Drive to zero, engine at idle until it has cooled."),
    "stop.drive/direct": N_("Engine at idle until it has cooled; the pump turns, nobody touches the tool."),
    "stop.engine": N_("Engine off."),
    "stop.vent": N_("Open the tool, aimed where it hurts nobody: gauge at zero, no flow, hose limp."),
    "stop.lock": N_("Lock it; the key is with whoever works on it."),
    "emergency.let_go": N_("Let go."),
    "emergency.stop": N_("Hit the stop."),
    "emergency.vent": N_("Bypass open, then the tool, aimed where it hurts nobody: gauge at zero, hose limp."),
    "emergency.vent/regulating": N_(
        "Regulator backed off, then the tool open, aimed where it hurts nobody: gauge at zero, hose limp."
    ),
    "emergency.vent/unloader": N_("Tool open, aimed where it hurts nobody: gauge at zero, hose limp."),
    # from one tool to the next
    "change.first": N_("Speed to start, bypass open, BEFORE the tool is touched."),
    "change.first/regulating": N_("Speed to start, regulator backed off, BEFORE the tool is touched."),
    "change.first/unloader": N_("Speed to start, drive to zero, engine off, vented, BEFORE the tool is touched."),
    "change.first/direct unloader": N_("Speed to start, engine off, vented, BEFORE the tool is touched."),
    "change.stop": N_("Planned stop: drive to zero, cooled, engine off, vented, locked."),
    "change.stop/direct": N_("Planned stop: cooled, engine off, vented, locked."),
    "change.tool": N_("Change what is listed above, restraints too."),
    "change.tip": N_(
        "Change the tip and nothing else. Another tool in its place opens a joint: then flush again first, tip off, at "
        "start speed."
    ),
    "change.plan": N_("Take the new tool's plan: ratings, recoil, support, protective equipment, the object."),
    "change.open_end": N_("A joint was opened: tip off, the open end tied down."),
    "change.engine": N_("Lock off by whoever put it on, everyone clear: engine at idle, drive at zero."),
    "change.engine/direct": N_("Lock off by whoever put it on, everyone clear: engine at idle, and the pump turns."),
    "change.flush": N_("Where the hose run was opened: flush again, tip off, at start speed."),
    "change.fit_tip": N_("Drive at zero, vented: only then fit the tip."),
    "change.fit_tip/direct": N_("Engine off, vented: only then fit the tip."),
    "change.hold": N_("Low-pressure hold again: look for weeps, from a distance."),
    "change.release": N_("Let go at this low pressure: prove trigger or pedal, and what it opens or shuts."),
    "change.stops": N_(
        "Prove the stop on the unit and on the remote; a radio from the farthest work point, and with its link lost."
    ),
    "change.run_up": N_("The new tool's run-up, with its proving point."),
    # frost
    "frost.vent": N_("Planned stop, then the tool held open: gauge at zero, hose limp."),
    "frost.tip_off": N_("Tip off, every end tied down, all of it drained."),
    "frost.blow_down": N_("Blow it down with air at low pressure; the pump is not turned dry."),
    "frost.dead_legs": N_("The dead legs too: gauge line, relief, dump pilot, unloader, disc holder."),
    "frost.record": N_("Record the blow-down, with time and name."),
    "frost.frozen": N_("Frozen, or perhaps frozen: a stop item. No flame; no stiff hose is bent."),
    "frost.thawed": N_("Thawed: a bleed with the tip off, bypass open, until the flow is free."),
}
"""What is done, by a step's id; after a slash "none" where no tool has a trigger, "several" where more than one is
held, "outside" where the gauge cannot be brought as low as it should, "direct" where the pump turns with the engine,
"unturned" where nobody knows the turns that give its opening, and the bypass kind; the one with the most of a rig's
words is its own."""
BRIEF: Mapping[str, str] = {
    "water.ready": N_("Inspection and permit signed; zone, signals and stops agreed."),
    "water.bleed": N_("Water on: bleed the suction until the stream is solid."),
    "water.engine": N_("Engine at idle, drive at zero, until it is warm."),
    "water.engine/direct": N_("Engine at idle, and the pump turns, until it is warm."),
    "a.baseline": N_("Note speed, gauge, inlet pressure and temperatures."),
    "b.baseline": N_("Note speed, gauge, spill, inlet pressure and temperatures."),
    "b.baseline_shut": N_("Note speed, gauge, inlet pressure and temperatures."),
}
"""The same on one line, for a sheet: steps in which no gauge is to be reached."""
FASTER: Mapping[str, str] = {
    "hand-set": N_("Bypass shut, speed up to {speed}, then back to start speed and open."),
    "regulating": N_(
        "Regulator in until nothing spills, speed up to {speed}, then back to start speed and backed off."
    ),
    "unloader": N_("Speed up to {speed}, then back to start speed."),
}
"""A hold that start speed is too slow for, by bypass kind."""
HELD: Mapping[int, str] = {2: N_("Both triggers held."), 3: N_("All triggers held.")}
"""Said first where the figures hold with more than one trigger held, by how many; more than three as three."""
ALL_HELD = (
    *("water.hold", "change.hold", "a.prove", "b.valve_shut_off", "b.valve_held", "b.unloader_held", "b.prove"),
    *("b.prove_spill", "b.screw_in"),
)
"""Steps that say so."""
BARE = ("water.hold", "b.valve_held", "b.unloader_held", "b.prove")
"""Of those, the ones that then are told as without a trigger."""
HOLDS = ("water.hold", "change.hold")
"""Steps in which a tool first has pressure."""
CLEAR: Mapping[str, str] = {
    "no_trigger": N_(
        "Tool on the work (nozzle or lance in the pipe), everyone clear; it stays there until the gauge is at zero."
    ),
    "some_without": N_(
        "What has no trigger on the work (nozzle or lance in the pipe), everyone clear; it stays there until the "
        "gauge is at zero."
    ),
}
"""Said before a hold where no tool has a trigger, or one of them has none: nobody can let it go."""
STOPS = ("planned stop", "emergency stop")
"""Orders that are told on one line, after the numbered steps."""
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
SETS = ("water.hold", "a.prove")
"""Steps that are set by one opening."""
UNTURNED = N_(
    "The stem's turns are not given: no hand can set this opening. The gauge is only set here and proves no tip, hose "
    "or pump: look at the tip yourself. Shut and still below: a worn or wrong tip, a leak, a weak pump. Outside the "
    "band nobody goes on. To have it proved, count the turns from shut to fully open once, pump off and locked, write "
    "them to the unit and plan again."
)
"""Said where a proving point is an opening that no hand can find; in place of what the band tells."""

OPENED = N_(
    "Above: a plugged or a smaller tip, or the stem too far shut. Below: a worn or wrong tip, a leak, a weak pump, or "
    "the stem too far open. Outside the band nobody goes on."
)
"""Said where a proving point is an opening that a hand counts: the band does not know how nearly."""

WHYS: Mapping[str, str] = {
    "ready": N_("What is not agreed now is shouted later, and not heard."),
    "air": N_("Air hammers the valves, and the pump cavitates."),
    "grit": N_("First water brings rust and grit; a blocked tip pushes to one side."),
    "dry": N_("Dry packings are ruined in minutes."),
    "cold": N_("Charge first, flow next; cold oil slips."),
    "open_hose": N_("A flush at working speed can put the whole relief pressure on an open hose."),
    "fitted": N_("Nothing is fitted under pressure, not even under a trickle."),
    "weep": N_(
        "A weep: stop, vent, mend, hold again. Nobody feels for a leak, and nothing is tightened under pressure."
    ),
    "stops": N_("What does not work at low pressure does not work at high."),
    "link": N_("A way to stop that nobody has tried is none."),
    "lowest": N_("The first press comes at the lowest speed, where the least can happen."),
    "last_part": N_("Almost all of the stem's travel does nothing; the last few per cent are the whole job."),
    "band": N_(
        "Above: a plugged or a smaller tip. Below: a worn or wrong tip, a leak, a weak pump. Outside the band nobody "
        "goes on."
    ),
    "enough": N_("The target comes before the bypass is shut: more speed would only spill."),
    "seat": N_("A shut seat lasts; a throttled one is eaten."),
    "agreed": N_(
        "Speed makes flow, so pressure comes without waste. It is changed only in agreement with the operator (Norway, "
        "regulation on the performance of work, 20-1)."
    ),
    "baseline": N_(
        "The baseline of the day. Any later rise in speed or closing of the bypass is judged for recoil before it is "
        "made."
    ),
    "own_way": N_("The whole flow must find its way back by itself, far below the relief: proven every day."),
    "obeys": N_("A valve that does not follow its screw at low pressure will not open at high."),
    "stays_shut": N_("What seeps past it is missing at the tip."),
    "hides": N_(
        "A regulator hides wear: the gauge stays, the spill falls and the recoil grows. Watch spill, speed and tip "
        "hours."
    ),
    "flow_first": N_("The flow of the tips and the spill first, then the pressure."),
    "margin": N_("3 to 8 % of the flow spilling is margin for control (common practice)."),
    "dumps": N_("What is left is the dump port's own resistance. A gauge that stays up says that it did not open."),
    "heats": N_("All the power turns to heat in the water: let go for minutes only, or take the speed down."),
    "circulates": N_("The hose stays charged up to the tool: let go is not vented."),
    "no_trigger": N_("This tool is stopped at the pump: whoever holds the stop sees the tool."),
    "way_out": N_("The water keeps its way out while the pressure comes down."),
    "not_none": N_("This is the lowest that the gauge can stand while the pump turns, and not “no pressure”."),
    "low_first": N_("Nothing is slammed shut or open under pressure when there is time."),
    "cool": N_("A hot turbocharger needs its oil and its air."),
    "off": N_("Now nothing can turn the pump."),
    "trapped": N_("A plugged tip or a check valve can still hold pressure in: nothing is forced."),
    "key": N_("Nobody starts what somebody else has open."),
    "always": N_("Always allowed, to anyone."),
    "left_over": N_("What the last tool was set to is on this one the moment it is pressed."),
    "other_numbers": N_("Another tool is another rig: nothing of the last one's numbers holds."),
    "opened": N_("An opened joint lets grit in."),
    "proved_again": N_("Until it is proven, it is only planned."),
    "way_for_water": N_("Water that cannot leave bursts what holds it."),
    "low_air": N_("Air at pressure throws a hose like water does."),
    "dead_legs": N_("A frozen gauge reads zero over live pressure; a frozen relief does not open."),
    "who_and_when": N_("The next crew starts from what is written."),
    "frozen": N_("Cleared only by free flow, tip off, at idle, bypass open."),
    "free_flow": N_("Ice in the hose is a plug that lets go at once."),
}
"""Why a step stands where it does, by the key of its reason."""


def numbered(steps: Iterable[StepAt]) -> list[tuple[int, StepAt]]:
    """The steps of a task's way up and of letting go, with the numbers they have wherever they are printed. [-]

    The planned stop follows as one step more, on one line.

    Parameters
    ----------
    steps : Iterable of StepAt
        Every step of the task. [-]

    Examples
    --------
    >>> at = ("all", "off", 0.0, "open", None, None, None, None)
    >>> steps = StepAt("before water", "water.bleed", *at), StepAt("planned stop", "stop.engine", *at)
    >>> [(number, step.id) for number, step in numbered(steps)]
    [(1, 'water.bleed')]

    References
    ----------
    Our own convention: what is called over a radio has one name on sheet, page and terminal.
    """
    return list(enumerate((step for step in steps if step.order not in STOPS), 1))


def step_letter(place: int) -> str:
    """What a step of a change card is called: never as a step of a way up, which has a number. [-]

    Parameters
    ----------
    place : int
        On the card, from 0. [-]

    Examples
    --------
    >>> " ".join(step_letter(place) for place in (0, 7, 8, 12, 13, 23, 24))
    'A H J N P Z AA'

    References
    ----------
    Common practice: no I and no O, which are read as figures.
    """
    above = step_letter(place // len(LETTERS) - 1) if place >= len(LETTERS) else ""
    return above + LETTERS[place % len(LETTERS)]


def step_words(step: StepAt, system: str = "si", gauge: Gauge | None = None) -> tuple[str, str]:
    """A step as a crew reads it: what to do, with its figures, and why. [-]

    What the gauge must show, the speed and the opening stand beside it, in columns of their own.

    Parameters
    ----------
    step : StepAt
        Solved. [-]
    system : str
        "si" or "us". [-]
    gauge : Gauge or None
        The pump's; no pressure is then finer than it shows. [-]

    Examples
    --------
    >>> facts = {"valve": "hand-set", "speeds": ((2.2, None, 88e6), (2.363, None, 101.8e6))}
    >>> at = (2.363, "closed", 0.0, None, (99e6, 104e6), None, facts)
    >>> step = StepAt("run-up A", "a.raise", "pump operator", "seat", *at)
    >>> print(*step_words(step, gauge=Gauge(1600e5, 1.6, 20e5)), sep="\\n")
    Bypass left shut, raise the speed in steps, each agreed with the operator. 132 rpm 880 bar; about 142 rpm 1020 bar.
    A shut seat lasts; a throttled one is eaten.

    References
    ----------
    Common practice; `data/orders.toml`.
    """
    why = WHYS[step.why]
    if step.id == "a.prove" and step.bypass == "part open":
        why = UNTURNED if _unturned(step) else OPENED
    return " ".join((step_act(step, system, gauge), *step_notes(step, system, gauge))), _(why)


def brief_words(step: StepAt) -> str:
    """A step without a gauge to reach on one line, for a sheet; "" for any other. [-]

    Parameters
    ----------
    step : StepAt
        Solved. [-]

    Examples
    --------
    >>> brief_words(StepAt("before water", "water.bleed", "all", "air", 0.0, "", None, None, None, None))
    'Water on: bleed the suction until the stream is solid.'

    References
    ----------
    Our own convention: the page of the plan has it in full.
    """
    words = BRIEF.get(step.id, "")
    if step.facts.get("direct"):
        words = BRIEF.get(f"{step.id}/direct", words)
    return _(words) if words else ""


def first_facts(step: StepAt) -> dict[str, object]:
    """What of a change card's first step chooses its words, without what stands beside them. [-]

    Parameters
    ----------
    step : StepAt
        The first of a tool change. [-]

    Examples
    --------
    >>> facts = {"valve": "regulating", "direct": True, "engine_speed": 20.0}
    >>> first_facts(StepAt("", "change.first", "all", "left_over", 2.0, "open", None, None, None, None, facts))
    {'valve': 'regulating', 'direct': True}

    References
    ----------
    Our own convention.
    """
    return {key: step.facts[key] for key in ("valve", "direct") if key in step.facts}


def step_act(step: StepAt, system: str = "si", gauge: Gauge | None = None) -> str:
    """What is done in a step, without its notes. [-]

    Parameters
    ----------
    step : StepAt
        Solved. [-]
    system : str
        "si" or "us". [-]
    gauge : Gauge or None
        The pump's; no pressure is then finer than it shows. [-]

    Examples
    --------
    >>> step_act(StepAt("planned stop", "stop.engine", "all", "off", 0.0, "open", None, None, None, None))
    'Engine off.'

    References
    ----------
    Common practice; `data/orders.toml`.
    """
    valve, several = step.facts.get("valve"), _several(step)
    words = [word for word, fact in (("none", "no_trigger"), ("outside", "outside")) if step.facts.get(fact)]
    if several:
        words.insert(0, "none" if step.id in BARE else "several")
    if step.facts.get("direct"):
        words.append("direct")
    if _unturned(step):
        words.append("unturned")
    if valve != "unloader" or step.bypass == "closed":  # one that opens by hand as well is opened like any other
        words.append(str(valve))
    keys = [f"{step.id}/{' '.join(some)}" for count in range(len(words), 0, -1) for some in combinations(words, count)]
    template = next((ACTS[key] for key in keys if key in ACTS), ACTS[step.id])
    shown = {key: _shown(step, key, system) for key in ("volume", "time")}
    held = gauge_figure(as_number(step.facts.get("held")), gauge, system)
    act = _(template).format(spill=percent(as_number(step.facts.get("spill"))), held=held, **shown)
    first = [_(words) for fact, words in CLEAR.items() if step.id in HOLDS and step.facts.get(fact)]
    return " ".join((*first, *((_(HELD[min(several, 3)]),) if several else ()), act))


def step_notes(step: StepAt, system: str = "si", gauge: Gauge | None = None) -> tuple[str, ...]:
    """What a step's facts add to its act, a sentence each. [-]

    Parameters
    ----------
    step : StepAt
        Solved. [-]
    system : str
        "si" or "us". [-]
    gauge : Gauge or None
        The pump's; no pressure is then finer than it shows. [-]

    Examples
    --------
    >>> facts = {"released": 4.5e5, "top": 108e5}
    >>> step_notes(StepAt("", "stop.open", "all", "not_none", 2.0, "open", 2e-5, None, (0.0, 30e5), None, facts))
    ('When let go, the gauge shows under 10 bar.', 'At top speed the bypass, fully open, still shows 110 bar.')

    References
    ----------
    Our own convention.
    """
    facts = step.facts
    notes = []
    if _several(step) and (step.id == "b.screw_in" or (step.id == "b.prove" and facts.get("valve") == "regulating")):
        notes.append(_("Never above the band."))
    if facts.get("shut_first"):
        notes.append(_("The bypass is shut by hand first."))
    notes += filter(None, (openings_words(step, system, gauge),))
    if facts.get("faster") and step.pump_speed:
        speed = figure(as_number(facts.get("engine_speed")) or step.pump_speed, "rpm", system)
        notes.append(_(FASTER[str(facts["valve"])]).format(speed=speed))
    if facts.get("speeds"):
        notes.append(_speeds(facts["speeds"], system, gauge))
    if facts.get("prove_again"):
        _speed, low, high = cast(tuple[float, float, float], facts["prove_again"])
        band = gauge_band(low, high, gauge, system)
        notes.append(
            _("At the first of these speeds stop and prove again: {band}, or nobody goes on.").format(band=band)
        )
    if step.id == "water.hold" and _unturned(step):
        notes.append(_("Bring the bypass in by the gauge."))
    elif step.id in SETS and step.bypass == "part open" and step.bypass_area and not _unturned(step):
        notes.append(_("Bypass at {opening}.").format(opening=_opening(step.bypass_area, step.turns, system)))
    if step.id == "a.prove" and step.bypass in ("closed", "open"):
        notes.append(_("Bypass shut.") if step.bypass == "closed" else _("Bypass fully open."))
    if facts.get("most") is not None:
        most = gauge_down(as_number(facts["most"]), gauge, system)
        if step.bypass_area and not _unturned(step):
            opening = _opening(step.bypass_area, step.turns, system)
            notes.append(
                _("Bypass left open by {opening} or more, the gauge no higher than {most}.").format(
                    opening=opening, most=most
                )
            )
        else:
            notes.append(_("The gauge no higher than {most}.").format(most=most))
    if facts.get("engine_speed"):
        speed = figure(as_number(facts["engine_speed"]), "rpm", system)
        notes.append(_("Engine at {speed}.").format(speed=speed))
    if step.push is not None:
        push = figure(step.push, "N", system)
        notes.append(_("The open end pushes with {push} at most.").format(push=push))
    if facts.get("released") is not None:
        released = gauge_figure(as_number(facts["released"]), gauge, system)
        notes.append(_("When let go, the gauge shows {gauge}.").format(gauge=released))
    if facts.get("top") is not None:
        top = gauge_figure(as_number(facts["top"]), gauge, system)
        notes.append(_("At top speed the bypass, fully open, still shows {gauge}.").format(gauge=top))
    if facts.get("skin"):
        notes.append(_("Above {pressure} it breaks skin.").format(pressure=figure(SKIN, "bar", system)))
    if facts.get("may_break_skin"):
        notes.append(
            _("It may stand above {pressure}, and then breaks skin.").format(pressure=figure(SKIN, "bar", system))
        )
    if facts.get("outside") and facts.get("trigger") != "released":
        notes.append(_("This rig stands no lower than shown, above 20 % of the target."))
    if facts.get("above_target"):
        notes.append(_("Aim off the object: this is above the target."))
    if facts.get("backed_off"):
        notes.append(_("The gauge falls to what the open valve needs."))
    return tuple(notes)


def _several(step: StepAt) -> int:
    """How many triggers are held in a step whose figures need more than one; 0 for any other."""
    triggers = step.facts.get("triggers")
    return triggers if isinstance(triggers, int) and triggers > 1 and step.id in ALL_HELD else 0


def _unturned(step: StepAt) -> bool:
    """Whether a step asks for an opening that no hand can find, for nobody said how many turns there are."""
    return step.bypass == "part open" and bool(step.bypass_area) and step.turns is None


def _shown(step: StepAt, key: str, system: str) -> str:
    value = as_number(step.facts.get(key))
    return figure(value, unit_for(key, value, system), system)


def _opening(area: float, turns: float | None, system: str) -> str:
    if area == 0.0:
        return _("shut")
    if turns is None:
        return figure(area, "mm2", system)
    return _("{area} (about {turns} turns)").format(
        area=figure(area, "mm2", system), turns=f"{turns:.1f}" if turns >= 1.0 else f"{turns:.2f}"
    )


def stem_words(area: float, bypass: Bypass, system: str = "si") -> str:
    """An opening of a bypass as a hand can set it, by the turns of its stem; "" where nobody gave those. [-]

    Parameters
    ----------
    area : float
        Of the hole. [m²]
    bypass : Bypass
        Of the unit. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> stem_words(2e-6, Bypass("hand-set", "tank", full_open_area=20e-6, turns=6.0))
    '2.00 mm² (about 0.60 turns)'
    >>> stem_words(2e-6, Bypass("hand-set", "tank", full_open_area=20e-6))
    ''

    References
    ----------
    Our own convention: a hand counts turns and reads a gauge, and cannot see a hole.
    """
    if bypass.turns is None or bypass.full_open_area is None:
        return ""
    return _opening(area, bypass.turns * area / bypass.full_open_area, system)


def openings_words(step: StepAt, system: str = "si", read_on: Gauge | None = None) -> str:
    """Openings of the bypass on the way of a step, each with what the gauge then shows; "" where it has none. [-]

    "" too where nobody gave the turns of its stem: no hand can set them.

    Parameters
    ----------
    step : StepAt
        Solved. [-]
    system : str
        "si" or "us". [-]
    read_on : Gauge or None
        The pump's; no pressure is then finer than it shows. [-]

    Examples
    --------
    >>> facts = {"openings": ((2.4e-5, 5.0, 3e5), (0.0, 0.0, 501e5))}
    >>> openings_words(StepAt("run-up A", "a.close", "all", "last_part", 2.0, "closed", 0.0, 0.0, None, None, facts))
    '24.0 mm² (about 5.0 turns) under 10 bar; shut 500 bar.'

    References
    ----------
    Our own layout.
    """
    rows = cast(Sequence[tuple[float, float | None, float]], step.facts.get("openings", ()))
    if any(turns is None and area > 0.0 for area, turns, _gauge in rows):
        return ""
    pairs = [f"{_opening(area, turns, system)} {gauge_figure(gauge, read_on, system)}" for area, turns, gauge in rows]
    return "; ".join(pairs) + "." if pairs else ""


def _speeds(speeds: object, system: str, read_on: Gauge | None) -> str:
    rows = cast(Sequence[tuple[float, float | None, float]], speeds)
    pairs = [
        f"{number(speed if engine is None else engine, 'rpm', system)} rpm {gauge_figure(gauge, read_on, system)}"
        for speed, engine, gauge in rows
    ]
    last = _("about {speed_and_gauge}").format(speed_and_gauge=pairs[-1])
    sentence = "; ".join((*pairs[:-1], last))
    return f"{sentence[0].upper()}{sentence[1:]}."
