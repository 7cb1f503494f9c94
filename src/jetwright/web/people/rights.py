"""What each role may do in its crew; an administrator may do everything in every crew."""

from collections.abc import Mapping

from jetwright.report.wording import N_

ROLES: Mapping[str, str] = {
    "crew lead": N_("Crew lead"),
    "operator": N_("Operator"),
    "mechanic": N_("Mechanic"),
    "trainer": N_("Trainer"),
    "office": N_("Office"),
    "reader": N_("Reader"),
}
"""Role → what it is called."""

RIGHTS: Mapping[str, frozenset[str]] = {
    "see": frozenset(ROLES),
    "keep yard": frozenset({"crew lead", "mechanic", "office"}),
    "plan": frozenset({"crew lead", "operator", "trainer", "office"}),
    "sign": frozenset({"crew lead"}),
}
"""Act → the roles that may do it."""
