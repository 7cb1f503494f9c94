"""When a piece was last tested, and what a plan would say of that."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils import timezone

from jetwright.actions.tested import hose_in_test, relief_in_test
from jetwright.errors import FileError
from jetwright.report.limits import standing_words
from jetwright.report.wording import _, ngettext
from jetwright.web.jobs.models import Job
from jetwright.web.people.models import Crew
from jetwright.web.yard.models import Piece

USUAL_RULES = "eu-generic"
"""The rule set of a job that names none."""


@dataclass(frozen=True, slots=True)
class OutOfTest:
    """That a plan would not take a piece for the age of its test; verdict: "look" or "not_allowed"."""

    verdict: str
    words: str


def tested_on(piece: Piece) -> datetime.date | None:
    """The day of its last test or certificate, None where nobody wrote one. [-]"""
    try:
        return datetime.date.fromisoformat(str(piece.spec.get("tested", "")))
    except ValueError:
        return None


def day_words(piece: Piece) -> str:
    """The day of its last test, as it may stand on paper; "" where nobody wrote one. [-]"""
    day = tested_on(piece)
    return "" if day is None else _("tested {day}").format(day=day.isoformat())


def tested_words(piece: Piece) -> str:
    """When it was last tested and how long ago, "" where nobody wrote a day. [-]"""
    day = tested_on(piece)
    if day is None:
        return ""
    days = (timezone.localdate() - day).days
    if days < 0:
        return _("tested {day}, a day that is still to come").format(day=day.isoformat())
    if days < 62:
        return ngettext("tested {day}, {n} day ago", "tested {day}, {n} days ago", days).format(
            day=day.isoformat(), n=days
        )
    months = round(days / 30.44)
    return ngettext("tested {day}, {n} month ago", "tested {day}, {n} months ago", months).format(
        day=day.isoformat(), n=months
    )


def rules_of(crew: Crew) -> list[str]:
    """The rule sets that the crew's jobs in use are judged by; the usual one where there is no job. [-]"""
    specs = Job.objects.filter(crew=crew, retired_at=None).values_list("spec__rule_set", flat=True)
    return sorted({name or USUAL_RULES for name in specs} or {USUAL_RULES})


def out_of_test(piece: Piece, day: datetime.date, rules: Iterable[str]) -> OutOfTest | None:
    """What the strictest of these rule sets says of a hose or a relief device on a day; None where nothing. [-]"""
    tested = tested_on(piece)
    if tested is None or piece.kind not in ("hose", "relief"):
        return None
    found = [one for name in rules if (one := _judged(piece, tested, day, name)) is not None]
    return max(found, key=lambda one: one.verdict == "not_allowed", default=None)


def _judged(piece: Piece, tested: datetime.date, day: datetime.date, rules: str) -> OutOfTest | None:
    try:
        hose = piece.kind == "hose"
        limit = hose_in_test(piece.name, tested, day, rules) if hose else relief_in_test(tested, day, rules)
    except FileError:  # a job may name a rule set that is no more; its plan says so
        return None
    if limit.verdict not in ("look", "not_allowed"):
        return None
    if tested > day:
        return OutOfTest(limit.verdict, _("one of two dates is wrong: its test lies behind {day}").format(day=day))
    words = _("out of test: {n} days old on {day}, at most {most} ({source})")
    most = round((limit.bound or 0.0) / 86400.0)
    said = words.format(n=(day - tested).days, day=day.isoformat(), most=most, source=standing_words(limit))
    return OutOfTest(limit.verdict, said)
