"""The one-time link to the first account, which becomes the administrator's."""

import datetime
import hashlib
import secrets

from django.db import transaction
from django.utils import timezone

from jetwright.web.people.models import FirstLink, Person

GOOD_FOR = datetime.timedelta(hours=24)


def first_link() -> str | None:
    """The token of a new link, which ends those made before; None where somebody has an account already. [-]

    The page is `reverse("people:first", args=[token])`.
    """
    with transaction.atomic():
        if Person.objects.exists():
            return None
        now = timezone.now()
        FirstLink.objects.filter(used_at=None, until__gt=now).update(until=now)
        token = secrets.token_urlsafe(32)
        FirstLink.objects.create(digest=digest(token), until=now + GOOD_FOR)
    return token


def digest(token: str) -> str:
    """What is kept of a token. [-]"""
    return hashlib.sha256(token.encode()).hexdigest()


def state_of(token: str) -> str:
    """What became of a link: "good", "used", "expired", or "unknown". [-]"""
    link = FirstLink.objects.filter(digest=digest(token)).first()
    if link is None:
        return "unknown"
    if link.used_at is not None or Person.objects.exists():
        return "used"
    return "good" if link.until > timezone.now() else "expired"


def take(token: str) -> bool:
    """Use a link up, once, by one; the caller holds the transaction. [-]"""
    link = FirstLink.objects.select_for_update().filter(digest=digest(token)).first()
    if link is None or link.used_at is not None or link.until <= timezone.now() or Person.objects.exists():
        return False
    link.used_at = timezone.now()
    link.save(update_fields=["used_at", "changed_at"])
    return True
