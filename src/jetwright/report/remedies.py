"""What to do about a limit: a sentence for each code, with its figures, and each cure that was solved again."""

import math
from collections.abc import Callable, Mapping, Sequence

from jetwright.limits.limit import Cure, Limit
from jetwright.plan.cures import RATING_STEP
from jetwright.report.figures import as_number, figure, number, percent, printed, rated, rough, unit_for
from jetwright.report.gauge import ALIKE, gauge_down, gauge_figure
from jetwright.report.limits import bound_figure, limit_figure
from jetwright.report.wording import N_, _, force
from jetwright.rig.description import Unit

CUT = N_("Not every change was tried: this rig is large.")
"""Under the cures, where the search for them was cut short."""

# ---- remedies --------------------------------------------------------------------------------------------------------

REMEDIES: Mapping[str, str] = {
    # what the machine is set to
    "bypass.range": N_("Take a larger tip, or a bypass that opens {value}: this one opens {bound}."),
    "bypass.range/regulating": N_(
        "Take a larger tip, or a valve for more flow: {value} of what it passes would spill."
    ),
    "bypass.range/unloader": N_(
        "Take a larger tip, or a pump that turns as slowly as {value}: an unloader cannot spill a part of the flow."
    ),
    "bypass.range/unloader_set": N_("Plan below {bound}, where the unloader opens: smaller losses or a lower target."),
    "bypass.spill": N_("Take a larger tip: {heat} turns to heat at the bypass and eats its seat."),
    "bypass.spill/hand": N_(
        "Accept it and watch the seat, or fit a smaller plunger kit: {heat} turns to heat at the bypass, and a larger "
        "tip pushes harder than the hand has room for."
    ),
    "pump.speed": N_(
        "Take smaller tips, a wider hose or a lower target: {value} is asked, {over} more than top speed."
    ),
    "pump.speed/none": N_("Take smaller tips, a wider hose or a lower target: no speed reaches this one."),
    "pump.rod_load": N_("Lower the target, or fit a smaller plunger kit: the rods would bear {over} too much."),
    "pump.rod_load_relief": N_(
        "Have the relief fitted that belongs to this plunger kit, by a competent person: before this one has opened, "
        "at {opening}, the rods bear {value}, {over} too much."
    ),
    "engine.power": N_("Take smaller tips or a lower target: the engine is asked for {value} of what it gives here."),
    "engine.power/none": N_("Take smaller tips or a lower target: no engine speed carries this one."),
    "engine.power/reserve": N_(
        "Expect the speed to sag as a trigger is pressed; smaller tips or a lower target leave a reserve."
    ),
    "engine.step": N_(
        "Press at start speed, then raise the speed: {step} at once is {value} of what the engine gives."
    ),
    # ratings and relief
    "rating.working": N_(
        "Take a part rated {needs} or more, or plan {over} lower: this one is rated {bound} and sees {value}."
    ),
    "rating.working/pump": N_("Plan {over} lower, or fit a plunger kit rated for it: the pump is rated {bound}."),
    "rating.relief_set": N_(
        "Take a part rated {needs} or more: this one is rated {rating}, the relief opens at {value}."
    ),
    "rating.relief_set/pump": N_(
        "Have a relief marked lower fitted, by a competent person: rated {rating} with {over_share} on top, the pump "
        "may see {bound}; this one has opened only at {value}."
    ),
    "rating.relief_full": N_(
        "Take a part rated {needs} or more: this one is rated {rating}, with the relief fully open it sees {value}."
    ),
    "rating.relief_full/pump": N_(
        "Have a relief marked lower fitted, by a competent person: rated {rating} with {over_share} on top, the pump "
        "may see {bound}; with this one fully open it sees {value}."
    ),
    "rating.relief_full/capacity": N_(
        "Have a relief fitted that passes the pump's whole flow, by a competent person: this one passes too little, "
        "and fully open it lets {value} come."
    ),
    "relief.set": N_("Lower the target: the relief opens at {bound}, and it stays as it is sealed."),
    "relief.clear": N_("Plan {lower} lower, {most} at the gauge, or look at it first: the relief opens at {opening}."),
    "relief.clear/close": N_(
        "Too close to the relief: plan {lower} lower, {most} at the gauge; it opens at {opening}."
    ),
    "relief.reseat": N_("Plan below {bound}: above it the relief, once it has lifted, stays open."),
    "relief.full_flow": N_(
        "Have a relief fitted that passes {bound}, {over} more than this one, by a competent person."
    ),
    "relief.test_age": N_(
        "Have the relief tested, or another one in test fitted, by a competent person: it was tested on {tested}, "
        "{value} before {day}."
    ),
    "relief.test_age/future": N_("One of two dates is wrong: the relief tested on {tested}, and the job is on {day}."),
    # the gauge
    "gauge.scale/none": N_("Fit a gauge: none is described, and nobody runs up without one."),
    "gauge.scale": N_("Fit a gauge with a longer scale: {pressure} is {value} of its {full_scale}."),
    "gauge.error": N_("Fit a finer gauge, or one with a shorter scale: at {pressure} this one may be {error} wrong."),
    "gauge.relief": N_(
        "Fit a gauge that reads to {value} or more: with the relief fully open it stands against its stop."
    ),
    # the person
    "recoil.hand/rest": N_("Fit a body rest: {push} is {over} more than is held without one."),
    "recoil.hand": N_(
        "Not by hand: a carrier or a machine holds it, or take a smaller tip or a lower target. It pushes with {push}, "
        "{over} more than a hand may hold."
    ),
    "recoil.hand/unsaid": N_(
        "Recoil of {tool}: {value} as planned, up to {worst}. More than {bound}: not allowed unless there is a body "
        "rest; with one {most} may be held."
    ),
    "recoil.hand/unheld": N_(
        "Recoil of {tool}: {value}. More than {bound}: not allowed in a hand unless there is a body rest; with one "
        "{most} may be held."
    ),
    "recoil.cautious/unsaid": N_(
        "Recoil of {tool}: {value} with tips and gauge as far off as they may be, up to {worst}. More than {bound}: "
        "not allowed unless there is a body rest; with one {most} may be held."
    ),
    "recoil.fitted/unsaid": N_(
        "Recoil of {tool}: {value} after the reading of {day}, up to {worst}. More than {bound}: not allowed unless "
        "there is a body rest; with one {most} may be held."
    ),
    "recoil.others/unsaid": N_(
        "Recoil of {tool}: {value} when another trigger changes, up to {worst}. More than {bound}: not allowed "
        "unless there is a body rest; with one {most} may be held."
    ),
    "recoil.hand/fault": N_(
        "Recoil of {tool}: {value} when something goes wrong. More than {bound}: to be looked at first unless there is "
        "a body rest; with one {most} may be held."
    ),
    "recoil.cautious/rest": N_("Fit a body rest: with tips and gauge as far off as they may be it pushes with {push}."),
    "recoil.cautious": N_(
        "Not by hand: a carrier or a machine holds it, or take a smaller tip. With tips and gauge as far off as they "
        "may be it pushes with {push}."
    ),
    "recoil.fitted/rest": N_(
        "Fit a body rest: after the reading of {day} it may push with {push}, {over} more than is held without one."
    ),
    "recoil.fitted": N_(
        "Not by hand: a carrier or a machine holds it, or take a smaller tip or a lower target. After the reading of "
        "{day} it may push with {push}, {over} more than a hand may hold."
    ),
    "recoil.kick": N_(
        "Press only when braced, at start speed first: with {nozzle} standing in the line it kicks with "
        "{push}. A smaller tip or a body rest takes it."
    ),
    "recoil.kick/carrier": N_(
        "Not by hand: a carrier or a machine holds it, or take a smaller tip. With {nozzle} standing in the line it "
        "kicks with {push} as the trigger is pressed."
    ),
    "recoil.bypass_shut/carrier": N_(
        "Not by hand: a carrier or a machine holds it, or take a smaller tip, and nobody touches the bypass once it is "
        "set: shut, it pushes with {push}."
    ),
    "recoil.bypass_shut/no_relief": N_(
        "Name the relief device: without one nothing caps the pressure, and with the bypass shut it pushes with {push}."
    ),
    "recoil.relief/carrier": N_(
        "Not by hand: a carrier or a machine holds it, or take a smaller tip: with the relief fully open it pushes "
        "with {push}."
    ),
    "recoil.back_out": N_(
        "Fix a device at the opening that it cannot come out through, and a rigid end of about 1.5 times the bore it "
        "cleans, so that it cannot turn round: as planned it pushes itself out with {value}."
    ),
    "recoil.back_out/inlet": N_(
        "Find out the inlets of the tips, or measure them: as planned it pulls in with {pulled}, and with the jets "
        "ahead passing most and those back passing least it pushes itself out with {value}. Till then fix a device at "
        "the opening that it cannot come out through."
    ),
    "recoil.bypass_shut": N_(
        "Fit a body rest or take a smaller tip, and nobody touches the bypass once it is set: shut, it pushes with "
        "{push}."
    ),
    "recoil.relief": N_("Fit a body rest or take a smaller tip: with the relief fully open it pushes with {push}."),
    "recoil.plugged": N_(
        "Filter the water and look through every jet before it is fitted: with {count} × {tip} plugged it pushes with "
        "{push}."
    ),
    "recoil.plugged/hose": N_(
        "Keep the pipe's mouth barred and clear, and look through every jet: with {count} × {tip} plugged the nozzle "
        "comes back out with {value}."
    ),
    "recoil.rear_plugged": N_(
        "Filter the water and look through every rear jet: with all of them plugged it pushes with {push}."
    ),
    "recoil.rear_plugged/hose": N_(
        "Keep the pipe's mouth barred and clear, and look through every rear jet: with all of them plugged the nozzle "
        "comes back out with {value}."
    ),
    "recoil.pull": N_("Were the angles meant as “back”? As written the nozzle pushes {value} out of the pipe."),
    "recoil.pull/inlet": N_(
        "Find out the inlets of the tips, or measure them: as planned the nozzle pulls in with {pulled}, and with the "
        "jets ahead passing most and those back passing least it pushes itself out with {value}."
    ),
    "recoil.piston": N_(
        "Feed it by machine, or through a device at the opening that it cannot come out of, and let the tube drain: "
        "with {blocked} behind a plug the tool is pushed out with {push}."
    ),
    "recoil.piston/none": N_(
        "Say what pressure may stand behind a plug, and nobody is in line with the tube till then: "
        "up to {whole} would push the tool out if the whole {nozzle} at the tip stood behind the plug."
    ),
    "recoil.others": N_(
        "One pump for each tool in the hand, or a regulating valve that holds the pressure: when another trigger "
        "changes, the push changes from {from} to {to}."
    ),
    "recoil.left": N_(
        "Speed to start, bypass open, before the tool is touched: the setting of “{task}” left on pushes with "
        "{push} at {gauge}."
    ),
    "recoil.worn": N_(
        "Gauge the tips and change them before they are {wear} larger: with the target reached again by speed it "
        "pushes with {push}."
    ),
    "recoil.body": N_("Nobody lighter than {needs} holds it, or take a smaller tip: it pushes with {push}."),
    "recoil.hands": N_("One tool in the hand for each pump; else agree who presses and lets go, and when."),
    "recoil.flush": N_("While flushing leave the bypass open{opening}: shut, the open end pushes with {value}."),
    "recoil.flush/none": N_("While flushing leave the bypass open: shut, nothing described holds the open end's push."),
    "gauge.flush": N_("While flushing leave the bypass open{opening}: shut, the gauge stands at {value}."),
    "gauge.flush/by_gauge": N_(
        "While flushing leave the bypass open, and where the gauge shows more than {bound}, open it further: shut, the "
        "gauge stands at {value}."
    ),
    "gauge.flush/valve": N_(
        "While flushing bring the regulator in until the gauge shows {bound} at most: all the way in it shows {value}."
    ),
    "gauge.flush/unloader": N_(
        "Nothing opens this bypass by hand: while flushing nobody is near the hose, the gauge stands at {value}."
    ),
    "gauge.hold": N_(
        "No low-pressure hold is possible on this rig, the gauge stands at {pressure}: look from farther off, nobody "
        "near the hose."
    ),
    "gauge.hold/none": N_("No low-pressure hold is possible on this rig: nobody near the hose while water runs."),
    "gauge.proving": N_(
        "This gauge cannot prove the rig here: stop at the first speed step of the run-up and compare the gauge there."
    ),
    "gauge.proving/finer": N_(
        "This gauge cannot prove the rig at {gauge}, where {low} to {high} would pass: fit a finer gauge, or one with "
        "a shorter scale."
    ),
    "gauge.proving/turns": N_(
        "Count the bypass stem's turns from shut to fully open once, pump off and locked, write them to the unit and "
        "plan again: without them the gauge is only set at the proving point, and proves nothing."
    ),
    "gauge.proving/spread": N_(
        "The proving point proves little, {low} to {high} would pass: find out the inlet of the tips, or measure one."
    ),
    "gauge.flush/none": N_("While flushing leave the bypass open: shut, nothing described holds the pressure."),
    # letting go
    "release.way_out": N_(
        "Take a dump gun or a dump pedal, a regulating valve or an unloader: let go, {value} has no way out but the "
        "relief{when}."
    ),
    "release.way_out/pressure": N_(
        "Take a dump gun or a dump pedal, or a valve for the whole flow: let go, the gauge climbs to {value} and the "
        "relief opens at {bound}."
    ),
    "release.way_out/pressure/none": N_(
        "Take a dump gun or a dump pedal, or a valve for the whole flow: let go, nothing that is described holds it."
    ),
    "release.hold_to_run": N_("Take a tool that stops when it is let go: nothing in the hand jets on by itself."),
    "release.relief": N_(
        "Take dump guns, or a valve for the whole flow: with trigger {let_go} let go the gauge climbs to {value} and "
        "the relief opens at {bound}."
    ),
    "release.relief/held": N_(
        "Plan lower, or take a larger tip: with every trigger held the gauge stands at {value} and the relief opens at "
        "{bound}."
    ),
    "release.relief/held/none": N_(
        "Plan lower, or take a larger tip: with every trigger held nothing that is described holds it."
    ),
    "release.relief/none": N_(
        "Take dump guns, or a valve for the whole flow: with trigger {let_go} let go nothing that is described holds "
        "it."
    ),
    # water and heat
    "supply.water/tank": N_("Bring {short} more: {value} is drawn, {bound} comes, and no tank is described."),
    "supply.water": N_("Bring {short} more, or stop and let the tank fill: the water lasts {value}."),
    "supply.npsh": N_(
        "Feed the pump harder with a booster, or take a wider and shorter line to it, or a lower target: its plate "
        "asks for {needed} of suction head, and even with nothing taken off for the plungers' pulses it finds {over} "
        "less."
    ),
    "supply.npsh/pulses": N_(
        "Look at strainer and line first, and listen for knocking at the pump: its plate asks for {needed} of suction "
        "head and finds {steady}, but the plungers' pulses may take {pulses} of it. That is reckoned for short and "
        "stiff lines up to {longest} (Hydraulic Institute, from memory); a booster, a shorter or wider line or a "
        "damper at the pump helps."
    ),
    "supply.npsh/pulses_boil": N_(
        "Look at strainer and line first, and listen for knocking at the pump: the plungers' pulses may take "
        "{pulses} of suction head, only {steady} is there, and the water would boil. That is reckoned for short and "
        "stiff lines up to {longest} (Hydraulic Institute, from memory); a booster, a shorter or wider line or a "
        "damper at the pump helps."
    ),
    "supply.npsh/margin": N_(
        "Look at strainer and line first, and listen for knocking at the pump: its plate asks for {needed} of suction "
        "head and finds {value}, with {pulses} taken off for the plungers' pulses (Hydraulic Institute, from memory)."
    ),
    "supply.npsh/boils": N_(
        "Feed the pump harder with a booster, or take a wider and shorter line to it: the water would boil on its way "
        "in, {over} short of not doing so."
    ),
    "supply.vortex": N_(
        "Keep the tank fuller, or put a plate over its outlet: {value} of water stand above it, and below {bound} a "
        "vortex may draw air into the pump."
    ),
    "supply.hydrant": N_(
        "Plan with less water, or another hydrant: by its test this one gives {value} at {pressure_left}, and {bound} "
        "is drawn."
    ),
    "heat.tank": N_("Take a larger tip so that less spills, or cooler water: it comes to the packings at {value}."),
    "heat.no_flow": N_("Bypass open and speed down at once when nobody jets: after {value} the water is too hot."),
    "supply.filter": N_(
        "Fit a filter of {needs} or finer: what passes {filter} blocks a tip of {bore} sooner or later."
    ),
    # hoses and what holds them
    "hose.test_age": N_("Take a piece that is in test: this one was tested on {tested}, {value} before {day}."),
    "hose.test_age/future": N_("One of two dates is wrong: tested on {tested}, and the job is on {day}."),
    "hose.count": N_("Not in the yard, {over} short: {value} pieces are laid, {bound} are owned."),
    "tip.count": N_("Not in the yard, {over} short: {value} are fitted, {bound} are owned."),
    "hose.traceable": N_("Take pieces with a tag: nobody can say what {hoses} bears or when it was tested."),
    "hose.mixed": N_("Mark them, or take pieces of one rating: {hoses} look alike and are rated {ratings}."),
    "hose.speed": N_("Lay a wider hose: water at {value} costs pressure and wears hose and fittings."),
    "restraint.whip_checks": N_("Fetch {over} more: {bound} fixed joints need one each."),
    "restraint.shrouds": N_("Fetch {over} more: a hose that meets a person needs one."),
    # people and place
    "person.lance": N_("Take a lance of {bound} or more: a shorter one can be turned on whoever holds it."),
    "person.turn": N_(
        "Put a stiff piece between tip and hose so that they are {bound} apart or more, or cover the opening: what is "
        "{value} long can turn round in a pipe of {bore} and come back."
    ),
    "person.stops": N_("Name {bound} ways to stop the jet that do not hang on each other, and who holds them."),
    "person.rail": N_("Put up a guard rail or work from the ground: the push can throw a person off a {place}."),
    "person.rail/ladder": N_("Nobody jets from a ladder: work from the ground, or from a platform with a guard rail."),
    "person.remote": N_(
        "Try the remote at the farthest work point with the tool in its place: a lost link must stop the jet."
    ),
    "hazard.ignition": N_("Have the permit clear it first: gas measured, everything earthed, nothing that sparks."),
    "hazard.confined_space": N_(
        "Have the permit clear it first: gas measured, somebody outside, a way to get people out."
    ),
    "hazard.live_electrical": N_("Have it switched off, locked and measured, and the permit say so, first."),
    "hazard.product": N_("Have the permit say first what it is, what it does, and what everybody wears."),
    "object.withstands": N_("Plan {over} lower at the tip, or ask again: it withstands {bound} and may see {value}."),
    "object.withstands/hearsay": N_(
        "Ask who says so, and write it down as its source: it is told to withstand {bound} and may see {value}. Till "
        "then plan {over} lower, or try it on a patch that does not matter."
    ),
    "object.withstands/trial": N_(
        "Try it on a patch that does not matter, from low pressure up: nobody said what it bears."
    ),
    "object.threshold": N_(
        "Try it on a patch first; bring the tip closer, or take a larger tip or another way: what is on it begins to "
        "come off at {bound}, and an estimated {least} to {greatest} arrives."
    ),
    "object.threshold/none": N_(
        "Bring the tip closer, or take a larger tip or another way: by this estimate it no longer cleans, and it still "
        "wounds. What is on it begins to come off at {bound}."
    ),
    "object.threshold/tip": N_(
        "Take another way, or plan higher, and at its cautious end no higher than the {withstands} that the object "
        "withstands: what is on it begins to come off at {bound}, and only {behind} stands behind the tip."
    ),
    "object.threshold/tip_unknown": N_(
        "Take another way, or ask the client what the object withstands before anything is planned higher: what is on "
        "it begins to come off at {bound}, and only {behind} stands behind the tip."
    ),
    "object.threshold/other": N_(
        "Take another way, or ask the client again: what is on it begins to come off at {bound}, and what would bring "
        "that there surely is more than the {withstands} that the object withstands."
    ),
    "object.threshold/contrary": N_(
        "Take another way, or ask the client again, the two contradict each other: what is on it begins to come off at "
        "{bound}, and the object withstands {withstands}."
    ),
    "coverage.stripes": N_(
        "Turn it at {bound} or more, or move on {fastest} in a minute or less: else it leaves stripes, and so nothing "
        "is told of how much it cleans."
    ),
    "coverage.stripes/estimated": N_(
        "By the estimated track turn it at {bound} or more, or move on {fastest} in a minute or less: else it leaves "
        "stripes. Measure a track on a trial patch."
    ),
}
"""By code; "code/none" where the limit has no value."""

UNITS: Mapping[str, str] = {
    "heat": "kW",
    "step": "kW",
    "full_load": "kW",
    "power": "kW",
    "opening": "bar",
    "rating": "bar",
    "pressure": "bar",
    "full_scale": "bar",
    "error": "bar",
    "nozzle": "bar",
    "pump_pressure": "bar",
    "gauge": "bar",
    "low": "bar",
    "high": "bar",
    "behind": "bar",
    "withstands": "bar",
    "planned": "N",
    "pulled": "N",
    "whole": "kN",
    "worst": "N",
    "most": "N",
    "blocked": "bar",
    "from": "N",
    "to": "N",
    "change": "N",
    "lightest": "kg",
    "short": "L/min",
    "draw": "L/min",
    "warm": "degC",
    "hottest": "degC",
    "volume": "L",
    "seconds": "s",
    "flow": "L/min",
    "flow_at_set": "L/min",
    "flow_at_full": "L/min",
    "full": "bar",
    "edge": "bar",
    "bore": "mm",
    "filter": "um",
    "rated": "kN",
    "needed": "m",
    "pulses": "m",
    "steady": "m",
    "longest": "m",
    "pressure_left": "bar",
}
"""Facts of a limit that are numbers, and the unit each is shown in."""
ESTIMATED: Mapping[str, str] = {"least": "bar", "greatest": "bar"}
"""The same of what is only estimated."""
SHARES = ("wear", "spill", "over")
"""Facts that are shares."""


READ = ("pressure", "pump_pressure", "gauge", "edge", "low", "high")
"""Facts that a crew reads on the pump's gauge; what is marked on a part stays as it is marked."""
MARKED = ("rating", "withstands")
"""Facts that are the most that something bears."""
READ_VALUES = ("release.", "gauge.flush", "recoil.left")
"""Beginnings of the ids whose value is read there."""


def _gauge(value: float, unit: Unit | None, system: str) -> str:
    """A pressure on the pump's gauge: as it can be read, exact where nobody reads it."""
    return figure(value, "bar", system) if unit is None else gauge_figure(value, unit.gauge, system)


def _said(limit: Limit, system: str, at: Unit | None) -> dict[str, str]:
    """Every figure that a remedy may name, as it is printed."""
    said: dict[str, str] = {}
    for name, value in limit.facts.items():
        if name in ESTIMATED and value is not None:
            said[name] = rough(as_number(value), ESTIMATED[name], system)
        elif name in UNITS and value is not None:
            unit = "mm2" if name == "opening" and limit.id.endswith(".flush") else UNITS[name]
            size = as_number(value)
            said[name] = _gauge(size, at, system) if name in READ else figure(size, unit, system)
            if name in MARKED:
                said[name] = rated(size, system)
        elif name in SHARES:
            said[f"{name}_share"] = said[name] = percent(as_number(value))
        elif name not in UNITS:
            said[name] = ", ".join(map(str, value)) if isinstance(value, tuple | list) else str(value)
    value, bound = limit.value, limit.bound
    if value is not None:
        said["value"] = limit_figure(value, limit.quantity, system)
        if limit.quantity == "pressure" and limit.id.startswith(READ_VALUES):
            said["value"] = _gauge(value, at, system)
        if limit.quantity == "force":
            said["push"] = force(value, system)
    if bound is not None:
        said["bound"] = bound_figure(limit, system)
        if limit.id == "gauge.flush" and at is not None:
            said["bound"] = gauge_down(bound, at.gauge, system)
    if value is not None and bound is not None:
        said["over"] = limit_figure(abs(value - bound), limit.quantity, system)
        if limit.quantity == "pressure" and limit.id in LOWER and at is not None:
            said["over"] = gauge_down(abs(value - bound), at.gauge, system, up=True)
        if limit.quantity == "temperature":
            said["over"] = (
                f"{abs(value - bound) * (1.8 if system == 'us' else 1.0):.0f} {'°F' if system == 'us' else '°C'}"
            )
    derive = DERIVED.get(limit.id)
    if derive is not None and value is not None:
        said |= derive(limit, system)
    if limit.id == "relief.clear" and value is not None and at is not None:
        most = _most(limit)
        said["most"] = gauge_down(most, at.gauge, system)
        said["lower"] = gauge_down(as_number(limit.facts.get("pressure")) - most, at.gauge, system, up=True)
    return said


LOWER = ("rating.working", "object.withstands")
"""Limits by whose excess a crew plans lower."""


def _most(limit: Limit) -> float:
    return as_number(limit.facts.get("opening")) * (1.0 - as_number(limit.bound))


def _relief_room(limit: Limit, system: str) -> dict[str, str]:
    pressure, most = as_number(limit.facts.get("pressure")), _most(limit)
    return {"most": figure(most, "bar", system), "lower": figure(pressure - most, "bar", system)}


def _rated(limit: Limit, system: str) -> dict[str, str]:
    """A rating that does, as the cures step: a part is looked for by one figure."""
    alone = as_number(limit.value) / (1.0 + as_number(limit.facts.get("over")))
    needs = RATING_STEP * math.ceil(max(alone, as_number(limit.facts.get("needs"))) / RATING_STEP - ALIKE)
    return {"needs": f"{number(needs, 'bar', system, up=True)} {printed('bar', system)}"}


def _lightest(limit: Limit, system: str) -> dict[str, str]:
    needs = as_number(limit.facts.get("lightest")) * as_number(limit.value) / (as_number(limit.bound) or 1.0)
    return {"needs": figure(needs, "kg", system)}


def _let_go(limit: Limit, system: str) -> dict[str, str]:
    seconds = limit.facts.get("seconds")
    if limit.facts.get("bypass_shut"):
        return {"when": _(" once the bypass is shut")}
    if isinstance(seconds, float):
        return {"when": _(", about {time} later").format(time=figure(seconds, "s", system))}
    return {"when": ""}


def _finer(limit: Limit, system: str) -> dict[str, str]:
    return {"needs": figure(as_number(limit.bound) * as_number(limit.facts.get("bore")), "um", system)}


def _mixed(limit: Limit, system: str) -> dict[str, str]:
    ratings = limit.facts.get("ratings")
    shown = ratings if isinstance(ratings, list | tuple) else []
    return {"ratings": _(" and ").join(dict.fromkeys(rated(as_number(rating), system) for rating in shown))}


def _left_open(limit: Limit, system: str) -> dict[str, str]:
    opening = limit.facts.get("opening")
    if not isinstance(opening, float):
        return {"opening": ""}
    turns = as_number(limit.facts.get("stem_turns"))
    words = _(" by {area} (about {turns} turns) or more")
    shown = f"{turns:.1f}" if turns >= 1.0 else f"{turns:.2f}"
    return {"opening": words.format(area=figure(opening, "mm2", system), turns=shown)}


def _place(limit: Limit, system: str) -> dict[str, str]:
    place = str(limit.facts.get("place"))
    return {"place": {"platform": _("platform"), "scaffold": _("scaffold")}.get(place, place)}


def _moved_on(limit: Limit, system: str) -> dict[str, str]:
    fastest, bound = 60.0 * as_number(limit.facts.get("fastest")), as_number(limit.bound)
    shown = figure if limit.verified else rough
    return {"fastest": shown(fastest, "m", system), "bound": shown(bound, "rpm", system)}


DERIVED: Mapping[str, Callable[[Limit, str], dict[str, str]]] = {
    "relief.clear": _relief_room,
    "rating.working": _rated,
    "rating.relief_set": _rated,
    "rating.relief_full": _rated,
    "recoil.body": _lightest,
    "release.way_out": _let_go,
    "supply.filter": _finer,
    "hose.mixed": _mixed,
    "person.rail": _place,
    "recoil.flush": _left_open,
    "gauge.flush": _left_open,
    "coverage.stripes": _moved_on,
}
"""Figures that follow from a limit's value, bound and facts."""


class _Blank(dict[str, str]):
    """A figure nobody has is a dash, never an error."""

    def __missing__(self, name: str) -> str:
        return "–"


def remedy_sentence(limit: Limit, system: str = "si", unit: Unit | None = None) -> str:
    """What to do about a limit; "" where nothing needs doing. [-]

    Parameters
    ----------
    limit : Limit
        The limit. [-]
    system : str
        "si" or "us". [-]
    unit : Unit or None
        On whose gauge it is read; exact figures when not given. [-]

    Examples
    --------
    >>> from jetwright.limits.machine import pump_speed
    >>> remedy_sentence(pump_speed(None, 8.0))
    'Take smaller tips, a wider hose or a lower target: no speed reaches this one.'

    References
    ----------
    Our own convention.
    """
    code = limit.remedy
    if limit.value is None and f"{code}/none" in REMEDIES:
        code = f"{code}/none"
    if limit.about.startswith("unit.") and f"{code}/pump" in REMEDIES:
        code = f"{code}/pump"
    template = REMEDIES.get(code)
    return "" if template is None else _(template).format_map(_Blank(_said(limit, system, unit)))


# ---- cures -----------------------------------------------------------------------------------------------------------

CURES: Mapping[str, str] = {
    "tip": N_("tip {name}: bore {before} → {after}"),
    "tips": N_("other tips in place of {name}, with {after} of the bore"),
    "hose": N_("hose {name}: bore {before} → {after}"),
    "target": N_("target {before} → {after}"),
    "speed": N_("a unit whose pump turns up to {after}, not {before}"),
    "bypass": N_("a bypass that opens {after}, not {before}"),
    "bypass_kind": N_("{after} in place of {before}"),
    "support": N_("a body rest on {name}"),
    "holder": N_("{name} held by {after}, not by {before}"),
    "release": N_("a dump gun or a dump pedal for {name}"),
    "rating": N_("stronger parts in place of {name}, rated {after} or more"),
    "rating/hoses": N_("another hose in place of {name}, rated {after} or more"),
    "rating/fittings": N_("another fitting in place of {name}, rated {after} or more"),
    "rating/tools": N_("another tool in place of {name}, rated {after} or more"),
    "relief_flow": N_("another relief that passes {after}, not {before}, fitted by a competent person"),
    "relief_in_test": N_("the relief tested, or another in test fitted, by a competent person"),
    "relief": N_("another relief, marked {after} and not {before}, fitted by a competent person"),
    "kit": N_("plunger kit {after}, not {before}"),
    "gauge": N_("a gauge that reads to {after}, not {before}"),
    "supply": N_("a supply of {after}, not {before}"),
    "suction": N_("a line to the pump of {after} bore, not {before}"),
    "boost": N_("a booster that feeds the pump with {after}"),
    "hose_in_test": N_("hose {name}: another piece, in test and with a tag"),
    "place": N_("work from {after}, not from {before}"),
}
"""By kind of change."""

CHANGED: Mapping[str, str] = {
    "hand-set": N_("a hand-set bypass"),
    "regulating": N_("a regulating valve"),
    "unloader": N_("an unloader"),
    "hand": N_("hand"),
    "carrier": N_("a carrier"),
    "machine": N_("a machine"),
    "dry shut-off": N_("dry shut-off"),
    "dump": N_("dump"),
    "none": N_("none"),
    "ground": N_("the ground"),
    "platform": N_("a platform"),
    "scaffold": N_("a scaffold"),
    "ladder": N_("a ladder"),
}
"""Words that a change is from or to."""


def change_words(cure: Cure, system: str = "si") -> str:
    """What a cure changes, with what must be changed together with it. [-]

    Parameters
    ----------
    cure : Cure
        The change. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> change_words(Cure("bypass_kind", "unit.bypass.kind", "", "hand-set", "regulating"))
    'a regulating valve in place of a hand-set bypass'

    References
    ----------
    Our own convention.
    """
    before, after = _ends(cure, system)
    tables = {key.split(".")[0] for key in cure.key.split(", ")}
    code = f"{cure.kind}/{min(tables)}" if len(tables) == 1 else cure.kind
    template = CURES.get(code) or CURES.get(cure.kind, N_("{name}: {before} → {after}"))
    change = _(template).format(name=_names(cure.key), before=before, after=after)
    if not cure.also:
        return change
    return _("{change}, together with {others}").format(
        change=change, others=_(" and ").join(change_words(also, system) for also in cure.also)
    )


def cure_words(cure: Cure, system: str = "si", unit: Unit | None = None) -> str:
    """One cure: what changes, from, to, and what the rig then shows. [-]

    Parameters
    ----------
    cure : Cure
        A change that was solved again. [-]
    system : str
        "si" or "us". [-]
    unit : Unit or None
        On whose gauge it is read; exact figures when not given. [-]

    Examples
    --------
    >>> cure_words(Cure("tip", "tips.R30.bore", "length", 0.003, 0.00245, {"nozzle": 9e7, "pump_speed": 8.15}))
    'tip R30: bore 3.00 → 2.45 mm: 900 bar at the tip, 489 rpm'

    References
    ----------
    Our own convention.
    """
    change, result = change_words(cure, system), cure.result
    shown = []
    if "nozzle" in result:
        shown.append(_("{pressure} at the tip").format(pressure=figure(result["nozzle"], "bar", system)))
    elif "flow" in result:
        shown.append(_("{flow} through the jets").format(flow=figure(result["flow"], "L/min", system)))
    if "pump_speed" in result:
        shown.append(figure(result["pump_speed"], "rpm", system))
    if "pump_pressure" in result:
        shown.append(_("gauge {pressure}").format(pressure=_gauge(result["pump_pressure"], unit, system)))
    if "engine_load" in result:
        shown.append(_("engine {share}").format(share=percent(result["engine_load"])))
    return f"{change}: {', '.join(shown)}" if shown else change


def _ends(cure: Cure, system: str) -> tuple[str, str]:
    before, after = cure.before, cure.after
    if isinstance(before, str) or isinstance(after, str):
        return _word(before), _word(after)
    if cure.quantity == "percent":
        return percent(before), percent(after)
    unit = unit_for(cure.quantity, max(abs(before), abs(after)), system)
    if not unit:
        return f"{before:.3g}", f"{after:.3g}"
    return number(before, unit, system), figure(after, unit, system)


def _word(value: float | str) -> str:
    return _(CHANGED[value]) if isinstance(value, str) and value in CHANGED else str(value)


def _names(keys: str) -> str:
    """The rows that some keys name: "hoses.A.bore, hoses.B.bore" are A, B."""
    parts = [key.split(".") for key in keys.split(", ")]
    return ", ".join(".".join(part[1:-1]) if len(part) > 2 else part[-1] for part in parts)


def remedy_words(limit: Limit, system: str = "si") -> str:
    """What to do about a limit and every cure of it, in one line; "" where nothing needs doing. [-]

    Parameters
    ----------
    limit : Limit
        The limit. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> remedy_words(Limit("pump.speed", "within", 2.0, 8.0, "speed", 0.75, "plate", True))
    ''

    References
    ----------
    Our own convention.
    """
    sentence = remedy_sentence(limit, system)
    cures = _("; or ").join(cure_words(cure, system) for cure in distinct(limit.cures))
    if sentence and cures:
        return _("{sentence} Solved again: {cures}").format(sentence=sentence, cures=cures)
    return sentence or cures


def distinct(cures: Sequence[Cure]) -> list[Cure]:
    """Cures without repetition. [-]

    Parameters
    ----------
    cures : Sequence of Cure
        Of one limit or several. [-]

    Examples
    --------
    >>> cure = Cure("support", "tools.gun.support", "", "none", "body rest")
    >>> len(distinct([cure, cure]))
    1

    References
    ----------
    Our own convention.
    """
    return list({change_words(cure): cure for cure in cures}.values())
