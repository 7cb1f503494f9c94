"""Published goals in a crew's words: grades and pressure classes, edition by edition, as a table or JSON."""

import json
from collections.abc import Iterable, Mapping, Sequence

from rich.console import RenderableType
from rich.text import Text

from jetwright import units
from jetwright.report.goal_words import grade_words
from jetwright.report.limits import source_words
from jetwright.report.terminal import figure, glued, listing, page, rule, section
from jetwright.report.wording import N_, _
from jetwright.report.work_json import called_facts
from jetwright.rig.goal import Goals, Grade, PressureClass, Sort

TERMS: Mapping[str, str] = {
    "LP WC": N_("low-pressure water cleaning"),
    "HP WC": N_("high-pressure water cleaning"),
    "HP WJ": N_("high-pressure water jetting"),
    "VHP WJ": N_("very high-pressure water jetting"),
    "UHP WJ": N_("ultrahigh-pressure water jetting"),
    "UHP": N_("ultrahigh pressure"),
}
"""By what an edition calls a pressure."""

SORTS: Mapping[Sort, str] = {
    "visual": N_("What is seen on steel, flash rust apart"),
    "salts": N_("Soluble salts, by a test of ISO 8502"),
    "flash rust": N_("Flash rust, by eye and by wiping"),
    "other": N_("Other than steel to be coated"),
}
"""By what a grade speaks of."""


def term_words(term: str, edition: str) -> str:
    """What an edition calls a pressure, in full; what is said where nobody read its borders. [-]

    Parameters
    ----------
    term : str
        The class; "" where no border was read. [-]
    edition : str
        The edition. [-]

    Examples
    --------
    >>> term_words("HP WJ", "ISO 8501-4, from memory"), term_words("", "ISO 8504-5:2024")
    ('HP WJ, high-pressure water jetting', 'its borders were not read')

    References
    ----------
    docs/goals.md.
    """
    return f"{term}, {_(TERMS[term])}" if term else _("its borders were not read")


def read_words(source: str, verified: bool) -> str:
    """Where a row was taken from, and that nobody read it where that is so. [-]

    Parameters
    ----------
    source : str
        As the data names it. [-]
    verified : bool
        Whether it was read. [-]

    Examples
    --------
    >>> read_words("from memory", False), read_words("its published contents", False)
    ('from memory', 'its published contents, not read')

    References
    ----------
    Our own convention.
    """
    words = source_words(source)
    if verified or source == "common practice" or "memory" in source:
        return words
    return _("{source}, not read").format(source=words)


def notes() -> list[str]:
    """What is to be kept in mind with every grade and class. [-]

    Examples
    --------
    >>> notes()[0]
    'Editions disagree: name the edition with the grade or the class, and read the one that the contract names.'

    References
    ----------
    Our own convention; that jetting makes no profile stands in the public summary of SP 12.
    """
    return [
        _("Editions disagree: name the edition with the grade or the class, and read the one that the contract names."),
        _("What comes closest in the other system is only near: agree on a trial patch before the work."),
        _("Jetting makes no profile on steel, it bares the old one; a pressure class says nothing about the grade."),
    ]


def goals_table(
    goals: Goals,
    pressure: float | None = None,
    terms: Sequence[tuple[str, str, bool]] = (),
    system: str = "si",
    width: int = 100,
    colour: bool = False,
) -> str:
    """Every grade and class as text, or what each edition calls one pressure. [-]

    Parameters
    ----------
    goals : Goals
        Every grade and class. [-]
    pressure : float or None
        That was asked about. [Pa]
    terms : Sequence
        What each edition calls it. [-]
    system : str
        "si" or "us". [-]
    width : int
        Widest line. [-]
    colour : bool
        Colour and weight; the text is the same without. [-]

    Examples
    --------
    >>> print(goals_table(Goals("1", (), ())).splitlines()[0])
    Published goals, version 1

    References
    ----------
    Our own layout.
    """
    content: list[RenderableType] = [
        Text(_("Published goals, version {version}").format(version=goals.version), style="bold")
    ]
    if pressure is None:
        content += _grades(goals.grades)
        content.append(section(_("What a pressure is called, right behind the tips"), _classes(goals.classes, system)))
    else:
        title = _("What {pressure} is called, right behind the tips").format(pressure=figure(pressure, "bar", system))
        content.append(section(title, terms_listing(terms), *(Text(glued(line)) for line in between_words(terms))))
    return page([*content, Text(""), rule(), *(Text(glued(note)) for note in notes())], width, colour)


def terms_listing(terms: Iterable[tuple[str, str, bool]]) -> RenderableType:
    """What each edition calls a pressure. [-]

    Parameters
    ----------
    terms : Iterable
        Edition, term, whether its borders were read. [-]

    Examples
    --------
    >>> terms_listing([("ISO 8504-5:2024", "", False)]).row_count
    1

    References
    ----------
    Our own layout.
    """
    rows = []
    for edition, term, read in terms:
        rows.append([edition, term_words(term, edition), "" if read or not term else _("not read")])
    return listing([(_("Edition"), "left"), (_("Class"), "left"), ("", "left")], rows)


def between_words(terms: Sequence[tuple[str, str, bool]]) -> list[str]:
    """What it means that an edition stands twice; nothing where none does. [-]

    Parameters
    ----------
    terms : Sequence
        Edition, term, whether its borders were read. [-]

    Examples
    --------
    >>> len(between_words([("SSPC-SP WJ (2012)", "HP WC", False), ("SSPC-SP WJ (2012)", "HP WJ", False)]))
    1

    References
    ----------
    docs/goals.md.
    """
    if len({edition for edition, _term, _read in terms}) == len(terms):
        return []
    return [_("Where an edition stands twice the pressure lies between its border in MPa and its border in psi.")]


def _grades(grades: Sequence[Grade]) -> Iterable[RenderableType]:
    """A table for each sort of grade and each edition of it."""
    for sort, title in SORTS.items():
        blocks: list[RenderableType] = []
        for edition in dict.fromkeys(one.edition for one in grades if one.sort == sort):
            rows = [one for one in grades if one.sort == sort and one.edition == edition]
            told = read_words(rows[0].source, rows[0].verified)
            head = edition if told == edition else _("{edition} ({source})").format(edition=edition, source=told)
            blocks.append(Text(glued(head)))
            shown = [[one.name, glued(grade_words(one.says)), one.nearest] for one in rows]
            heads = (_("Grade"), _("Asks for"), _("Closest") if any(one.nearest for one in rows) else "")
            blocks.append(listing([(head, "left") for head in heads], shown))
        if blocks:
            yield section(_(title), *blocks)


def _classes(classes: Sequence[PressureClass], system: str) -> RenderableType:
    rows = []
    shown = ""
    for one in classes:
        edition = "" if one.edition == shown else one.edition
        shown = one.edition
        rows.append([edition, one.term, _border(one, system), glued(read_words(one.source, one.verified))])
    heads = (_("Edition"), _("Class"), _("From"), _("Source"))
    return listing([(head, "left") for head in heads], rows)


def _border(one: PressureClass, system: str) -> str:
    if one.border is None:
        return "–"
    if not one.border[0]:
        return _("the lowest")
    shown = figure(one.border[1 if system == "us" else 0], "bar", system)
    return _("above {pressure}").format(pressure=shown) if one.above else shown


def goals_json(goals: Goals, pressure: float | None = None, terms: Sequence[tuple[str, str, bool]] = ()) -> str:
    """Every grade and class as JSON text, and what each edition calls a pressure. [-]

    Parameters
    ----------
    goals : Goals
        Every grade and class. [-]
    pressure : float or None
        That was asked about. [Pa]
    terms : Sequence
        What each edition calls it. [-]

    Examples
    --------
    >>> goals_json(Goals("1", (), ()))
    '{"version": "1", "grades": [], "classes": []}'

    References
    ----------
    Our own contract; JSON is RFC 8259.
    """
    facts: dict[str, object] = {
        "version": goals.version,
        "grades": [
            {
                "grade": one.name,
                "edition": one.edition,
                "sort": one.sort,
                "says": grade_words(one.says),
                "nearest": one.nearest,
                "source": one.source,
                "verified": one.verified,
            }
            for one in goals.grades
        ],
        "classes": [
            {
                "edition": one.edition,
                "term": one.term,
                "border_bar": None if one.border is None else [_bar(end) for end in one.border],
                "above": one.above,
                "source": one.source,
                "verified": one.verified,
            }
            for one in goals.classes
        ],
    }
    if pressure is not None:
        facts["pressure_bar"] = _bar(pressure)
        facts["called"] = called_facts(terms)
    return json.dumps(facts)


def _bar(pressure: float) -> float:
    return float(f"{units.to(pressure, 'bar'):.8g}")
