"""Numbers within a crew have no hole, however many sign at once: threads of two processes, on the database at hand."""

import os
import subprocess
import sys
import uuid
from pathlib import Path

import pytest

from tests.web.records.many import EACH, THREADS

MANY = Path(__file__).with_name("many.py")
PROCESSES = 2


@pytest.fixture
def database(tmp_path):
    """The environment of a process with a database of its own: SQLite's file, or one more on PostgreSQL."""
    environment = {**os.environ, "JETWRIGHT_DATA": str(tmp_path), "PYTHONPATH": str(MANY.parents[3])}
    server = environment.get("DATABASE_URL", "")
    if not server.startswith("postgres"):
        yield environment
        return
    psycopg = pytest.importorskip("psycopg")
    name = f"many_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
        before, _slash, after = server.rpartition("/")
        yield environment | {"DATABASE_URL": f"{before}/{name}{after[after.index('?') :] if '?' in after else ''}"}
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def run(act, environment):
    return subprocess.Popen([sys.executable, MANY, act], env=environment, stdout=-1, stderr=-1, text=True)


def said(process):
    out, err = process.communicate(timeout=120)
    assert process.returncode == 0, err
    return out


def test_all_who_sign_at_once_get_the_next_number_and_follow_one_another(database):
    said(run("prepare", database))
    signing = [run("sign", database) for _each in range(PROCESSES)]
    for process in signing:
        said(process)
    numbers = list(range(1, PROCESSES * THREADS * EACH + 1))
    assert said(run("check", database)).strip() == f"{numbers} []"
