"""Times as a page says them: by the clock of the counter, to the minute, with its zone."""

from datetime import UTC, datetime

from django.utils import timezone


def at_words(at: datetime) -> str:
    """A time, as in "2026-02-24 12:30 UTC". [-]"""
    return f"{timezone.localtime(at):%Y-%m-%d %H:%M %Z}"


def time_in(text: str) -> datetime | None:
    """A time as the trail keeps one; None where the text is none, or is only a day. [-]"""
    try:
        at = datetime.fromisoformat(text) if len(text) > len("2026-02-24") else None
    except ValueError:
        return None
    return at.replace(tzinfo=UTC) if at is not None and at.tzinfo is None else at
