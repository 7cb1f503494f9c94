"""What tests have done in the same moment, in processes of their own: tasks that are named, PINs that are guessed."""

import datetime
import pathlib
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from functools import partial

from axes.models import AccessAttempt
from django.conf import settings
from django.contrib.auth.hashers import PBKDF2PasswordHasher
from django.core.management import call_command
from django.db import connection
from django.utils import timezone

from jetwright.web.jobs.models import Job, Task
from jetwright.web.people import devices
from jetwright.web.people.models import Crew, Device, Entered, Person
from tests.web.acts import PASSWORD, PIN, entered


def at_once(calls):
    """What each call answers, all made in the same moment, each in a thread and on a connection of its own."""
    gate = threading.Barrier(len(calls))

    def one(call):
        try:
            gate.wait(30)
            return call()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(calls)) as threads:
        return list(threads.map(one, calls))


def name_tasks(turns):
    """Two name two tasks of a job alike, again and again: the answers, and the names then."""
    job, told, clients = Job.objects.create(crew=Crew.objects.get(), name="At once"), [], [entered(), entered()]

    def both(acts, forms):
        asks = zip(clients, acts, forms, strict=True)
        answers = at_once([partial(who.post, f"/jobs/{job.pk}/tasks/{act}/", form) for who, act, form in asks])
        told.append((sorted(answer.status_code for answer in answers), [task.name for task in in_use()]))

    def in_use():
        return job.tasks.filter(retired_at=None).order_by("name")

    for _turn in range(turns):
        both(["new", "new"], [{"name": "New"}] * 2)
        tasks = list(in_use())
        forms = [{"version": task.version, "name": name} for task, name in zip(tasks, ("Same", "SAME"), strict=True)]
        both([f"{task.pk}/change" for task in tasks], forms)
        in_use().update(retired_at=timezone.now())
        tasks = [Task.objects.create(job=job, name="Back", retired_at=timezone.now()) for _ in clients]
        both([f"{task.pk}/back" for task in tasks], [{"version": task.version} for task in tasks])
        in_use().update(retired_at=timezone.now())
    return told


class Noting(PBKDF2PasswordHasher):
    """Compares in some time, as hashing takes some, and notes from when to when."""

    iterations = 1
    ledger = pathlib.Path()

    def verify(self, password, encoded):
        began = time.monotonic()
        time.sleep(0.03)
        with self.ledger.open("a") as file:
            file.write(f"{began} {time.monotonic()}\n")
        return super().verify(password, encoded)


def tablet():
    """What the cookie of a tablet holds, where Ada entered not long ago."""
    call_command("migrate", verbosity=0)
    password, pin = (PBKDF2PasswordHasher().encode(secret, "salt", iterations=1) for secret in (PASSWORD, PIN))
    ada, device = Person(username="ada", name="Ada", password=password, pin=pin), Device.objects.create()
    ada.save()
    Entered.objects.create(device=device, person=ada, until=Entered.from_now())
    return devices.signed(device)


def guess(cookie, secrets, ledger, ready, processes):
    """At a locked tablet, in as many threads as there are lists of secrets to try: the status of each try."""
    calls = [partial(_unlock, _locked(cookie), tries) for tries in secrets]
    _note(ledger)
    pathlib.Path(ready).touch()
    while len(list(pathlib.Path(ready).parent.iterdir())) < processes:
        time.sleep(0.005)
    return at_once(calls)


def afterwards(cookie, secrets, ledger):
    """There again, before the wait is over and after it."""
    client = _locked(cookie)
    _note(ledger)
    before = _unlock(client, secrets)
    AccessAttempt.objects.update(attempt_time=timezone.now() - datetime.timedelta(hours=settings.AXES_COOLOFF_TIME))
    return before, _unlock(client, secrets)


def _locked(cookie):
    client = entered()
    client.cookies[devices.COOKIE] = cookie
    client.post("/people/lock/")
    return client


def _note(ledger):
    settings.PASSWORD_HASHERS = ["tests.web.at_once.Noting"]
    Noting.ledger = pathlib.Path(ledger)


def _unlock(client, secrets):
    return [client.post("/people/unlock/", {"secret": secret}).status_code for secret in secrets]
