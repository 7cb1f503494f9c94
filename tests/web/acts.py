"""What tests have done in a place of its own, in a process of its own; Django is set up before this is imported."""

import datetime
import hashlib
import importlib
import json
import os
import sys
import threading
import time
import uuid

from auditlog.models import LogEntry
from django.apps import apps
from django.contrib.auth.hashers import PBKDF2PasswordHasher, make_password
from django.contrib.auth.models import Group, Permission
from django.contrib.contenttypes.models import ContentType
from django.contrib.sessions.models import Session
from django.core.management import call_command
from django.db import connection, models, transaction
from django.db.migrations.recorder import MigrationRecorder
from django.test import Client

from jetwright.web import place
from jetwright.web.jobs.demo import put_in_demo
from jetwright.web.jobs.models import Job, Task
from jetwright.web.people.models import Crew, Membership, Person
from jetwright.web.records.models import Record
from jetwright.web.records.seal import check_crew
from jetwright.web.yard.models import Photo, Piece

PASSWORD, PIN = "Nine herons wade", "4711"
NOT_COMPARED = {
    "contenttypes.contenttype", "auth.permission",  # Django numbers them anew in each database
    "sessions.session", "admin.logentry", "axes.accessattempt", "axes.accessfailurelog", "axes.accesslog",
    "axes.accessattemptexpiration", "people.device", "people.entered", "people.firstlink",
}  # fmt: skip


def people(demo=False, **_):
    """A crew, its lead, an administrator, and the lead's session; the demo in the crew's yard where it is wanted."""
    call_command("migrate", verbosity=0)
    crew = Crew.objects.create(name="North")
    password = make_password(PASSWORD)  # slow on purpose: once is enough
    pin = PBKDF2PasswordHasher().encode(PIN, "salt", iterations=1)
    for name, fields in {"ada": {}, "zoe": {"is_superuser": True, "is_staff": True, "language": "es"}}.items():
        person = Person(username=name, name=name.capitalize(), password=password, pin=pin, **fields)
        person.save()
    Membership.objects.create(person=Person.objects.get(username="ada"), crew=crew, role="crew lead")
    if demo:
        put_in_demo(crew)
    return {"crew": str(crew.pk), "session": session()} | (to_work_on() if demo else {})


def sessions(seen, **_):
    """Sessions in which Ada has entered, one for each time ago."""
    return [session(ago) for ago in seen]


def session(seen=None, **_):
    """A session in which Ada has entered; seen: how long ago she was, in seconds."""
    client = entered()
    if seen is not None:
        kept = client.session
        kept["seen"] = time.time() - seen
        kept.save()
    return client.session.session_key


def entered():
    """A browser in which Ada has entered."""
    client = Client(SERVER_NAME="localhost")
    client.force_login(Person.objects.get(username="ada"), backend="django.contrib.auth.backends.ModelBackend")
    return client


def fill(**_):
    """Something of everything: the demo, photos, signed records, a group, texts in other scripts, an empty spec."""
    from tests.web.records.cases import words

    people(demo=True)
    crew, ada, zoe = Crew.objects.get(), Person.objects.get(username="ada"), Person.objects.get(username="zoe")
    Crew.objects.create(name="Süd – 南 „x“", retired_at=datetime.datetime(2026, 1, 2, 3, 4, 5, 678901, datetime.UTC))
    group = Group.objects.create(name="Lookers")
    group.permissions.set(Permission.objects.filter(codename__startswith="view_")[:3])
    zoe.groups.add(group)
    zoe.user_permissions.add(Permission.objects.get(codename="add_crew"))
    piece = Piece.objects.filter(crew=crew, kind="hose").first()
    piece.note = "ø 8 mm, „neu“ 🐳\n2nd line"
    piece.save()
    Piece.objects.create(crew=crew, kind="tip", name="Draft", spec={})
    Piece.objects.create(crew=crew, kind="tip", name="Odd", spec={"note": ["ü", 1, 2.5, 1e-9, None, True, {"": []}]})
    for number in range(3):
        photo = Photo(piece=piece, width=3, height=2, by=ada, says=f"Photo {number}")
        for end in ("", "-small"):
            (place.photos() / f"{photo.pk}{end}.jpg").write_bytes(os.urandom(4000))
        photo.digest = hashlib.sha256((place.photos() / f"{photo.pk}.jpg").read_bytes()).hexdigest()
        photo.save()
    (place.photos() / "stray.jpg").write_bytes(b"no row names it")
    client, path = entered(), to_work_on()["sign"]
    for _again in range(2):
        answer = client.post(path, sign_form(client.get(path).content.decode()))
        assert answer.status_code == 302, words(answer)
    assert Record.objects.count() == 2
    return {"rows": sum(len(rows) for rows in compared()[0].values())}


def photo_without_file(**_):
    people()
    piece = Piece.objects.create(crew=Crew.objects.get(), kind="tip", name="Lost", spec={})
    return str(Photo.objects.create(piece=piece, width=3, height=2, digest="0" * 64).pk)


def to_work_on(**_):
    """A job of the demo, and where a task of the other one is signed."""
    from tests.web.records.cases import NOON

    task = Task.objects.get(name=NOON)
    other = Job.objects.exclude(pk=task.job_id).get()
    return {"job": str(other.pk), "sign": f"/records/sign/{task.pk}/"}


def sign_form(text):
    """What Ada fills into the page on which a task is signed."""
    from types import SimpleNamespace

    from tests.web.records.cases import fields, reason_names

    page = SimpleNamespace(content=text.encode())
    return fields(page) | {key: f"Seen, reason {n}" for n, key in enumerate(reason_names(page))} | {"pin": PASSWORD}


def sign(address, session, **_):
    """Sign a task over HTTP, as Ada; the record's address."""
    from tests.web.places import Browser

    ada, path = Browser(address, session), to_work_on()["sign"]
    status, headers, text = ada.ask(path, sign_form(ada.ask(path)[2]))
    assert status == 302, text
    return headers["Location"]


def newer(**_):
    """A database in which a step is done that this version does not know."""
    call_command("migrate", verbosity=0)
    MigrationRecorder(connection).record_applied("yard", "9999_later")


def older(**_):
    """A database in which the last steps of an app of ours are not done."""
    call_command("migrate", verbosity=0)
    call_command("migrate", "records", "zero", verbosity=0)


def compared(**_):
    """Every row of every model that is compared, told in a way that owes nothing to the backup."""
    kinds = {one.pk: f"{one.app_label}.{one.model}" for one in ContentType.objects.all()}
    names = {one.pk: f"{kinds[one.content_type_id]}.{one.codename}" for one in Permission.objects.all()}
    found = {}
    for model in apps.get_models():
        label = model._meta.label_lower
        if label in NOT_COMPARED:
            continue
        rows = []
        for row in models.QuerySet(model).order_by("pk").values():
            if model is LogEntry:
                row.pop("id")
                row["content_type_id"] = kinds[row["content_type_id"]]
            row.pop("pin", None)  # a backup leaves it empty
            told = {key: _told(value) for key, value in row.items()}
            rows.append(json.dumps(told, sort_keys=True))
        found[label] = sorted(rows)
        for many in model._meta.many_to_many:
            pairs = models.QuerySet(many.remote_field.through).values_list(
                f"{many.m2m_field_name()}_id", f"{many.m2m_reverse_field_name()}_id"
            )
            told = names if many.related_model is Permission else {}
            found[f"{label}.{many.name}"] = sorted(f"{near} {told.get(far, far)}" for near, far in pairs)
    return found, [one.additional_data for one in LogEntry.objects.all() if (one.additional_data or {}).get("restored")]


def _told(value):
    if isinstance(value, datetime.datetime):
        return value.astimezone(datetime.UTC).isoformat()
    if isinstance(value, bytes | memoryview):
        return bytes(value).hex()
    return value if isinstance(value, dict | list | int | float | None) else str(value)


def left_out(**_):
    """How many rows there are of what a backup leaves out, and what follows the largest number of the trail."""
    entry = LogEntry.objects.order_by("-pk")[:1].get()
    Crew.objects.create(name=uuid.uuid4().hex)
    group = Group.objects.create(name=uuid.uuid4().hex)
    return {
        "sessions": Session.objects.count(),
        "behind": LogEntry.objects.order_by("-pk")[:1].get().pk - entry.pk,
        "group": group.pk,
    }


def findings(**_):
    return [[one.what for one in check_crew(crew)] for crew in Crew.objects.all()]


def threads(count, each, **_):
    """Writes from threads at once: what went wrong, and how many rows there are."""
    crew = Crew.objects.get()
    wrong = []

    def write(number):
        try:
            for turn in range(each):
                with transaction.atomic():
                    before = Job.objects.filter(crew=crew).count()
                    job = Job.objects.create(crew=crew, name=f"{number} {turn} {before}")
                    Task.objects.create(job=job, name="One")
        except Exception as error:
            wrong.append(repr(error))
        finally:
            connection.close()

    all_of_them = [threading.Thread(target=write, args=(number,)) for number in range(count)]
    for one in all_of_them:
        one.start()
    for one in all_of_them:
        one.join()
    return {"wrong": wrong, "jobs": Job.objects.count(), "tasks": Task.objects.count()}


def backups_while_writing(folder, count, **_):
    """Backups, while a thread adds a job with two tasks at a time; how long the slowest write took, and how many."""
    import pathlib

    from jetwright.web.backup import write_backup

    crew, stop, took = Crew.objects.get(), threading.Event(), []

    def write():
        while not stop.is_set():
            began = time.monotonic()
            with transaction.atomic():
                job = Job.objects.create(crew=crew, name=f"Job {len(took)}")
                Task.objects.bulk_create([Task(job=job, name=name) for name in ("a", "b")])
            took.append(time.monotonic() - began)
        connection.close()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(count):
            write_backup(pathlib.Path(folder) / f"{number}.zip", False, lambda *_: None)
    finally:
        stop.set()
        writer.join()
    return {"slowest": max(took), "writes": len(took)}


def whole(**_):
    """What stands in a place after a server was killed there: every row reads, the records hold, nothing is torn."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA integrity_check")
            assert cursor.fetchall() == [("ok",)]
            cursor.execute("PRAGMA foreign_key_check")
            assert cursor.fetchall() == []
    rows, _restored = compared()
    logged = set(LogEntry.objects.filter(content_type__model="piece", action=0).values_list("object_pk", flat=True))
    pieces = {str(pk) for pk in Piece.objects.values_list("pk", flat=True)}
    seen = [[one.what for one in check_crew(crew)] for crew in Crew.objects.all()]
    named = {f"{pk}{end}.jpg" for pk in Photo.objects.values_list("pk", flat=True) for end in ("", "-small")}
    return {
        "rows": sum(map(len, rows.values())),
        "pieces": sorted(Piece.objects.values_list("name", flat=True)),
        "counted": {piece.name: piece.count for piece in Piece.objects.filter(kind="hose", name__startswith="row ")},
        "jobs": sorted(Job.objects.values_list("name", flat=True)),
        "tasks": sorted(Task.objects.values_list("name", flat=True)),
        "records": Record.objects.count(),
        "findings": seen,
        "without a line in the trail": sorted(pieces ^ logged),
        "photos": sorted(Photo.objects.values_list("says", flat=True)),
        "photos lost": sorted(named - {path.name for path in place.photos().iterdir()}),
        "torn": sorted(
            path.name
            for path in place.photos().iterdir()
            if not path.name.startswith(".") and not path.read_bytes().endswith(b"\xff\xd9")
        ),
    }


def main():
    module, _, name = sys.argv[1].rpartition(".")
    act = getattr(importlib.import_module(module or __name__), name)
    print(json.dumps(act(**json.loads(sys.argv[2]))))
