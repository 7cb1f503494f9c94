"""Run in a process of its own: a database with the demo in it, or many who sign in it at once."""

import os
import sys
import threading
import uuid

THREADS, EACH = 4, 3


def prepare():
    from django.core.management import call_command

    from jetwright.web.jobs.demo import put_in_demo
    from jetwright.web.people.models import Crew, Person

    call_command("migrate", verbosity=0)
    Person(username="ada", name="Ada").save()
    put_in_demo(Crew.objects.create(name="North"))


def sign():
    """Each thread signs some records of the crew, with a body of its own."""
    from django.db import connections

    from jetwright.web.jobs.models import Task
    from jetwright.web.people.models import Person
    from jetwright.web.records.signing import Draft, add_record

    task, person = Task.objects.select_related("job__crew").first(), Person.objects.get()
    problems = []

    def some():
        try:
            for _each in range(EACH):
                name = uuid.uuid4()
                add_record(Draft(name, task.job.crew, task, person, f"http://x/{name}/", body(name), [], lambda: True))
        except Exception as error:
            problems.append(repr(error))
        finally:
            connections.close_all()

    def body(name):
        facts = printed(task)
        told = {"record": str(name), "task": {"uuid": str(task.pk)}, "printed": facts, "signed": {"reasons": []}}
        return lambda at, follows: told | {"follows": follows}

    threads = [threading.Thread(target=some) for _each in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if problems:
        sys.exit("\n".join(problems))


def printed(task):
    from jetwright.actions.sign import signed_sheet, to_sign
    from jetwright.report.sheet import Signed
    from jetwright.web.jobs.written import read_task

    return signed_sheet(to_sign(*read_task(task)), Signed("Ada", "Crew lead", "2026-05-12 06:40", ()))


def check():
    from jetwright.web.people.models import Crew
    from jetwright.web.records.models import Record
    from jetwright.web.records.seal import check_crew

    print([*Record.objects.order_by("number").values_list("number", flat=True)], check_crew(Crew.objects.get()))


if __name__ == "__main__":  # the worker imports this file too
    os.environ["DJANGO_SETTINGS_MODULE"] = "jetwright.web.settings"
    import django

    django.setup()
    {"prepare": prepare, "sign": sign, "check": check}[sys.argv[1]]()
