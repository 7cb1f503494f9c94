"""Two who save in the same moment: all that the second asks comes between the first's look and the first's write."""

import threading
import uuid
from functools import partial

from django.db import connection
from django.test import Client
from django.utils import timezone

from jetwright.web.people.first import GOOD_FOR, digest
from jetwright.web.people.models import Crew, FirstLink, Membership, Person
from jetwright.web.yard.arriving import arrivals
from jetwright.web.yard.models import Piece
from tests.web.acts import PASSWORD, people

WAIT = 1.0
"""How long the first waits for the second: if that waits in turn, both would wait for ever. [s]"""


def entered(username):
    """A browser in which somebody has entered; an error of the counter is the page that it answers with."""
    client = Client(SERVER_NAME="localhost", raise_request_exception=False)
    if username:
        who = Person.objects.get(username=username)
        client.force_login(who, backend="django.contrib.auth.backends.ModelBackend")
    return client


def both(table, first, second):
    """The status of each of two calls, the second made when the first is about to write into a table."""
    told = []

    def other():
        try:
            told.append(second().status_code)
        finally:
            connection.close()

    thread = threading.Thread(target=other)

    def between(execute, sql, params, many, context):
        if thread.ident is None and sql.startswith((f'INSERT INTO "{table}"', f'UPDATE "{table}"')):
            thread.start()
            thread.join(WAIT)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(between):
        status = first().status_code
    assert thread.ident is not None, "the first wrote nothing"
    thread.join()
    return [status, *told]


def twice(table, *asked):
    """The statuses of two posts: who, where, what is typed."""
    return both(table, *(partial(entered(who).post, path, form) for who, path, form in asked))


def person(username, name):
    return "zoe", "/people/new/", {"username": username, "name": name, "language": "en", "units": "si"}


def named_at_once(**_):
    """What becomes of names that two take in the same moment: the statuses, and what is called so then."""
    people()
    crew, ada, zoe = Crew.objects.get(), Person.objects.get(username="ada"), Person.objects.get(username="zoe")
    Crew.objects.create(name="East")
    new, form = "/people/crews/new/", {"crew": str(crew.pk), "spec-bore": "1.2 mm", "spec-inlet": "sharp"}
    told = {
        "crew": twice("people_crew", ("zoe", new, {"name": "West"}), ("zoe", new, {"name": "WEST"})),
        "username": twice("people_person", person("new", "One"), person("new", "Two")),
        "name": twice("people_person", person("three", "Same"), person("four", "SAME")),
    }
    me = {"name": "Five", "language": "en", "units": "si", "theme": "", "version": ada.version}
    told["own name"] = twice("people_person", ("ada", "/people/me/", me), person("five", "five"))
    told["crew of the administrator"] = twice(
        "people_crew", ("zoe", "/admin/people/crew/add/", {"name": "Hill"}), ("zoe", new, {"name": "Hill"})
    )
    role = {"person": str(zoe.pk), "crew": str(crew.pk), "role": "operator"}
    role |= {"since_0": "2026-01-01", "since_1": "00:00:00"}
    told["role"] = twice(
        "people_membership",
        ("zoe", "/admin/people/membership/add/", role),
        ("zoe", f"/people/{zoe.pk}/roles/", {"crew": str(crew.pk), "role": "reader"}),
    )
    told["piece"] = twice("yard_piece", *[("ada", "/yard/new/tip/", form | {"name": "V-1"})] * 2)
    piece = Piece.objects.get(name="V-1")
    told["copy"] = twice("yard_piece", *[("ada", f"/yard/{piece.pk}/copy/", {"name": "V-2"})] * 2)
    gone = {"name": "V-3", "spec": piece.spec, "retired_at": timezone.now()}
    old = [Piece.objects.create(crew=crew, kind="tip", **gone) for _again in range(2)]
    told["back"] = twice("yard_piece", *[("ada", f"/yard/{one.pk}/back/", {"version": one.version}) for one in old])
    spare = Piece.objects.create(crew=crew, kind="tip", name="V-4", spec=piece.spec)
    told["piece of the administrator"] = twice(
        "yard_piece",
        ("zoe", f"/admin/yard/piece/{spare.pk}/change/", {"name": "V-5", "serial": "", "note": "", "retired_why": ""}),
        ("ada", "/yard/new/tip/", form | {"name": "V-5"}),
    )
    return told, {
        "crews": sorted(Crew.objects.values_list("name", flat=True)),
        "people": sorted(name.casefold() for name in Person.objects.values_list("name", flat=True)),
        "roles": Membership.objects.filter(person=zoe, ended_at=None).count(),
        "pieces": sorted(Piece.objects.filter(retired_at=None).values_list("name", flat=True)),
    }


def retired_at_once(**_):
    """A piece is retired while a file that changes it is put into the yard: the statuses, and what is kept of it."""
    people()
    crew = Crew.objects.get()
    made = [Piece.objects.create(crew=crew, kind="fitting", name=f"F-{n}", spec={"bore": "8 mm"}) for n in range(3)]
    text = "name,bore\n" + "".join(f"{piece},9 mm\n" for piece in made)
    put = {"crew": str(crew.pk), "kind": "fitting", "text": text, "digest": arrivals(crew, "fitting", text).digest}
    form = {"version": 1, "why": "worn"}
    last = made[-1]
    told = twice("yard_piece", ("ada", "/yard/files/put/", put), ("ada", f"/yard/{last.pk}/retire/", form))
    last.refresh_from_db()
    return told, last.spec["bore"], last.retired_at is None, last.version


def first_at_once(**_):
    """Two links, made in the same moment, are used in the same moment: the statuses, and how many have an account."""
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    tokens = [uuid.uuid4().hex for _ in "ab"]
    for token in tokens:
        FirstLink.objects.create(digest=digest(token), until=timezone.now() + GOOD_FOR)
    form = {"username": "ada", "name": "Ada", "new": PASSWORD, "pin": "4711", "crew": "North"}
    form |= {"language": "en", "units": "si"}
    told = twice("people_person", *[("", f"/people/first/{token}/", form) for token in tokens])
    return told, Person.objects.count()
