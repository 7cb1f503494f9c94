"""Blocks of a page for a terminal or a printer: grids, listings, sections, figures that are never broken in two."""

import io
import re
from collections.abc import Iterable, Sequence

from rich.console import Console, Group, JustifyMethod, RenderableType
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

from jetwright.limits.limit import Verdict
from jetwright.report import figures
from jetwright.report.wording import verdict_words

SHAPE: dict[Verdict, str] = {"within": "■", "look": "▲", "not_allowed": "●", "not_judged": "□"}
"""A shape beside every verdict, after the logic of ISO 3864: disc, triangle, square."""

STYLE: dict[Verdict, str] = {"within": "green", "look": "yellow", "not_allowed": "bold red", "not_judged": ""}
GLUE = "\ue000"
"""Stands for the space between a number and its unit until the lines are broken."""
INDENT = 2
"""How far what stands under a title is set in."""


def page(content: Iterable[RenderableType], width: int, colour: bool) -> str:
    """Blocks as text, no line wider than asked. [-]

    Parameters
    ----------
    content : Iterable
        From top to bottom. [-]
    width : int
        Widest line. [-]
    colour : bool
        Colour and weight; the text is the same without. [-]

    Examples
    --------
    >>> page(["Bund"], 60, False)
    'Bund\\n'

    References
    ----------
    Our own convention.
    """
    out = io.StringIO()
    console = Console(
        file=out,
        width=width,
        force_terminal=colour,
        color_system="standard" if colour else None,
        no_color=not colour,
        highlight=False,
        markup=False,
        emoji=False,
        legacy_windows=False,
        _environ={},
    )
    for block in content:
        console.print(block)
    return "\n".join(line.rstrip() for line in out.getvalue().replace(GLUE, " ").splitlines()) + "\n"


def figure(value: float, unit: str, system: str = "si") -> str:
    """Number and unit that stay on one line. [-]

    Parameters
    ----------
    value : float
        The quantity. [SI]
    unit : str
        The unit under "si". [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> figure(9e7, "bar").replace(GLUE, " ")
    '900 bar'

    References
    ----------
    `report.figures.figure`.
    """
    return figures.figure(value, unit, system).replace(" ", GLUE)


def percent(share: float) -> str:
    """A share that stays on one line. [-]

    Parameters
    ----------
    share : float
        The share. [-]

    Examples
    --------
    >>> percent(0.31).replace(GLUE, " ")
    '31 %'

    References
    ----------
    `report.figures.percent`.
    """
    return figures.percent(share).replace(" ", GLUE)


def glued(words: str) -> str:
    """Words in which no number is parted from what follows it. [-]

    Parameters
    ----------
    words : str
        A sentence. [-]

    Examples
    --------
    >>> glued("900 bar at the tip").replace(GLUE, "_")
    '900_bar at the tip'

    References
    ----------
    Our own convention.
    """
    return re.sub(r"(?<=\d) ", GLUE, words)


def for_a_page(words: str) -> str:
    """Words of a table for the terminal as a page shows them: a number keeps its unit beside it. [-]

    Parameters
    ----------
    words : str
        A sentence, or a cell. [-]

    Examples
    --------
    >>> for_a_page(glued("900 bar at the tip")) == "900\\N{NO-BREAK SPACE}bar at the tip"
    True

    References
    ----------
    Our own convention.
    """
    return words.replace(GLUE, "\N{NO-BREAK SPACE}")


def rule() -> RenderableType:
    """A line across. [-]

    Examples
    --------
    >>> page([rule()], 5, False)
    '─────\\n'

    References
    ----------
    Our own layout.
    """
    return Rule(style="", characters="─")


def grid(*sides: JustifyMethod, whole: Sequence[int] = ()) -> Table:
    """Columns without heads. [-]

    Parameters
    ----------
    sides : str
        Where each column's text stands. [-]
    whole : Sequence of int
        Columns that are never broken. [-]

    Examples
    --------
    >>> len(grid("left", "right").columns)
    2

    References
    ----------
    Our own layout.
    """
    table = Table(box=None, show_header=False, padding=(0, 2, 0, 0), pad_edge=False)
    for place, side in enumerate(sides):
        table.add_column(justify=side, overflow="fold", no_wrap=place in whole)
    return table


def listing(heads: Sequence[tuple[str, JustifyMethod]], rows: Iterable[Sequence[str | Text]]) -> Table:
    """Columns with heads. [-]

    Parameters
    ----------
    heads : Sequence
        Each column's head and side. [-]
    rows : Iterable
        Cells. [-]

    Examples
    --------
    >>> listing([("Tool", "left")], [["gun"]]).row_count
    1

    References
    ----------
    Our own layout.
    """
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="")
    for text, side in heads:
        table.add_column(text, justify=side, overflow="fold")
    for row in rows:
        table.add_row(*row)
    return table


def section(title: str, *content: RenderableType) -> RenderableType:
    """A title with what stands under it, set in. [-]

    Parameters
    ----------
    title : str
        The title. [-]
    content : RenderableType
        What stands under it. [-]

    Examples
    --------
    >>> page([section("Use", "water")], 20, False)
    '\\nUse\\n  water\\n'

    References
    ----------
    Our own layout.
    """
    return Group(Text(""), Text(title, style="bold"), *(Padding(c, (0, 0, 0, INDENT)) for c in content))


def verdict(word: Verdict) -> Text:
    """A verdict's shape and words. [-]

    Parameters
    ----------
    word : str
        "within", "look", "not_allowed" or "not_judged". [-]

    Examples
    --------
    >>> verdict("look").plain
    '▲ look first'

    References
    ----------
    Our own convention; the shapes follow the logic of ISO 3864.
    """
    return Text(f"{SHAPE[word]} {verdict_words(word)}", style=STYLE[word])
