"""Something of everything in a place of its own, run in a process of its own; says where it lies."""

import json
import os
import sys


def fill(language, units):
    """The demo, people in every role, a photo, signed records; a session of Ada, who may see it all."""
    from django.core.management import call_command
    from django.utils import timezone

    from jetwright.web.jobs.demo import put_in_demo
    from jetwright.web.jobs.models import Job, Task
    from jetwright.web.people.models import Crew, Membership
    from jetwright.web.records.models import Record
    from jetwright.web.yard.models import Photo, Piece
    from tests.browser.pages import addresses
    from tests.web.crew import CAST, person

    call_command("migrate", verbosity=0)
    north, south = Crew.objects.create(name="North"), Crew.objects.create(name="South")
    for username, role in CAST.items():
        high = {"is_superuser": True, "is_staff": True} if username == "ada" else {}
        made = person(username, language=language, units=units, **high)
        Membership.objects.create(person=made, crew=north, role=role)
    Membership.objects.create(person=person("bo"), crew=south, role="crew lead")
    ada, olu = (Membership.objects.get(person__username=name).person for name in ("ada", "olu"))
    put_in_demo(north)
    hose = Piece.objects.filter(crew=north, kind="hose").first()
    hose.note = "From the van; its tag is hard to read."
    hose.save()
    Piece.objects.create(
        crew=north, kind="tip", name="Worn L12", spec={"bore": "1.3 mm"}, retired_at=timezone.now(), retired_why="worn"
    )
    photo = Photo(piece=hose, width=640, height=480, by=ada, says="The tag, before it was cleaned")
    _draw(photo)
    photo.save()
    shift = Job.objects.get(tasks__name__startswith="Morning")
    refused = Job.objects.exclude(pk=shift.pk).get()
    bare = Task.objects.create(job=Job.objects.create(crew=north, name="Not said yet"), name="Evening", spec={})
    signed = [_sign(ada, Task.objects.get(job=shift, name__startswith="Noon")) for _again in range(2)]
    assert Record.objects.count() == 2
    ids = {
        "person": olu.pk, "job": shift.pk, "refused_job": refused.pk,
        "bare_job": bare.job.pk, "bare": bare.pk,
        "noon": Task.objects.get(job=shift, name__startswith="Noon").pk,
        "morning": Task.objects.get(job=shift, name__startswith="Morning").pk,
        "refused": Task.objects.filter(job=refused).first().pk, "record": signed[0], "hose": hose.pk,
        "unit": Piece.objects.get(crew=north, kind="unit").pk, "photo": photo.pk,
    }  # fmt: skip
    return {"addresses": addresses({name: str(one) for name, one in ids.items()}), "cookies": _cookies(ada)}


def _draw(photo):
    from PIL import Image, ImageDraw

    from jetwright.web import place

    picture = Image.new("RGB", (640, 480), "#8a9aa6")
    ImageDraw.Draw(picture).rectangle((120, 140, 520, 340), "#f4f1e4", "#222222", 6)
    for end, size in (("", (640, 480)), ("-small", (320, 240))):
        picture.resize(size).save(place.photos() / f"{photo.pk}{end}.jpg")


def _client(who):
    from django.test import Client

    from jetwright.web.people import devices
    from jetwright.web.people.models import Device, Entered, Person

    client = Client(SERVER_NAME="localhost")
    device = Device.objects.create()
    for one in Person.objects.filter(username__in=("ada", "olu")):
        Entered.objects.create(device=device, person=one, until=Entered.from_now())
    client.cookies[devices.COOKIE] = devices.signed(device)
    client.force_login(who, backend="django.contrib.auth.backends.ModelBackend")
    return client


def _sign(who, task):
    from tests.web.crew import PIN
    from tests.web.records.cases import fields, reason_names, words

    client, address = _client(who), f"/records/sign/{task.pk}/"
    page = client.get(address)
    told = fields(page) | dict.fromkeys(reason_names(page), "Seen by the mechanic this morning") | {"pin": PIN}
    answer = client.post(address, told)
    assert answer.status_code == 302, words(answer)
    return answer.url.split("/")[2]


def _cookies(who):
    return {name: one.value for name, one in _client(who).cookies.items()}


if __name__ == "__main__":  # the worker that prints a sheet imports this file too
    os.environ["DJANGO_SETTINGS_MODULE"] = "jetwright.web.settings"
    import django

    from jetwright.web import place

    place.make()
    django.setup()
    print(json.dumps(fill(*sys.argv[1:])))
