"""Limits for a terminal, the worst first: a bar for each, and under what is not within limits what to do."""

from collections.abc import Iterable, Sequence

from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from jetwright.limits.limit import Limit, Verdict
from jetwright.report.limits import (
    LONG,
    filled,
    limit_figures,
    limit_title,
    margin_words,
    missing_words,
    not_judged_words,
    standing_words,
)
from jetwright.report.remedies import CUT, cure_words, distinct, remedy_sentence
from jetwright.report.terminal import GLUE, INDENT, SHAPE, STYLE, glued, section
from jetwright.report.wording import _, ngettext
from jetwright.rig.description import Unit

BAR = 16
"""Cells of a bar, its mark aside."""
MARK = 12
"""The bound's place on a limit's bar; what is left of it is room."""
ROOMY = 90
"""From this width on a bar stands on the line of its limit; below it a short one, or it stands on the next line."""
SHORT = 76
"""Below this width what is within has no bar, only its figures and what is left."""
WORST_FIRST: tuple[Verdict, ...] = ("not_allowed", "look", "not_judged", "within")
MARGIN = 12
NEAR = 0.5
"""A limit that has used less than this share of its bound is folded with its like."""


def limits_section(
    limits: Sequence[Limit],
    system: str = "si",
    width: int = 100,
    every: bool = False,
    unit: Unit | None = None,
    cut: bool = False,
) -> RenderableType:
    """The limits of a task under their title. [-]

    Parameters
    ----------
    limits : Sequence of Limit
        Of the task. [-]
    system : str
        "si" or "us". [-]
    width : int
        Widest line. [-]
    every : bool
        List each limit on its own; else equal ones that are within stand as their tightest, and what is not judged is
        folded into a paragraph. [-]
    unit : Unit or None
        On whose gauge pressures are read; exact figures when not given. [-]
    cut : bool
        Say under the cures that not every change was tried. [-]

    Examples
    --------
    >>> from jetwright.report.terminal import page
    >>> speed = Limit("pump.speed", "within", 6.0, 8.0, "speed", 0.25, "plate", True)
    >>> print(page([limits_section([speed])], 100, False))
    <BLANKLINE>
    Limits
      ■  Pump speed                                   360 of 480 rpm  █████████░░░│░░░░  25 % left     a
         a plate

    References
    ----------
    Our own layout.
    """
    inner = width - INDENT
    alone = len({one.about for one in limits if one.about.split(".")[0] in ("tools", "branch")}) < 2
    content: list[RenderableType] = []
    shown: set[str] = set()
    for verdict in ("not_allowed", "look"):
        for limit in _nearest_first(one for one in limits if one.verdict == verdict):
            content += _spoken(limit, alone, system, inner, shown, unit)
        if verdict == "not_allowed" and cut:
            content.append(Padding(Text(_(CUT)), (0, 0, 0, 3)))
    unjudged = [one for one in limits if one.verdict == "not_judged"]
    if unjudged:
        content += _unjudged(unjudged, alone, every, system, unit)
    within = _nearest_first(one for one in limits if one.verdict == "within")
    if within:
        if content:
            content.append(Text(""))
        content += _compact([(one, 1) for one in within] if every else _tightest(within), every, alone, system, inner)
    return section(_("Limits"), *content)


def counted_words(limits: Iterable[Limit]) -> str:
    """How many limits there are, and how many of them are not within. [-]

    Parameters
    ----------
    limits : Iterable of Limit
        Of a task. [-]

    Examples
    --------
    >>> counted_words([Limit("pump.speed", "within", 2.0, 8.0, "speed", 0.75, "plate", True)])
    '1 limit, within'

    References
    ----------
    Our own convention.
    """
    judged = list(limits)
    count = {verdict: sum(one.verdict == verdict for one in judged) for verdict in WORST_FIRST}
    parts = [ngettext("{n} limit", "{n} limits", len(judged)).format(n=len(judged))]
    if count["not_allowed"]:
        parts.append(
            ngettext("{n} not allowed", "{n} not allowed", count["not_allowed"]).format(n=count["not_allowed"])
        )
    if count["look"]:
        parts.append(_("{n} to look at first").format(n=count["look"]))
    if count["not_judged"]:
        parts.append(_("{n} not judged").format(n=count["not_judged"]))
    return ", ".join(parts if len(parts) > 1 else [*parts, _("within")])


def _nearest_first(limits: Iterable[Limit]) -> list[Limit]:
    return sorted(limits, key=lambda one: 0.0 if (used := filled(one)) is None else -used)


def _tightest(within: Sequence[Limit]) -> list[tuple[Limit, int]]:
    """Of each id the limit with the least room, and how many there are."""
    found: dict[tuple[str, str], list[Limit]] = {}
    for limit in within:
        found.setdefault((limit.id, limit.quantity), []).append(limit)
    return [(several[0], len(several)) for several in found.values()]


def bar(limit: Limit, cells: int = BAR) -> str:
    """Value against a bound at a fixed mark; an overrun runs past it. [-]

    What must stay above its bound fills from the right.

    Parameters
    ----------
    limit : Limit
        The limit. [-]
    cells : int
        How long it is, its mark aside. [-]

    Examples
    --------
    >>> bar(Limit("pump.speed", "within", 2.0, 8.0, "speed", 0.75, "plate", True))
    '███░░░░░░░░░│░░░░'
    >>> bar(Limit("person.lance", "within", 1.5, 0.75, "length", 1.0, "plate", True, least=True))
    '░░░░│░░░░░░██████'

    References
    ----------
    Our own convention.
    """
    used = filled(limit)
    if used is None:
        return ""
    mark = MARK * cells // BAR
    length = min(cells, max(0, round(mark * used)))
    if used > 1.0 and limit.verdict != "within":
        length = max(length, mark + 1)
    elif limit.verdict == "within":
        length = min(length, mark)
    drawn = ["█" if place < length else "░" for place in range(cells)]
    drawn.insert(mark, "│")
    return "".join(reversed(drawn) if limit.least else drawn)


def _spoken(
    limit: Limit, alone: bool, system: str, width: int, shown: set[str], unit: Unit | None
) -> list[RenderableType]:
    """A limit that is not within: its numbers, its source, what to do, and what would cure it."""
    style = STYLE[limit.verdict]
    title = Text(limit_title(limit, alone=alone), style="bold")
    figures = Text(glued(limit_figures(limit, system)), style="bold")
    said = figures if len(figures) > LONG else None
    figures = Text("") if said else figures
    left, row = glued(margin_words(limit, system)), _row()
    picture = Text(bar(limit), style=style)
    source = standing_words(limit)
    if width + INDENT >= ROOMY:
        row.add_column(width=BAR + 1, no_wrap=True)
        row.add_column(width=MARGIN, no_wrap=True)
        row.add_row(Text(SHAPE[limit.verdict], style=style), title, figures, picture, left)
        lines: list[RenderableType] = [row, Padding(Text(source), (0, 0, 0, 3))]
    else:
        row.add_row(Text(SHAPE[limit.verdict], style=style), title, figures)
        under = Text.assemble(picture, "  " if picture.plain else "", left, " · " if left else "", source)
        lines = [row, Padding(under, (0, 0, 0, 3))]
    if said:
        lines.insert(1, Padding(said, (0, 0, 0, 3)))
    sentence = remedy_sentence(limit, system, unit)
    if sentence and sentence not in shown:
        shown.add(sentence)
        lines.append(Padding(Text(glued(sentence)), (0, 0, 0, 3)))
    cures = "; ".join(cure_words(cure, system, unit) for cure in limit.cures)
    if cures and cures not in shown:
        shown.add(cures)
        lines.append(Padding(Text(_("What would cure it, each solved again:"), style="bold"), (0, 0, 0, 3)))
        for cure in distinct(limit.cures):
            arrow = Table.grid(padding=(0, 1, 0, 0))
            arrow.add_row("→", glued(cure_words(cure, system, unit)))
            lines.append(Padding(arrow, (0, 0, 0, 3)))
    return lines


def _row() -> Table:
    row = Table(box=None, show_header=False, padding=(0, 2, 0, 0), pad_edge=False, expand=True)
    row.add_column(width=1, no_wrap=True)
    row.add_column(ratio=1, overflow="fold")
    row.add_column(justify="right", overflow="fold")
    return row


def _unjudged(
    limits: Sequence[Limit], alone: bool, every: bool, system: str, unit: Unit | None
) -> list[RenderableType]:
    rows = _row()
    todo = dict.fromkeys(filter(None, (remedy_sentence(limit, system, unit) for limit in limits)))
    if not every:
        words = not_judged_words(limits, typed=True)
        table = Table.grid(padding=(0, 2, 0, 0))
        for place, line in enumerate(words):
            table.add_row(SHAPE["not_judged"] if place == 0 else "", line)
        for sentence in todo:
            table.add_row("", glued(sentence))
        return [table]
    for limit in limits:
        why = missing_words(limit.missing, typed=True) if limit.missing else ""
        rows.add_row(SHAPE["not_judged"], limit_title(limit, alone=alone), why)
    return [rows, *(Padding(Text(glued(sentence)), (0, 0, 0, 3)) for sentence in todo)]


def _compact(
    within: Sequence[tuple[Limit, int]], every: bool, alone: bool, system: str, width: int
) -> list[RenderableType]:
    """A line for each limit that is within, those with much room folded, and where their bounds come from."""
    long = BAR if width + INDENT >= ROOMY else BAR // 2 if width + INDENT >= SHORT else 0
    table = _row()
    if long:
        table.add_column(width=long + 1, no_wrap=True)
    table.add_column(width=MARGIN, no_wrap=True)
    table.add_column(width=1, no_wrap=True)
    sources: dict[str, str] = {}
    far = []
    for limit, count in within:
        letter = sources.setdefault(standing_words(limit), _letter(len(sources)))
        title = limit_title(limit, alone=alone)
        if count > 1:
            title += " " + _("(tightest of {n})").format(n=count).replace(" ", GLUE)
        figures, left = glued(limit_figures(limit, system)), glued(margin_words(limit, system))
        if len(figures) > LONG:
            title, figures = f"{title}: {figures}", ""
        used = filled(limit)
        if not every and (used is None or used < NEAR):
            far.append(f"{title} {figures}".strip() + f"{GLUE}[{letter}]")
            continue
        cells: list[str | Text] = [Text(SHAPE["within"], style=STYLE["within"]), title, figures]
        if long:
            cells.append(Text(bar(limit, long), style=STYLE["within"]))
        table.add_row(*cells, left, letter)
    content: list[RenderableType] = [table] if table.row_count else []
    if far:
        rest = Table.grid(padding=(0, 2, 0, 0))
        told = _("Within by half or more: {limits}.") if table.row_count else "{limits}."
        rest.add_row(Text(SHAPE["within"], style=STYLE["within"]), told.format(limits="; ".join(far)))
        content.append(rest)
    if every:
        legend = Table.grid(padding=(0, 2, 0, 0))
        for source, letter in sources.items():
            legend.add_row(letter, source)
        return [*content, legend]
    return [
        *content,
        Padding(Text(" · ".join(f"{letter}{GLUE}{source}" for source, letter in sources.items())), (0, 0, 0, 3)),
    ]


def _letter(place: int) -> str:
    return chr(ord("a") + place % 26)
