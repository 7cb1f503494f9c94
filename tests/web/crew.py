"""A crew with its yard and the demo shift, and the people that the tests of the pages are about."""

from functools import cache

from django.contrib.auth.hashers import make_password
from django.test import Client, TestCase

from jetwright.web.people import devices
from jetwright.web.people.models import Crew, Device, Entered, Membership, Person

PASSWORD = "Nine herons wade"
PIN = "4711"
CAST = {  # name to enter with → role in the first crew
    "ada": "crew lead",
    "olu": "operator",
    "mia": "mechanic",
    "tom": "trainer",
    "kim": "office",
    "rae": "reader",
}


def person(username: str, **fields: object) -> Person:
    made = Person(username=username, name=username.capitalize(), **fields)
    made.password, made.pin = hashed(PASSWORD), hashed(PIN)
    made.save()
    return made


@cache
def hashed(secret: str) -> str:
    """Hashing is slow on purpose: once a run is enough."""
    return make_password(secret)


class CrewTestCase(TestCase):
    """Ada leads the crew, Olu, Mia, Tom, Kim and Rae are in it; Bo leads another; Zoe is the administrator."""

    @classmethod
    def setUpTestData(cls) -> None:
        cls.crew = Crew.objects.create(name="North")
        cls.other = Crew.objects.create(name="South")
        for username, role in CAST.items():
            made = person(username)
            setattr(cls, username, made)
            Membership.objects.create(person=made, crew=cls.crew, role=role)
        cls.bo = person("bo")
        Membership.objects.create(person=cls.bo, crew=cls.other, role="crew lead")
        cls.zoe = person("zoe", is_superuser=True, is_staff=True)

    def as_(self, who: Person) -> Client:
        """A browser in which somebody has entered with a password: there the PIN does too."""
        client = Client()
        device = Device.objects.create()
        Entered.objects.create(device=device, person=who, until=Entered.from_now())
        client.cookies[devices.COOKIE] = devices.signed(device)
        client.force_login(who, backend="django.contrib.auth.backends.ModelBackend")
        return client
