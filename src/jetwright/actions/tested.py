"""Whether one piece is in test on a day: a hose or a relief device by its tag, as a plan would judge it."""

import datetime

from jetwright.files.rules import rule_set
from jetwright.limits.hose import age_of_test
from jetwright.limits.limit import Limit
from jetwright.limits.relief import relief_test_age

DAY = 86400.0
"""A day. [s]"""


def hose_in_test(name: str, tested: datetime.date, day: datetime.date, rules: str) -> Limit:
    """The limit "hose.test_age" of one hose by itself, as every task with it would be judged. [-]

    Parameters
    ----------
    name : str
        Of the hose. [-]
    tested : date
        The day of its last test. [-]
    day : date
        On which it is to be used. [-]
    rules : str
        Name of a rule set, one of `rig.check.RULE_SETS`. [-]

    Raises
    ------
    FileError
        Where no rule set has that name.

    Examples
    --------
    >>> year = datetime.date(2026, 5, 12), datetime.date(2027, 5, 13)
    >>> [hose_in_test("S8-20", year[0], day, "no").verdict for day in (*year, datetime.date(2027, 5, 14))]
    ['within', 'within', 'not_allowed']

    References
    ----------
    docs/rule-sets.md.
    """
    facts = {"hose": name, "tested": tested.isoformat(), "day": day.isoformat()}
    bound = rule_set(rules).bound("hose.test_age")
    return age_of_test(name, (day - tested).days * DAY, bound, facts)


def relief_in_test(tested: datetime.date, day: datetime.date, rules: str) -> Limit:
    """The limit "relief.test_age" of one relief device by itself, as every task with it would be judged. [-]

    Parameters
    ----------
    tested : date
        The day of its certificate. [-]
    day : date
        On which it is to be used. [-]
    rules : str
        Name of a rule set, one of `rig.check.RULE_SETS`. [-]

    Raises
    ------
    FileError
        Where no rule set has that name.

    Examples
    --------
    >>> relief_in_test(datetime.date(2019, 1, 5), datetime.date(2026, 5, 12), "no").verdict
    'not_allowed'

    References
    ----------
    docs/rule-sets.md.
    """
    facts = {"tested": tested.isoformat(), "day": day.isoformat()}
    return relief_test_age((day - tested).days * DAY, rule_set(rules).bound("hose.test_age"), facts)
