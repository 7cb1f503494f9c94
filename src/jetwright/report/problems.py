"""What is wrong with a file, in a crew's words: one line a problem, with what was written and what is accepted."""

from collections.abc import Callable, Iterable

from jetwright.errors import JetwrightError, NotServedError, Problem, RigError, UnitError
from jetwright.report.figures import as_written, signed
from jetwright.report.wording import _, ngettext


def refusal_lines(error: JetwrightError) -> list[str]:
    """Every problem of a refused file, one a line, in the order of file and line. [-]

    Parameters
    ----------
    error : JetwrightError
        What was raised. [-]

    Examples
    --------
    >>> refusal_lines(RigError([Problem(("tips", "R10", "bore"), "missing_key", file="job.toml", line=97)]))
    ['job.toml:97: tips.R10.bore: missing, and it is needed']

    References
    ----------
    Our own convention.
    """
    if isinstance(error, RigError):
        ordered = sorted(error.problems, key=lambda p: (p.code == "more_problems", p.file, p.line))
        return list(dict.fromkeys(problem_line(p) for p in ordered))
    if isinstance(error, UnitError):
        return [problem_line(Problem((), error.code, error.written, error.facts))]
    if isinstance(error, NotServedError):
        return [problem_line(Problem((), error.code, "", error.facts))]
    return [str(error)]


def problem_line(problem: Problem) -> str:
    """One problem on one line: where, which key, what was written, what is wrong, what is accepted. [-]

    Parameters
    ----------
    problem : Problem
        The facts. [-]

    Examples
    --------
    >>> problem_line(Problem(("tips", "R10", "bore"), "decimal_comma", "1,0 mm",
    ...     {"readings": ["1.0 mm", "10 mm"]}, "job.toml", 97))
    'job.toml:97: tips.R10.bore: “1,0 mm”: a comma may be misread; write “1.0 mm” or “10 mm”'

    References
    ----------
    Our own convention.
    """
    where = problem.file
    if where and problem.line:
        where += f":{problem.line}"
    written = _("“{text}”").format(text=problem.written) if problem.written else ""
    parts = [where, key_words(problem.key), written, problem_words(problem, typed=True)]
    return ": ".join(" ".join(part.split()) for part in parts if part)


def key_words(key: tuple[str | int, ...]) -> str:
    """A key as it is found in the file; list rows count from 1. [-]

    Parameters
    ----------
    key : tuple of str and int
        Table by table; a row of a list counts from 0. [-]

    Examples
    --------
    >>> key_words(("task", 0, "branches", 1, "tool"))
    'task 1, branches 2, tool'
    >>> key_words(("tips", "R10", "bore"))
    'tips.R10.bore'

    References
    ----------
    Our own convention.
    """
    if not any(isinstance(part, int) for part in key):
        return ".".join(_short(str(part)) for part in key)
    groups: list[list[str]] = [[]]
    for part in key:
        if isinstance(part, int):
            if groups[-1]:
                groups[-1][-1] += f" {part + 1}"
                groups.append([])
            else:
                groups[-2][-1] += f".{part + 1}"
        else:
            groups[-1].append(_short(part))
    return ", ".join(".".join(group) for group in groups if group)


def problem_words(problem: Problem, *, typed: bool = False) -> str:
    """What is wrong and what is accepted. [-]

    Parameters
    ----------
    problem : Problem
        The facts. [-]
    typed : bool
        Whoever reads it types job files: the keys to write follow in brackets. [-]

    Examples
    --------
    >>> problem_words(Problem((), "unknown_name", "gnu", {"noun": "tool", "known": ["gun"], "nearest": "gun"}))
    'there is no tool of this name; did you mean “gun”? Known: gun'

    References
    ----------
    Our own convention.
    """
    words = PROBLEMS.get(problem.code)
    if words is None:
        told = ", ".join(f"{name} {_said(value)}" for name, value in problem.facts.items())
        text = problem.code.replace("_", " ")
        return f"{text} ({told})" if told else text
    facts = _Facts(problem)
    said, keys = words(facts), TYPED.get(problem.code, "") or facts.names("beside") or facts.names("given")
    return _("{problem} ({keys})").format(problem=said, keys=keys) if typed and keys else said


OURS = ("above", "at_least", "at_most", "example", "least", "most", "nearest", "unit")
"""Facts that are words of ours, with units as they are printed; what was typed stays as it is."""


class _Facts:
    """A problem's facts as words; what is absent is empty."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem

    def __call__(self, name: str) -> str:
        text = _short(_said(self.problem.facts.get(name, "")))
        return signed(text) if name in OURS else text

    def has(self, name: str) -> bool:
        return bool(self.problem.facts.get(name))

    def quantity(self, name: str, kind: str) -> str:
        value = self.problem.facts.get(name)
        return as_written(value, kind) if isinstance(value, float) else _said(value)

    def rounded(self, name: str) -> str:
        value = self.problem.facts.get(name)
        return f"{value:.3g}" if isinstance(value, float) else _said(value)

    def names(self, name: str, most: int = 12) -> str:
        value = self.problem.facts.get(name, ())
        names = [value] if isinstance(value, str) else [str(v) for v in value] if isinstance(value, Iterable) else []
        shown = ", ".join(map(_short, names[:most]))
        return shown + (_(" and {n} more").format(n=len(names) - most) if len(names) > most else "")

    def nearest(self) -> str:
        return "; " + _("did you mean “{nearest}”?").format(nearest=self("nearest")) if self.has("nearest") else ""

    def accepted(self) -> str:
        """Units and an example."""
        text = ""
        if self.has("units"):
            text += "; " + _("accepted: {units}").format(units=signed(self.names("units")))
        if self.has("example"):
            text += _(", as in “{example}”").format(example=self("example"))
        return text

    def known(self) -> str:
        text = self.names("known")
        return (" " if self.has("nearest") else "; ") + _("Known: {names}").format(names=text) if text else ""


def _short(text: str, most: int = 80) -> str:
    """What strangers write is not printed to its end."""
    return text if len(text) <= most else text[: most - 1] + "…"


def _said(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, str) or not isinstance(value, Iterable):
        return str(value)
    return ", ".join(str(v) for v in value)


def _readings(f: _Facts) -> str:
    value = f.problem.facts.get("readings", ())
    readings = [str(v) for v in value] if isinstance(value, Iterable) and not isinstance(value, str) else []
    return _(" or ").join(_("“{text}”").format(text=r) for r in readings)


def _nouns(kind: str) -> str:
    """A kind of quantity in words."""
    return {
        "pressure": _("a pressure"),
        "flow": _("a flow"),
        "length": _("a length"),
        "area": _("an area"),
        "temperature": _("a temperature"),
        "temperature_difference": _("a temperature difference"),
        "speed": _("turns in a minute"),
        "velocity": _("a speed of water"),
        "power": _("a power"),
        "force": _("a force"),
        "torque": _("a torque"),
        "mass": _("a mass"),
        "volume": _("a volume"),
        "time": _("a time"),
        "fuel_rate": _("fuel for a unit of work"),
        "age": _("a time"),
        "angle": _("an angle"),
        "direction": _("an angle from the tool's axis"),
        "percent": _("a percentage"),
        "flow_at": _("a flow at a pressure"),
        "ratio": _("a bare number"),
        "count": _("a whole number"),
    }.get(kind, kind)


def _types(name: str) -> str:
    """A type of value in words."""
    return {
        "text": _("text in quotes"),
        "table": _("a table"),
        "list": _("a list in brackets"),
        "list of tables": _("a list of tables"),
        "number": _("a number without quotes"),
        "count": _("a whole number without quotes"),
        "yes_no": _("true or false"),
        "date": _("a date, as in 2026-03-02"),
        "time": _("a time"),
        "pair": _("a pair in brackets"),
        "quantity": _("a quantity with its unit, in quotes"),
    }.get(name, name)


def _missing_key(f: _Facts) -> str:
    text = _("missing, and it is needed")
    if f.has("because"):
        text += " " + _("where the kind is “{kind}”").format(kind=f("because"))
    if f.has("known"):
        text += "; " + _("one of: {names}").format(names=f.names("known"))
    return text + f.accepted()


def _unknown_key(f: _Facts) -> str:
    table = f("table")
    text = _("[{table}] has no such key").format(table=table) if table else _("the file has no such key at its top")
    facts = f.problem.facts
    if "belongs" in facts:
        belongs = str(facts["belongs"])
        if belongs:
            text += "; " + _("it belongs to [{table}]").format(table=belongs)
        else:
            text += "; " + _("it belongs at the top of the file, above the first table")
        return text
    return text + f.nearest() + f.known()


def _out_of_range(f: _Facts) -> str:
    bounds = []
    if f.has("above"):
        bounds.append(_("above {bound}").format(bound=f("above")))
    if f.has("at_least"):
        bounds.append(_("at least {bound}").format(bound=f("at_least")))
    if f.has("at_most"):
        bounds.append(_("at most {bound}").format(bound=f("at_most")))
    text = _("out of range")
    text += "; " + _("must be {bounds}").format(bounds=_(" and ").join(bounds)) if bounds else ""
    if f.problem.key[-1:] == ("standoff",):
        text += "; " + _("it is tip to surface, where the jet cleans, and no distance to a person")
    return text


def _unknown_name(f: _Facts) -> str:
    noun = f("noun") or f("table")
    words = {
        "hose or fitting": _("there is no hose or fitting of this name"),
        "hoses": _("there is no hose or fitting of this name"),
        "tip": _("there is no tip of this name"),
        "tips": _("there is no tip of this name"),
        "tool": _("there is no tool of this name"),
        "tools": _("there is no tool of this name"),
        "kit": _("there is no kit of this name"),
        "unit.kits": _("there is no kit of this name"),
        "task": _("there is no task of this name"),
        "rule set": _("there is no rule set of this name"),
        "bound": _("no rule set has a bound of this name"),
        "grade": _("no edition has a grade of this name"),
        "edition": _("this grade stands in no edition of this name"),
    }
    return words.get(noun, _("there is nothing of this name")) + f.nearest() + f.known()


def _no_such_task(f: _Facts) -> str:
    return _("there is no task of this name or number") + f.nearest() + f.known()


def _bad_toml(f: _Facts) -> str:
    reason = {
        "written_twice": _("this key or table is written twice"),
        "value": _('the value cannot be read; text and quantities stand in quotes, as in "950 bar"'),
        "text": _("a text in quotes is not closed or holds a sign it may not"),
        "list": _("a list in brackets is not closed, or a comma is missing"),
        "key": _("the key cannot be read"),
        "line": _("the line cannot be read; a line is `key = value` or `[table]`"),
    }.get(f("reason"), _("the line is not TOML"))
    return reason + (" " + _("(column {column})").format(column=f("column")) if f.has("column") else "")


PROBLEMS: dict[str, Callable[[_Facts], str]] = {
    # quantities
    "missing_unit": lambda f: _("a unit is missing") + f.accepted(),
    "bare_number": lambda f: _("a bare number where a unit belongs; write number and unit in quotes") + f.accepted(),
    "decimal_comma": lambda f: _("a comma may be misread; write {readings}").format(readings=_readings(f)),
    "ambiguous_thousands": lambda f: _("digits in groups may be misread; write {readings}").format(
        readings=_readings(f)
    ),
    "not_a_number": lambda f: _("no number stands in front of the unit") + f.accepted(),
    "absurd_number": lambda f: _("no such number occurs on a rig") + f.accepted(),
    "too_long": lambda f: _("too long for a quantity (at most {limit} signs)").format(limit=f("limit")) + f.accepted(),
    "unknown_unit": lambda f: _("unknown unit “{unit}”").format(unit=f("unit")) + f.nearest() + f.accepted(),
    "other_kind": lambda f: (
        _("{unit} is the unit of {other}, and {kind} belongs here").format(
            unit=f("unit"), other=_nouns(f("unit_kind")), kind=_nouns(f("kind"))
        )
        + f.accepted()
    ),
    "absolute_pressure": lambda f: _("absolute pressures are not read; write gauge pressure") + f.accepted(),
    "missing_at": lambda f: _("a rated pair needs its pressure") + f.accepted(),
    # values
    "out_of_range": _out_of_range,
    "not_finite": lambda f: _("not a number that can be counted with"),
    "wrong_type": lambda f: _("{expected} belongs here, not {got}").format(
        expected=_types(f("expected")), got=_types(f("got"))
    ),
    "not_one_of": lambda f: _("not one of the words that may stand here") + f.nearest() + f.known(),
    "empty_text": lambda f: _("empty; a word belongs here"),
    "text_too_long": lambda f: _("too long (at most {limit} signs)").format(limit=f("limit")),
    "control_character": lambda f: _("holds a control character; only signs that can be printed may stand here"),
    "too_few": lambda f: _("too few; at least {least}").format(least=f("least")),
    "too_many": lambda f: _("too many; at most {most}").format(most=f("most")),
    # keys and names
    "missing_key": _missing_key,
    "unknown_key": _unknown_key,
    "unknown_name": _unknown_name,
    "no_such_task": _no_such_task,
    "compared_with_itself": lambda f: _("the same task twice (“{task}”); name another one to compare it with").format(
        task=f("task")
    ),
    "same_name": lambda f: _("a hose and a fitting share the name “{name}”; rename one of them").format(name=f("name")),
    "not_in_a_yard": lambda f: _("does not belong in a yard file") + f.known(),
    "other_parent": lambda f: _(
        "this rule set tightens “{parent}”, and the job is judged by “{asked}”; name the same one in both"
    ).format(parent=f("parent"), asked=f("asked")),
    # a rig that does not fit together
    "pump_size_twice": lambda f: _(
        "the pump's size is given twice; give how many plungers it has, their stroke and their diameter or a kit, or "
        "else the flow of one turn"
    ),
    "missing_pump_size": lambda f: _(
        "the pump's size is missing; give how many plungers it has, their stroke and their diameter or a kit, or else "
        "the flow of one turn"
    ),
    "start_above_top": lambda f: _("above the top speed; the lowest speed under load belongs here"),
    "curve_order": lambda f: _("a curve begins with its lowest speed, and each speed is higher than the one before"),
    "usable_above_volume": lambda f: _("more than the tank's volume"),
    "hydrant_order": lambda f: _(
        "no higher than the pressure that its test left; the pressure with nothing drawn belongs here"
    ),
    "needs_tank": lambda f: _("the unit has no tank; describe one, or leave this out"),
    "roughness_too_large": lambda f: _("more than a twentieth of the bore; a new hose has about 0.01 mm"),
    "tail_wider_than_hose": lambda f: _("wider than its hose; the bore of the end fitting belongs here"),
    "rated_beside_bore": lambda f: _(
        "a tip has either what its chart prints, or a bore with its inlet or a measured coefficient; here stand both"
    ),
    "missing_inlet": lambda f: _(
        "missing; give the shape of its inlet (sharp, rounded, cone, unknown) or a measured discharge coefficient"
    ),
    "no_ports": lambda f: _("a tool needs at least one port with a tip"),
    "missing_holder": lambda f: _("missing; a hand lance held by “{held_by}” names what holds it").format(
        held_by=f("held_by")
    ),
    "tip_larger_than_tool": lambda f: _("this tip is wider ({tip}) than the tool's bore ({tool})").format(
        tip=f.quantity("tip", "length"), tool=f.quantity("tool", "length")
    ),
    "two_targets": lambda f: _("more than one target; give exactly one"),
    "no_target": lambda f: _("no target; give a pressure at the nozzle, one at the pump, or a flow"),
    "tool_and_branches": lambda f: _("both a tool and branches; give one of them"),
    "no_tool": lambda f: _("neither a tool nor branches; name one of the tools"),
    "run_too_long": lambda f: _("{count} pieces in one run; at most {most} can be planned").format(
        count=f("count"), most=f("most")
    ),
    "rig_too_long": lambda f: _("{count} pieces in the hose runs of one task; at most {most} can be planned").format(
        count=f("count"), most=f("most")
    ),
    "branch_count": lambda f: _("{count} branches; 2 to 8 can be planned").format(count=f("count")),
    "same_task": lambda f: _("a change is from one task to another, and both ends are this one; name two"),
    "no_such_branch": lambda f: ngettext(
        "there is {n} branch only", "there are {n} branches only; they count from 1", int(f("count") or 1)
    ).format(n=f("count")),
    "missing_dump": lambda f: _("missing; a tool that dumps has a dump port, or a fitting of its hose run has one"),
    "pipe_too_narrow": lambda f: _("no wider than the bore of “{tool}” ({inside}); the pipe takes it in").format(
        tool=f("tool"), inside=f.quantity("inside", "length")
    ),
    "travel_too_fast": lambda f: _(
        "{speed} is faster than any tool is moved on over what it cleans; at most {most}"
    ).format(speed=f.quantity("speed", "velocity"), most=f.quantity("most", "velocity")),
    "climb_above_length": lambda f: _("more than the pipe is long ({length})").format(
        length=f.quantity("length", "length")
    ),
    "nothing_points_back": lambda f: _(
        "no port of this tool points back, so nothing pulls it forward, whatever its tips; name the task whose tool is "
        "meant, or give a port an angle as in “30 deg back”"
    ),
    "nothing_turns": lambda f: _(
        "no port of this tool has both a radius and a skew, so nothing turns it, whatever its tips; give them, or name "
        "the task whose tool is meant"
    ),
    "too_many_ports": lambda f: _(
        "so many ports and tips cannot be searched; take the largest tips out of the file, or those that are not meant"
    ),
    "delivers_nothing": lambda f: _(
        "with this clearance and slip the pump delivers nothing at its rating, {rating}"
    ).format(rating=f.quantity("rating", "pressure")),
    "measured_not_physical": lambda f: _(
        "these readings cannot be one pump's: they ask for slip {slip} and clearance {clearance}; "
        "check speed, pressure and flow"
    ).format(slip=f.rounded("slip"), clearance=f.rounded("clearance")),
    "pump_starved": lambda f: _(
        "at this flow the supply hose takes more pressure than there is, and the water boils at the pump; "
        "a wider or shorter hose, or more supply pressure"
    ),
    "above_served": lambda f: _("the water would stand above {highest}, beyond what is known of it here").format(
        highest=f.quantity("highest", "pressure")
    ),
    # a reading that tells nothing
    "reading_twice": lambda f: _("a second reading of this task and day; keep the one that holds"),
    "reading_too_fast": lambda f: _("above the pump's top speed, {top}").format(top=f.quantity("top", "speed")),
    "reading_too_slow": lambda f: _(
        "below start speed, {start}, the lowest the pump is run at under load; read the gauge at the proving point"
    ).format(start=f.quantity("start", "speed")),
    "reading_off_scale": lambda f: _("beyond the end of the gauge's scale, {end}").format(
        end=f.quantity("full_scale", "pressure")
    ),
    "reading_no_opening": lambda f: _("nobody sets an opening on this bypass; leave it out: it was shut"),
    "reading_opens_too_far": lambda f: _("more than the bypass opens, {area}").format(
        area=f.quantity("full_open", "area")
    ),
    "reading_flush_high": lambda f: _(
        "above what the gauge showed with the tips in, {gauge}; without them it stands lower"
    ).format(gauge=f.quantity("gauge", "pressure")),
    "reading_pin_of_several": lambda f: _(
        "the tips of this task have no one bore here; gauge them one by one and write down each"
    ),
    "reading_pin_far": lambda f: _(
        "far from the bore in the file, {bore}: another tip, or a slip of the keys; write the tip that is fitted"
    ).format(bore=f.quantity("bore", "length")),
    "reading_above_target": lambda f: _(
        "there the gauge would stand at {expected}, and the task is set for {planned}; read it at the proving point, "
        "{start}"
    ).format(
        expected=f.quantity("expected", "pressure"),
        planned=f.quantity("planned", "pressure"),
        start=f.quantity("start", "speed"),
    ),
    "reading_relief_open": lambda f: _(
        "at {opening} a relief device may be open, and a gauge then tells of that alone; read it at the proving point"
    ).format(opening=f.quantity("opening", "pressure")),
    "reading_unloader_open": lambda f: _(
        "at {opening} the unloader opens, and the gauge then tells of that alone; read it at the proving point"
    ).format(opening=f.quantity("opening", "pressure")),
    "reading_flow_high": lambda f: _("more than this pump gives at that speed, {most} at the very most").format(
        most=f.quantity("most", "flow")
    ),
    "reading_no_setting": lambda f: _("the task has no setting to compare with; see what `jetwright check` says of it"),
    "reading_held_by_valve": lambda f: _(
        "at this task's proving point the valve holds the gauge, and what it shows tells nothing of the rig; measure "
        "the tips, or the flow at the pump"
    ),
    "reading_not_adopted": lambda f: _("not written: it is explained first; without --adopt is said what to look at"),
    "reading_of_refused_task": lambda f: _(
        "not written: the task is not allowed, whatever the gauge shows; change the rig first, and read it again"
    ),
    "reading_not_written": lambda f: _(
        "not written: the file's readings do not stand in [[reading]] tables of their own; nothing was changed"
    ),
    "reading_of_which_task": lambda f: _("several tasks; say which one with --task") + f.known(),
    # files
    "not_found": lambda f: _("there is no such file"),
    "not_readable": lambda f: _("the file cannot be opened for reading"),
    "not_a_file": lambda f: _("not a file (a folder or a device)"),
    "too_large": lambda f: _("too large for a job file (at most {limit} kB)").format(limit=f("limit_kb")),
    "not_utf8": lambda f: _("not UTF-8 text; save the file as UTF-8"),
    "binary": lambda f: _("not a text file"),
    "too_deep": lambda f: _("brackets or dotted keys are nested too deep (at most {limit})").format(limit=f("limit")),
    "bad_toml": _bad_toml,
    "yard_outside": lambda f: _("a yard file lies in this file's folder or below it; write a path that stays inside"),
    "rules_outside": lambda f: _(
        "a site's rule set lies in this file's folder or below it; write a path that stays inside"
    ),
    "yard_link": lambda f: _("a link stands on the way; write the path of the file itself"),
    "more_problems": lambda f: ngettext("and {n} more problem", "and {n} more problems", int(f("count") or 0)).format(
        n=f("count")
    ),
    "exists": lambda f: _("there is such a file, and it says something else; --overwrite replaces it"),
    "link_in_the_way": lambda f: _("a link stands there; nothing is written through it"),
    "not_a_folder": lambda f: _("a file stands there, and no folder"),
    "not_writable": lambda f: (
        _("the file cannot be written; written before it: {names}").format(names=f.names("kept"))
        if f.has("kept")
        else _("the file cannot be written; nothing was changed")
    ),
    "names_a_file": lambda f: _("names a file, and there is none here; put what it says into the job itself"),
    "changed_meanwhile": lambda f: _("changed meanwhile; nothing was written: try again"),
    "would_be_too_large": lambda f: _(
        "not written: it would be too large for a job file (at most {limit} kB); nothing was changed"
    ).format(limit=f("limit_kb")),
    "not_rewritten": lambda f: _("not rewritten: the new text would not mean the same; nothing was changed"),
}
"""Problem code → its sentence; `files.problems` and `rig.check` list the codes with their facts."""

TYPED: dict[str, str] = {
    "pump_size_twice": "plungers, stroke, plunger_diameter | kit | flow_per_turn",
    "missing_pump_size": "plungers, stroke, plunger_diameter | kit | flow_per_turn",
    "start_above_top": "top_speed",
    "needs_tank": "[unit.tank]",
    "missing_inlet": "inlet | cd",
    "no_target": "nozzle_pressure | pump_pressure | flow",
    "tool_and_branches": "tool | branches",
    "no_tool": "[tools]",
    "reading_pin_of_several": "[tips]",
}
"""Problem code → the keys and tables that its sentence speaks of, as a job file has them."""
