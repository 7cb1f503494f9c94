"""The demo shift, in a crew of its own: once for each person, whole or not at all."""

from itertools import count
from pathlib import Path

from django.db import IntegrityError, transaction

from jetwright.web.asked import DEMO
from jetwright.web.jobs.models import Job
from jetwright.web.jobs.received import Received, put_in, read_texts
from jetwright.web.people.models import Crew, Membership, Person

JOBS = ("not-allowed.toml", "job.toml")
"""The job files of the demo; the last put in stands first in a list."""

YARD = "yard.toml"


def demo_folder() -> Path:
    """Where the demo's files lie: in the package, or beside it in a checkout. [-]"""
    here = Path(__file__).resolve()
    packaged = here.parents[2] / "data" / "demo"
    return packaged if packaged.is_dir() else here.parents[4] / "examples" / "shift"


def demo_jobs() -> list[Received]:
    """The demo's jobs, taken apart. [-]"""
    folder = demo_folder()
    yard = (folder / YARD).read_text(encoding="utf-8")
    return [read_texts((folder / name).read_text(encoding="utf-8"), yard) for name in JOBS]


def put_in_demo(crew: Crew) -> list[Job]:
    """The demo's jobs that the crew did not have in use; put in twice, nothing is there twice. [-]"""
    received = demo_jobs()
    with transaction.atomic():
        Crew.objects.select_for_update().get(pk=crew.pk)  # a second click waits here
        names = set(Job.objects.filter(crew=crew, retired_at=None).values_list("name", flat=True))
        return [put_in(crew, one) for one in received if one.title not in names]


def demo_for(person: Person) -> tuple[Job, bool]:
    """The demo's job in the crew that somebody leads for it alone, made where there is none; whether it was. [-]"""
    with transaction.atomic():
        Person.objects.select_for_update().get(pk=person.pk)  # a second click waits here
        title = demo_jobs()[-1].title
        ours = Membership.objects.filter(person=person, role="crew lead", ended_at=None).values("crew")
        crews = Crew.objects.filter(pk__in=ours, name__startswith=DEMO, retired_at=None)
        found = Job.objects.filter(crew__in=crews, name=title, retired_at=None).first()
        if found is not None:
            return found, False
        crew = _demo_crew()
        Membership.objects.create(person=person, crew=crew, role="crew lead")
        return put_in_demo(crew)[-1], True


def _demo_crew() -> Crew:
    taken = set(Crew.objects.filter(name__startswith=DEMO).values_list("name", flat=True))
    for number in count(1):
        name = DEMO if number == 1 else f"{DEMO} {number}"
        if name not in taken:
            try:
                with transaction.atomic():
                    made: Crew = Crew.objects.create(name=name)
                    return made
            except IntegrityError:  # somebody else's demo was a moment faster
                continue
    raise AssertionError("numbers do not end")
