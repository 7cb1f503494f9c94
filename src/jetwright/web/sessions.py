"""Sessions in the database, as Django keeps them; a page that only shows something waits for nobody who writes.

A page keeps what it changed, and nothing else: what another page of the same session kept meanwhile stays, so that a
slow page does not open what was locked while it was made.
"""

from copy import deepcopy
from typing import Any

from django.contrib.sessions.backends import db
from django.contrib.sessions.backends.base import UpdateError
from django.db import OperationalError, connection, transaction
from django.utils import timezone

_PASSING = {"seen", "locked", "crew"}
"""What a page that only shows something may keep, and the next works out anew: last sight, lock, crew last seen."""
_PATIENCE = 0.3
"""How long that waits for a lock. [s]"""


class SessionStore(db.SessionStore):
    """A session of which each page keeps its own changes, the last sight only where nobody writes. [-]"""

    _kept: dict[str, Any] | None = None

    def load(self) -> dict[str, Any]:
        """What is kept of the session. [-]"""
        data: dict[str, Any] = super().load()
        self._kept = deepcopy(data)
        return data

    def save(self, must_create: bool = False) -> None:
        """Keep what changed; where only the last sight did and somebody writes, leave that to the next page. [-]"""
        if must_create or self.session_key is None or self._kept is None:
            super().save(must_create)
        elif not self._only_passing():
            self._merge()
        else:
            _wait(_PATIENCE)
            try:
                self._merge()
            except (UpdateError, OperationalError):
                return
            finally:
                _wait(connection.settings_dict.get("OPTIONS", {}).get("timeout", 5.0))
        self._kept = deepcopy(dict(self.items()))

    def _merge(self) -> None:
        """Lay what this page changed over what is there now."""
        now, before = dict(self.items()), self._kept or {}
        with transaction.atomic():
            there = self.model.objects.select_for_update().filter(
                session_key=self.session_key, expire_date__gt=timezone.now()
            )
            row = there.first()
            if row is None:
                raise UpdateError
            stored = self.decode(row.session_data)
            merged = {key: value for key, value in stored.items() if key in now or key not in before}
            merged |= {key: value for key, value in now.items() if key not in before or before[key] != value}
            self._session_cache = merged
            try:
                super().save()
            except UpdateError as error:
                if isinstance(error.__context__, OperationalError):
                    raise error.__context__ from None
                raise

    def _only_passing(self) -> bool:
        now, before = dict(self.items()), self._kept or {}
        changed = {key for key in now.keys() | before.keys() if now.get(key) != before.get(key)}
        return changed <= _PASSING and ("locked" not in changed or bool(now.get("locked")))


def _wait(seconds: float) -> None:
    """How long SQLite waits for a lock, on this connection."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA busy_timeout = {round(1000 * seconds)}")
