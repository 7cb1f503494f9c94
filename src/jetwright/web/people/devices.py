"""Devices that people share: who entered with a password on one may come back to it with a PIN for a while."""

from typing import Any

from axes.signals import user_locked_out
from django.conf import settings
from django.core.signing import get_cookie_signer
from django.db import transaction
from django.db.models import QuerySet
from django.dispatch import receiver
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from jetwright.web.people.models import Device, Entered, Person

COOKIE = "device"
COOKIE_DAYS = 400
"""The longest that browsers keep a cookie."""


def known(request: HttpRequest) -> Device | None:
    """The device that a request comes from, if anybody entered there before. [-]"""
    token = request.get_signed_cookie(COOKIE, default=None)
    found: Device | None = Device.objects.filter(token=token).first() if token else None
    return found


def signed(device: Device) -> str:
    """What the cookie of a device holds. [-]"""
    return get_cookie_signer(salt=COOKIE).sign(device.token)


def remember(request: HttpRequest, answer: HttpResponse, person: Person) -> None:
    """A password was good here: from now on, and for a while, the person's PIN is too. [-]"""
    with transaction.atomic():
        device = known(request) or Device.objects.create(name=_described(request))
        Entered.objects.update_or_create(device=device, person=person, defaults={"until": Entered.from_now()})
        Device.objects.filter(pk=device.pk).update(seen_at=timezone.now())
    answer.set_cookie(
        COOKIE,
        signed(device),
        max_age=COOKIE_DAYS * 24 * 3600,
        secure=settings.SECURE,
        httponly=True,
        samesite="Lax",
    )


def people_of(device: Device | None) -> QuerySet[Person]:
    """Those whose PIN will do on this device now. [-]"""
    rows = Entered.objects.filter(device=device, until__gt=timezone.now())
    found: QuerySet[Person] = Person.objects.filter(is_active=True, pk__in=rows.values("person")).exclude(pin="")
    return found.order_by("name") if device is not None else found.none()


def forget(person: Person, device: Device | None = None) -> None:
    """The person's PIN does no more: on one device, or on all. [-]"""
    rows = Entered.objects.filter(person=person, until__gt=timezone.now())
    (rows if device is None else rows.filter(device=device)).update(until=timezone.now())


@receiver(user_locked_out)
def _no_more_pins(request: HttpRequest, username: str, **_: Any) -> None:
    """Too many tries: whoever guesses PINs gets no second round; a password is asked for."""
    device, person = known(request), Person.objects.filter(username=username).first()
    if device is not None and person is not None:
        forget(person, device)


def _described(request: HttpRequest) -> str:
    """What an administrator may know a device by: its system, as the browser says."""
    agent = request.headers.get("User-Agent", "")
    systems = ("iPad", "iPhone", "Android", "Windows", "Macintosh", "CrOS", "Linux")
    return next((name for name in systems if name in agent), "")
