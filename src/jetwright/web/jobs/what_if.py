"""What a question about a task asks, read, with the form for the next: the job as it would be."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.http import QueryDict

from jetwright.files.job import JobFile
from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.question import Line, Question, kept_question, posted_question, refilled, text_of
from jetwright.web.jobs.steppers import Stepper, offers_for, stepped, steppers_of
from jetwright.web.jobs.written import job_tables, read_tables

REMEMBERED, SMALL = 256, 50_000
"""How many jobs are kept as they were read, and up to which length of their text: a yard of thousands of pieces takes
megabytes, and is read anew."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A question, the job as it would be, the task's place in it, and the form.

    tables: of the job as it is kept; text: what `read` was read from; refilled: the lines whose tool has other tips
    than the yard says.
    """

    tables: Mapping[str, Any]
    text: str
    question: Question
    kept: Question
    read: JobFile
    place: int
    steppers: tuple[Stepper, ...]
    tools: tuple[str, ...]
    refilled: tuple[Line, ...]

    @property
    def is_kept(self) -> bool:
        """Whether it is what the task says. [-]"""
        return self.question == self.kept


def asked(task: Task, sent: QueryDict, system: str) -> Asked:
    """The question of a form, stepped on by its act. [-]

    FileError where the rig cannot be read or is not physical; NotReadError where the target cannot be read.
    """
    tables = job_tables(task.job)
    kept = kept_question(task.spec, tables)
    question = posted_question(kept, tables, sent)
    names = (task.job.name, task.name)
    text = text_of(task, tables, question, kept)
    read, place = read_text(text, *names)
    offers = offers_for(question, read, place)
    next_one = stepped(question, sent.get("act", ""), read, place, offers, system)
    if next_one != question:
        text = text_of(task, tables, next_one, kept)
        read, place = read_text(text, *names)
    steppers = steppers_of(next_one, read, place, offers, system)
    own = refilled(next_one, tables)
    return Asked(tables, text, next_one, kept, read, place, steppers, tuple(sorted(read.job.tools)), own)


def read_text(text: str, job: str, task: str) -> tuple[JobFile, int]:
    """The job around a task that tables in JSON describe: the same text is read once, unless it is a long one. [-]"""
    return _read_once(text, job, task) if len(text) <= SMALL else _read(text, job, task)


def _read(text: str, job: str, task: str) -> tuple[JobFile, int]:
    return read_tables(Task(name=task, job=Job(name=job)), json.loads(text))


_read_once = lru_cache(maxsize=REMEMBERED)(_read)
