"""What each published grade is called and asks for, in a crew's words."""

from collections.abc import Mapping

from jetwright.report.wording import N_, _

GRADES: Mapping[str, str] = {
    "wj_1": N_("nothing to be seen of rust, coating, mill scale or other matter; bare and matte"),
    "wj_2": N_("bare and matte, but for stains spread at random over at most 5 % of each part of the surface"),
    "wj_3": N_("bare and matte, but for stains spread at random over at most 33 % of each part of the surface"),
    "wj_4": N_("loose rust, loose mill scale and loose coating are gone; what holds fast may stay"),
    "wa_1": N_("loose paint and rust and oil are gone; what stays is firm"),
    "wa_2": N_("most of the rust and old paint is gone; what stays is firm"),
    "wa_25": N_("only slight traces are left; pitted steel may be discoloured"),
    "salts_1": N_("no soluble salts that can be detected"),
    "salts_2": N_("at most 7 µg/cm² chloride, 10 µg/cm² soluble iron and 17 µg/cm² sulphate"),
    "salts_3": N_("at most 50 µg/cm² chloride and 50 µg/cm² sulphate"),
    "flash_l": N_("faint and tight; a cloth takes little of it"),
    "flash_m": N_("hides the steel; it marks a cloth"),
    "flash_h": N_("thick and loose; it marks a cloth heavily"),
    "tube": N_("bare metal from end to end: seen with a borescope, or a gauge ball passes; no tube leaks"),
    "pipe": N_("clear from end to end: a camera or a gauge pig passes"),
    "tank": N_("no product to be seen, and free of gas where people enter"),
    "concrete": N_("the depth and the roughness that were asked for; bars clean, no cracks made"),
}
"""By key of a grade's words."""

NAMES: Mapping[str, str] = {
    "bare tube": N_("bare tube"),
    "clear pipe": N_("clear pipe"),
    "empty tank": N_("empty tank"),
    "concrete to depth": N_("concrete to depth"),
    "flash rust L": N_("flash rust L"),
    "flash rust M": N_("flash rust M"),
    "flash rust H": N_("flash rust H"),
    "common practice": N_("common practice"),
}
"""Names of grades and of their editions that are words of our own; a standard's designation stays as it is."""


def goal_name(name: str) -> str:
    """A grade, or the edition it is of, as a person reads it; a job file has it in English. [-]

    Parameters
    ----------
    name : str
        As a job file has it. [-]

    Examples
    --------
    >>> goal_name("bare tube"), goal_name("WJ-2")
    ('bare tube', 'WJ-2')

    References
    ----------
    docs/goals.md.
    """
    return _(NAMES[name]) if name in NAMES else name


def grade_words(says: str) -> str:
    """What a grade asks for. [-]

    Parameters
    ----------
    says : str
        Key of its words. [-]

    Examples
    --------
    >>> grade_words("flash_m")
    'hides the steel; it marks a cloth'

    References
    ----------
    docs/goals.md.
    """
    return _(GRADES[says])
