"""Names of people and crews are looked for and taken by one at a time, whichever process serves."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction

OURS = 0x6A657477
"""Names our lock among those of a PostgreSQL server."""


@contextmanager
def names_held() -> Iterator[None]:
    """A transaction in which nobody else takes a name: one that is found free in it stays so until it is taken. [-]"""
    with transaction.atomic():  # on SQLite nobody else writes from here on
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_xact_lock(%s)", [OURS])
        yield
