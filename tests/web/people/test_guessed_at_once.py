"""PINs guessed at the same time, in processes that serve one database: no more are compared than one could try."""

import itertools
from concurrent.futures import ThreadPoolExecutor

from django.conf import settings

from tests.web.acts import PASSWORD, PIN
from tests.web.places import POSTGRESQL

WRONG = [str(number) for number in range(5000, 5012)]


def guessed(place, folder, cookie, lists):
    """The answers to some who guess at once: each a process on PostgreSQL; SQLite is served by one, with threads."""
    ready, processes = folder / "ready", [[tries] for tries in lists] if place.database == POSTGRESQL else [lists]
    ready.mkdir()

    def one(number):
        told = {"ready": str(ready / str(number)), "processes": len(processes), "ledger": str(folder / "ledger")}
        return place.act("tests.web.at_once.guess", cookie=cookie, secrets=processes[number], **told)

    with ThreadPoolExecutor(len(processes)) as threads:
        return list(itertools.chain(*itertools.chain(*threads.map(one, range(len(processes))))))


def test_all_who_guess_at_once_have_the_tries_of_one(empty, tmp_path):
    cookie, limit = empty.act("tests.web.at_once.tablet"), settings.AXES_FAILURE_LIMIT
    answers = guessed(empty, tmp_path, cookie, [WRONG[::2], WRONG[1::2]])
    assert sorted(answers) == [422] * (limit - 1) + [429] * (len(WRONG) - limit + 1)
    compared = sorted(map(str.split, (tmp_path / "ledger").read_text().splitlines()), key=lambda one: float(one[0]))
    assert len(compared) == limit
    assert all(float(one[1]) <= float(after[0]) for one, after in itertools.pairwise(compared))  # one after another

    ledger = tmp_path / "afterwards"
    told = empty.act("tests.web.at_once.afterwards", cookie=cookie, secrets=[PIN, PASSWORD], ledger=str(ledger))
    assert told == [[429, 429], [422, 302]]  # and then the password is asked for, once
    assert len(ledger.read_text().splitlines()) == 1  # before the wait is over the right ones are not even compared
