"""A counter's place: a data folder, a database, and commands and servers that run there as a person starts them."""

import contextlib
import html
import http.client
import json
import os
import pathlib
import re
import secrets
import socket
import subprocess
import sys
import time
import urllib.parse

ROOT = pathlib.Path(__file__).parents[2]
SERVER = os.environ.get("DATABASE_URL", "")
SQLITE, POSTGRESQL = "sqlite", "postgresql"
SUPPLY = {"job-supply-pressure": "3 bar", "job-supply-flow": "150 L/min", "job-supply-temperature": "18 degC"}
"""What a new job must say."""
ACT = """
import django
from jetwright.web import place
place.make()
django.setup()
from tests.web.acts import main
main()
"""


def free_port():
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return free.getsockname()[1]


class Place:
    """database: SQLITE or POSTGRESQL; "" for what this run is on."""

    def __init__(self, folder, database=""):
        self.folder = folder
        self.database = database or (POSTGRESQL if SERVER else SQLITE)
        others = {name: value for name, value in os.environ.items() if not name.startswith("JETWRIGHT_")}
        others.pop("DATABASE_URL", None)
        self.environment = others | {"LANGUAGE": "en", "PYTHONUNBUFFERED": "1", "JETWRIGHT_DATA": str(folder)}
        self.name = f"place_{secrets.token_hex(6)}"
        if self.database == POSTGRESQL:
            self._server(f"CREATE DATABASE {self.name}")
            self.environment["DATABASE_URL"] = SERVER.rsplit("/", 1)[0] + f"/{self.name}"

    def _server(self, statement):
        import psycopg

        with psycopg.connect(SERVER, autocommit=True) as connection:
            connection.execute(statement)

    def drop(self):
        if self.database == POSTGRESQL:
            self._server(f"DROP DATABASE IF EXISTS {self.name} WITH (FORCE)")

    def command(self, *arguments, code=0, **environment):
        """What a command prints, both streams as one, once its exit code is the one that is expected."""
        done = subprocess.run(
            [sys.executable, "-m", "jetwright", *arguments],
            cwd=ROOT,
            env=self.environment | environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            check=False,
            timeout=120,
        )
        assert done.returncode == code, done.stdout
        return done.stdout

    def act(self, name, **given):
        """What a function of `tests.web.acts` answers, run in this place."""
        done = subprocess.run(
            [sys.executable, "-c", ACT, name, json.dumps(given)],
            cwd=ROOT,
            env=self.environment | {"DJANGO_SETTINGS_MODULE": "jetwright.web.settings"},
            capture_output=True,
            text=True,
            check=False,
            timeout=300,
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return json.loads(done.stdout)

    def files(self):
        """Every file in the folder with its bytes, without the database's own."""
        if not self.folder.exists():
            return {}
        found = (path for path in self.folder.rglob("*") if path.is_file() and ".sqlite3" not in path.name)
        return {path.relative_to(self.folder).as_posix(): path.read_bytes() for path in found}

    @contextlib.contextmanager
    def served(self, **environment):
        """A counter that serves this place."""
        counter = Counter(self, environment)
        try:
            counter.wait()
            yield counter
        finally:
            counter.kill()


class Counter:
    """A server in a process of its own."""

    def __init__(self, place, environment):
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.log = place.folder.parent / f"printed-{self.port}.txt"
        with self.log.open("w") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "jetwright", "serve", "--port", str(self.port)],
                cwd=ROOT,
                env=place.environment | environment,
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=out,
                start_new_session=True,
            )

    @property
    def printed(self):
        return self.log.read_text()

    @property
    def first_link(self):
        found = re.search(r"http://\S+/people/first/\S+", self.printed)
        return found[0] if found else ""

    def wait(self):
        until = time.monotonic() + 60
        while time.monotonic() < until:
            assert self.process.poll() is None, self.printed
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port), timeout=1):
                return
            time.sleep(0.05)
        raise TimeoutError(self.printed)

    def kill(self):
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait(10)


class Browser:
    """Somebody's browser, as far as the standard library goes: cookies, forms, no redirects followed."""

    def __init__(self, address, session=""):
        self.address = address
        self.cookies = {"sessionid": session} if session else {}

    def fill(self, path, **typed):
        """What an answered form says: the page's own fields, and what is typed into them."""
        text = self.ask(path)[2]
        found = {}
        for tag in re.findall(r"<input [^>]*>", text):
            told = {name: html.unescape(value) for name, value in re.findall(r'([\w-]+)="([^"]*)"', tag)}
            if "name" in told and told.get("type") not in ("checkbox", "radio", "file"):
                found[told["name"]] = told.get("value", "")
        return self.ask(path, found | typed)

    def send(self, path, name, content):
        """A form with one file in it."""
        line = secrets.token_hex(16)
        parts = [
            f'Content-Disposition: form-data; name="csrfmiddlewaretoken"\r\n\r\n{self.cookies["csrftoken"]}'.encode(),
            f'Content-Disposition: form-data; name="{name}"; filename="x.jpg"\r\n\r\n'.encode() + content,
        ]
        body = b"".join(b"--" + line.encode() + b"\r\n" + part + b"\r\n" for part in parts)
        sort = {"Content-Type": f"multipart/form-data; boundary={line}"}
        return self.ask(path, raw=body + f"--{line}--\r\n".encode(), headers=sort)

    def ask(self, path, form=None, timeout=30, headers=(), raw=None):
        """Status, headers and text of an answer."""
        body = raw
        sent = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items()), **dict(headers)}
        if form is not None:
            form = {**form, "csrfmiddlewaretoken": self.cookies["csrftoken"]}
            body = urllib.parse.urlencode(form, doseq=True)
            sent |= {"Content-Type": "application/x-www-form-urlencoded", "Origin": self.address}
        link = http.client.HTTPConnection(self.address.removeprefix("http://"), timeout=timeout)
        try:
            link.request("GET" if body is None else "POST", path, body, sent)
            answer = link.getresponse()
            for line in answer.headers.get_all("Set-Cookie") or []:
                name, _, value = line.split(";")[0].partition("=")
                self.cookies[name] = value
            return answer.status, answer.headers, answer.read().decode("utf-8", "replace")
        finally:
            link.close()
