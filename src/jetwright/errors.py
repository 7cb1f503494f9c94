"""The one tree of errors.

JetwrightError
├── RigError         problems in a rig description, each with the key it belongs to
│   └── FileError    the same, found in a file that could not be read as a job file
├── UnitError        a quantity that cannot be understood as written
└── NotServedError   a state outside the range in which the model holds

Messages are English and meant for developers; `report.wording` phrases the same facts for a crew.
"""

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, as facts.

    key: path of the value, table by table, e.g. ("tips", "R10", "bore") or ("task", 0, "target").
    code: which kind of problem, a word of `report.wording`, e.g. "unknown_name".
    written: what stands there, as written; "" if nothing does.
    facts: what the sentence needs, e.g. {"nearest": "R8-20", "known": ["R8-20", "R12-40"]}.
    file, line: where it stands, filled in by the door that read it (line counts from 1; 0: no line).
    """

    key: tuple[str | int, ...]
    code: str
    written: str = ""
    facts: dict[str, object] = field(default_factory=dict)
    file: str = ""
    line: int = 0


class JetwrightError(Exception):
    """Anything this package raises on purpose."""


class RigError(JetwrightError):
    """A rig description that is not physical or not complete; holds every problem found."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        super().__init__("; ".join(f"{'.'.join(map(str, p.key))}: {p.code} {p.facts or ''}".strip() for p in problems))

    def __reduce__(self) -> tuple[object, ...]:
        return type(self), (self.problems,)


class FileError(RigError):
    """A file that cannot be read as a job file; holds every problem found, each with its line."""


class UnitError(JetwrightError):
    """A quantity that cannot be understood as written."""

    def __init__(self, code: str, written: str, **facts: object) -> None:
        self.code = code
        self.written = written
        self.facts = facts
        super().__init__(f"{code}: {written!r} {facts or ''}".strip())

    def __reduce__(self) -> tuple[object, ...]:
        return _again, (type(self), (self.code, self.written), self.facts)


class NotServedError(JetwrightError):
    """A state outside the range in which the model holds."""

    def __init__(self, code: str, **facts: object) -> None:
        self.code = code
        self.facts = facts
        super().__init__(f"{code} {facts or ''}".strip())

    def __reduce__(self) -> tuple[object, ...]:
        return _again, (type(self), (self.code,), self.facts)


def _again(kind: type[Any], said: tuple[str, ...], facts: dict[str, object]) -> Any:
    """An error as it was, in the process that it is sent to."""
    return kind(*said, **facts)
