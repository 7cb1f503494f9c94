"""What the tests of the pages may count on: a data folder of their own, and counters in processes of their own."""

import os
import uuid

import pytest
from django.conf import settings
from django.test import override_settings

from jetwright.web import place
from tests.web.places import Place


@pytest.fixture(scope="session", autouse=True)
def _no_folder_of_a_person(tmp_path_factory):
    """Whatever a test keeps, it keeps nothing in the folder of whoever runs it."""
    before = os.environ.get("JETWRIGHT_DATA")
    os.environ["JETWRIGHT_DATA"] = str(tmp_path_factory.mktemp("counter"))
    place.make()
    yield
    os.environ.pop("JETWRIGHT_DATA")
    if before is not None:
        os.environ["JETWRIGHT_DATA"] = before


@pytest.fixture(scope="session", autouse=True)
def _quick():
    """In this process a secret is hashed quickly, and no browser of a test lists the static files anew.

    Servers in processes of their own have the settings as they are; `test_settings` holds them.
    """
    hashers = ["django.contrib.auth.hashers.MD5PasswordHasher", *settings.PASSWORD_HASHERS]
    with override_settings(PASSWORD_HASHERS=hashers, SERVESTATIC_USE_FINDERS=False, SERVESTATIC_USE_STATIC_ROOT=False):
        yield


@pytest.fixture(scope="session")
def make_place(tmp_path_factory):
    """Makes places with nothing in them: on the database of this run, or on a named one."""
    made = []

    def one(database="", name=""):
        made.append(Place(tmp_path_factory.mktemp("place") / (name or uuid.uuid4().hex[:6]), database))
        return made[-1]

    yield one
    for each in made:
        each.drop()


@pytest.fixture
def empty(make_place):
    """A place with nothing in it, not even a folder."""
    return make_place()


@pytest.fixture(scope="session")
def full(make_place):
    """A place with the demo, its people, photos, signed records and a trail; nobody changes it."""
    made = make_place()
    made.act("fill")
    return made


@pytest.fixture(scope="session")
def full_rows(full):
    """Every row of the full place."""
    return full.act("compared")[0]


@pytest.fixture(scope="session")
def archive(full, tmp_path_factory):
    """A backup of the full place."""
    path = tmp_path_factory.mktemp("backup") / "full.zip"
    full.command("backup", str(path))
    return path
