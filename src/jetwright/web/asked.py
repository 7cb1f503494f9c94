"""What a request asks, read the same way by every page: who, which row, which version of it; and what is told late."""

import re
from collections.abc import Iterable
from uuid import UUID

from django.http import HttpRequest

from jetwright.report.wording import _
from jetwright.web.people.models import Crew, Person

DEMO = "Demo"
"""What the crews are called that hold nothing but the demo; from the second on with a number behind it."""

_DEMO = re.compile(DEMO + r"( [0-9]+)?")


def me(request: HttpRequest) -> Person:
    """Who asks; every page but those of log-in has somebody. [-]"""
    person = request.user
    assert isinstance(person, Person)
    return person


def uuid_in(typed: str | None) -> UUID | None:
    """The name of a row that was sent; None for nonsense and for nothing. [-]"""
    try:
        return UUID(typed or "")
    except ValueError:
        return None


def version_in(request: HttpRequest) -> int:
    """The version of the row that the page showed when the act was posted; 0, which no row has, for nonsense. [-]"""
    said = request.POST.get("version", "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 10 else 0


def meanwhile() -> str:
    """What is told where somebody else saved first. [-]"""
    return _("Somebody saved this meanwhile, and yours is not saved yet. Look what is new, then do it again.")


def is_demo(crew: Crew) -> bool:
    """Whether a crew holds nothing but the demo: what is signed in it is for practice. [-]"""
    return _DEMO.fullmatch(crew.name) is not None


def demo_last(crews: Iterable[Crew]) -> list[Crew]:
    """Crews in their order, those of the demo behind the others: nothing of one's own is begun there unasked. [-]"""
    return sorted(crews, key=is_demo)
