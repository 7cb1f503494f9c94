"""A large file put into a yard in a process of its own, while somebody else saves jobs one after another."""

import collections
import threading
import time
from functools import partial

from auditlog.models import LogEntry
from django.db import connection

from jetwright.web.jobs.models import Job
from jetwright.web.people.models import Crew
from jetwright.web.yard.arriving import arrivals
from jetwright.web.yard.models import Piece
from tests.web.acts import people
from tests.web.at_once import at_once
from tests.web.between import entered
from tests.web.places import SUPPLY


def put_in(rows, **_):
    """Hoses that a file adds, and another changes: the answers, what is there then, how long the database was held."""
    people()
    crew, told, held, beside = Crew.objects.get(), [], [], []
    for rating in ("1400 bar", "1300 bar"):
        text = "name,bore,length,rating,tested\n"
        text += "".join(f"H-{n},8 mm,20 m,{rating},2026-02-24\n" for n in range(rows))
        form = {"crew": str(crew.pk), "kind": "hose", "text": text, "digest": arrivals(crew, "hose", text).digest}
        done = threading.Event()
        told += at_once([partial(_put, form, held, done), partial(_save, crew, beside, done)])[:1]
    lines = LogEntry.objects.filter(content_type__model="piece").select_related("actor")
    first = lines.filter(object_repr="H-0", action=LogEntry.Action.UPDATE).get()
    return {
        "statuses": told,
        "held": held,
        "beside": beside,
        "jobs": Job.objects.count(),
        "pieces": collections.Counter(Piece.objects.values_list("spec__rating", flat=True)),
        "versions": sorted(set(Piece.objects.values_list("version", flat=True))),
        "tested": sorted({str(day) for day in Piece.objects.values_list("tested", flat=True)}),
        "lines": collections.Counter(line.action for line in lines),
        "who": sorted({(line.actor.username, line.remote_addr) for line in lines}),
        "first": first.changes["spec"],
    }


def _put(form, held, done):
    """The answer; held: how long this thread was at work between its first and its last write, waits left out. [s]"""
    at = []

    def noted(execute, sql, params, many, context):
        if sql.startswith(("INSERT", "UPDATE")) and ("yard_piece" in sql or "auditlog" in sql):
            at.append(time.thread_time())
        return execute(sql, params, many, context)

    try:
        with connection.execute_wrapper(noted):
            return entered("ada").post("/yard/files/put/", form).status_code
    finally:
        held.append(at[-1] - at[0])
        done.set()


def _save(crew, beside, done):
    client = entered("zoe")
    while not done.is_set():
        job = {"crew": str(crew.pk), "name": f"Job {len(beside)}", "job-rule_set": "eu-generic", **SUPPLY}
        beside.append(client.post("/jobs/new/", job).status_code)
        time.sleep(0.05)
