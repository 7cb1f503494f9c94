"""Fifty people planning at once on one counter, and how long a what-if takes: `python -m benchmarks.crowd`."""

import argparse
import http.client
import json
import os
import random
import re
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

GOAL = 100.0  # ms, 95 of 100 what-ifs
CREWS, EACH = 10, 5
THINKS = (1.0, 3.0)  # s between two steps of one person: reading three numbers and pressing again
COMING = 15.0
"""How long it takes until all fifty, who come within three seconds, have their first page. [s]"""
SEED = 11


@dataclass
class Seen:
    """What everybody saw: waits for a step, those after everybody had come, for a page, and what went wrong."""

    steps: list[float] = field(default_factory=list)
    later: list[float] = field(default_factory=list)
    pages: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)


def prepare() -> None:
    """Make the crews, people and jobs, and print a session for each person; runs in a process of its own."""
    import django

    from jetwright.web import place

    place.make()  # before the settings are read: they sign the sessions with its key
    django.setup()
    from django.core.management import call_command
    from django.test import Client

    from jetwright.web.jobs.demo import put_in_demo
    from jetwright.web.jobs.models import Job
    from jetwright.web.people.models import Crew, Membership, Person

    call_command("migrate", verbosity=0)
    people = []
    for number in range(CREWS):
        crew = Crew.objects.create(name=f"Crew {number}")
        tasks = []
        for job in put_in_demo(crew):  # six tasks, three of them not allowed; no two crews have a job in common
            Job.objects.filter(pk=job.pk).update(name=f"{job.name} {number}")
            tasks += [f"/jobs/{job.pk}/tasks/{task.pk}/plan/" for task in job.tasks.all()]
        for who in range(EACH):
            person = Person.objects.create(username=f"p{number}-{who}", name=f"Person {number} {who}")
            Membership.objects.create(person=person, crew=crew, role="crew lead")
            client = Client()
            client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
            people.append({"session": client.cookies["sessionid"].value, "page": tasks[who]})
    print(json.dumps(people))


class Planner(threading.Thread):
    """One person: opens the plan, steps the target up and down, reads, steps again."""

    def __init__(self, port: int, who: dict[str, str], until: float, seen: Seen, seed: int) -> None:
        super().__init__(daemon=True)
        self.port, self.who, self.until, self.seen = port, who, until, seen
        self.random = random.Random(seed)
        self.settled = time.monotonic() + COMING
        self.cookies = {"sessionid": who["session"]}
        self.line = http.client.HTTPConnection("127.0.0.1", port, timeout=30)

    def run(self) -> None:
        try:
            time.sleep(self.random.uniform(0.0, THINKS[1]))
            page = self.ask("GET", self.who["page"], self.seen.pages)
            token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)
            assert token, page[:300]
            while time.monotonic() < self.until:
                time.sleep(self.random.uniform(*THINKS))
                page = self.step(page, token[1])
        except Exception as error:
            self.seen.errors.append(f"{type(error).__name__}: {error}")

    def step(self, page: str, token: str) -> str:
        """Press a button of the what-if's form as the browser would: every field of it, and the button's name."""
        form = WhatIf(page)
        act = self.random.choice(form.acts)
        body = urllib.parse.urlencode([("csrfmiddlewaretoken", token), *form.fields, ("act", act)])
        headers = {"Content-Type": "application/x-www-form-urlencoded", "HX-Request": "true", "X-CSRFToken": token}
        return self.ask("POST", self.who["page"] + "what-if/", self.seen.steps, body, headers)

    def ask(
        self, method: str, path: str, waits: list[float], body: str = "", headers: dict[str, str] | None = None
    ) -> str:
        sent = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        sent |= {"Referer": f"http://127.0.0.1:{self.port}/"} | (headers or {})
        begin = time.perf_counter()
        self.line.request(method, path, body or None, sent)
        answer = self.line.getresponse()
        text = answer.read().decode()
        waits.append(1e3 * (time.perf_counter() - begin))
        if waits is self.seen.steps and time.monotonic() > self.settled:
            self.seen.later.append(waits[-1])
        for name, value in answer.getheaders():
            if name.lower() == "set-cookie":
                key, _, rest = value.partition("=")
                self.cookies[key] = rest.split(";")[0]
        if answer.status != 200:
            raise RuntimeError(f"{method} {path}: {answer.status} {text[:200]}")
        return text


class WhatIf(HTMLParser):
    """The fields and the buttons of the what-if in a page or in an answer, which have other forms beside them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.depth, self.choice, self.chosen = 0, "", False
        self.fields: list[tuple[str, str]] = []
        self.acts: list[str] = []
        self.feed(page[page.index('<div id="fields"') :])

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Inside the what-if: a field, a choice or a button."""
        said = {name: value or "" for name, value in attrs}
        if tag == "div" and (self.depth or said.get("id") == "fields"):
            self.depth += 1
        if not self.depth:
            return
        if tag == "input":
            self.fields.append((said["name"], said.get("value", "")))
        elif tag == "select":
            self.choice = said["name"]
        elif tag == "option":
            self.chosen = "selected" in said
        elif tag == "button" and said.get("name") == "act" and said["value"]:
            self.acts.append(said["value"])

    def handle_data(self, data: str) -> None:
        """What the chosen option says."""
        if self.chosen:
            self.fields.append((self.choice, data))

    def handle_endtag(self, tag: str) -> None:
        """Leaving an option, or the what-if."""
        self.chosen = False
        if tag == "div" and self.depth:
            self.depth -= 1


def measure(seconds: float) -> Seen:
    """Start a counter, let everybody plan for a while, stop it."""
    with tempfile.TemporaryDirectory() as folder, socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
        free.close()
        place = {**os.environ, "JETWRIGHT_DATA": folder, "DJANGO_SETTINGS_MODULE": "jetwright.web.settings"}
        made = subprocess.run(
            [sys.executable, "-m", "benchmarks.crowd", "--prepare"],
            env=place,
            check=True,
            capture_output=True,
            text=True,
        )
        people = json.loads(made.stdout.splitlines()[-1])
        command = [sys.executable, "-m", "jetwright", "serve", "--port", str(port), "--data", folder]
        with (
            (Path(folder) / "printed.txt").open("w") as log,
            subprocess.Popen(command, stdout=log, stderr=log) as server,
        ):
            try:
                _wait(port)
                seen = Seen()
                until = time.monotonic() + seconds
                crowd = [Planner(port, who, until, seen, SEED + n) for n, who in enumerate(people)]
                for one in crowd:
                    one.start()
                for one in crowd:
                    one.join()
            finally:
                server.send_signal(signal.SIGTERM)
                server.wait(10)
    return seen


def _wait(port: int) -> None:
    until = time.monotonic() + 60
    while True:
        try:
            socket.create_connection(("127.0.0.1", port), 1).close()
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)
        else:
            return


def share(waits: list[float], part: float) -> float:
    """The wait that this part of all is shorter than [ms]."""
    return sorted(waits)[min(len(waits) - 1, int(part * len(waits)))] if waits else float("nan")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="ten seconds: only prove that it runs")
    parser.add_argument("--prepare", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.prepare:
        prepare()
        return
    seconds = 10.0 if asked.quick else 60.0
    seen = measure(seconds)
    print(f"{CREWS * EACH} people, {seconds:.0f} s, {THINKS[0]:g} to {THINKS[1]:g} s between two steps of each")
    settled = f"what-if after {COMING:.0f} s"
    for name, waits in (("what-if", seen.steps), (settled, seen.later), ("plan page", seen.pages)):
        middle = statistics.median(waits) if waits else float("nan")
        print(
            f"{name}: {len(waits)} answers, p50 {middle:.0f} ms, "
            f"p95 {share(waits, 0.95):.0f} ms, p99 {share(waits, 0.99):.0f} ms"
        )
    print(f"errors: {len(seen.errors)}" + "".join(f"\n  {one}" for one in sorted(set(seen.errors))[:5]))
    print(f"goal: what-if p95 at most {GOAL:.0f} ms: {'met' if share(seen.steps, 0.95) <= GOAL else 'NOT met'}")
    if seen.errors:
        sys.exit(1)


if __name__ == "__main__":
    main()
