"""Coming back with a PIN, on a device where one entered with a password."""

from typing import Any

from django.contrib.auth.backends import BaseBackend
from django.http import HttpRequest

from jetwright.web.people.devices import known, people_of
from jetwright.web.people.models import Person


class PinBackend(BaseBackend):
    """Knows a person by their PIN, where a password was good on this device not long ago. [-]"""

    def authenticate(
        self, request: HttpRequest | None, username: str | None = None, pin: str | None = None, **other: Any
    ) -> Person | None:
        """The person, or nobody. [-]"""
        if request is None or username is None or pin is None:
            return None
        person = people_of(known(request)).filter(username=username).first()
        return person if person is not None and person.has_pin(pin) else None

    def get_user(self, user_id: Any) -> Person | None:
        """The person of a session. [-]"""
        found: Person | None = Person.objects.filter(pk=user_id, is_active=True).first()
        return found
