"""What is typed of a job and of a task: some fields of their own, and the rest made from the tables of a job file."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, cast

from django import forms

from jetwright.files.goals import goals
from jetwright.report.goal_words import goal_name
from jetwright.report.wording import N_, _
from jetwright.rig.check import RULE_SETS
from jetwright.rig.description import Job as JobTable
from jetwright.rig.description import Task as TaskTable
from jetwright.web.described import DescribedForm, Group, fields_for
from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.received import LONGEST_JOB
from jetwright.web.signs import named, taken
from jetwright.web.typed import said
from jetwright.web.yard.models import Piece

OF_A_GOAL = ("task-goal-grade", "task-goal-edition")
"""Inputs whose choices are called otherwise than a job file writes them."""
OF_A_JOB = ("supply", "altitude", "air_temperature", "rule_set", "restraints", "waste", "prices")
OF_A_TASK = (
    "target", "object", "operator", "hazards", "rise", "planned_time", "stops", "remote_tested",
    "goal", "times", "travel", "extent", "jet", "pipe",
)  # fmt: skip
FIRST_OF_A_TASK = ("target", "object", "operator", "hazards")
"""Tables of a task that nobody plans without; the others are there for whoever wants them."""

RULE_WORDS: Mapping[str, str] = {
    "eu-generic": N_("European Union, no country's own"),
    "uk": N_("United Kingdom"),
    "no": N_("Norway"),
    "de": N_("Germany"),
    "us": N_("United States"),
    "au": N_("Australia"),
}
"""Name of a rule set → where it is from."""


class OwnForm(forms.Form):
    """What a job or a task has beside its table."""

    name = forms.CharField(max_length=LONGEST_JOB, required=False)

    def __init__(self, data: Mapping[str, Any] | None, name: str, others: Sequence[str]) -> None:
        super().__init__(data, initial={"name": name})
        self.others = others
        self.fields["name"].label = _("Name")

    def clean_name(self) -> str:
        """A name that can be printed, and that no other has. [-]"""
        name = " ".join(str(self.cleaned_data["name"]).split())
        if not name:
            raise forms.ValidationError(_("Give it a name."))
        name = named(name, LONGEST_JOB)
        if taken(name, self.others):
            raise forms.ValidationError(name_taken())
        return name


def name_taken() -> str:
    """What is told where another has the name. [-]"""
    return _("Another one here has this name.")


class OwnJobForm(OwnForm):
    """A job's name, unit and day."""

    unit = forms.ChoiceField(required=False)
    day = forms.DateField(required=False, input_formats=["%Y-%m-%d"])

    def __init__(self, data: Mapping[str, Any] | None, job: Job) -> None:
        super().__init__(data, job.name, [])
        units = list(Piece.objects.filter(crew=job.crew, kind="unit").in_use())
        if job.unit is not None and job.unit not in units:
            units.append(job.unit)
        only = str(units[0].pk) if len(units) == 1 and job._state.adding else ""
        self.fields["unit"] = forms.ChoiceField(
            required=False,
            label=_("Unit"),
            choices=[("", "—"), *((str(unit.pk), unit.name) for unit in units)],
            initial=str(job.unit_id or only),
            help_text="" if units else _("The yard has no unit yet."),
        )
        self.fields["day"].label = _("Day of the job")
        self.fields["day"].initial = "" if job.day is None else job.day.isoformat()
        self.fields["day"].help_text = _("Left empty: the day on which it is looked at.")
        self.units = {str(unit.pk): unit for unit in units}


class JobForm:
    """A job's own fields and its table."""

    def __init__(self, job: Job, data: Mapping[str, Any] | None) -> None:
        self.job = job
        self.own = OwnJobForm(data, job)
        self.table = fields_for(
            JobTable, job.spec, data, prefix="job", only=OF_A_JOB, choices={"rule_set": list(RULE_SETS)}
        )
        rules = self.table.fields["job-rule_set"]
        assert isinstance(rules, forms.ChoiceField)
        rules.choices = [("", "—"), *((name, f"{name}: {_(words)}") for name, words in RULE_WORDS.items())]
        groups = {str(group.path[-1]): group for group in self.table.group.groups}
        ours = [replace(groups["restraints"], open=True), groups["waste"], groups["prices"]]
        place = Group(_("Place and rules"), ("place",), names=self.table.group.names)
        self.shown = Group("", (), groups=[groups["supply"], place, *ours])

    def is_valid(self) -> bool:
        """Whether it can be kept. [-]"""
        return all([self.own.is_valid(), self.table.is_valid()])

    def filled(self) -> Job:
        """The job with what was typed, not saved. [-]"""
        said = self.own.cleaned_data
        self.job.name, self.job.day = said["name"], said["day"]
        self.job.unit = self.own.units.get(said["unit"])
        self.job.spec = self.table.spec
        return self.job


class TaskForm:
    """A task's name and its table, without the rig."""

    def __init__(self, task: Task, data: Mapping[str, Any] | None) -> None:
        self.task = task
        others = task.job.tasks.filter(retired_at=None).exclude(pk=task.pk).values_list("name", flat=True)
        self.own = OwnForm(data, task.name, list(others))
        grades = goals().grades
        choices = {
            "goal.grade": list(dict.fromkeys(grade.name for grade in grades)),
            "goal.edition": list(dict.fromkeys(grade.edition for grade in grades)),
        }
        self.table = fields_for(TaskTable, task.spec, data, prefix="task", only=OF_A_TASK, choices=choices)
        for name in OF_A_GOAL:
            field = self.table.fields[name]
            assert isinstance(field, forms.ChoiceField)
            offered = cast(Iterable[tuple[str, str]], field.choices)
            field.choices = [(value, goal_name(words)) for value, words in offered]
        groups = {str(group.path[-1]): group for group in self.table.group.groups}
        first = [replace(groups[name], open=True) for name in FIRST_OF_A_TASK]
        rest = [group for name, group in groups.items() if name not in FIRST_OF_A_TASK]
        other = Group(_("Stops, time and height"), ("other",), names=self.table.group.names)
        self.shown = Group("", (), groups=[*first, other, *rest])

    def is_valid(self) -> bool:
        """Whether it can be kept. [-]"""
        return all([self.own.is_valid(), self.table.is_valid()])

    def filled(self) -> Task:
        """The task with what was typed, not saved. [-]"""
        self.task.name = self.own.cleaned_data["name"]
        self.task.spec = self.table.spec
        return self.task


def facts_in(form: DescribedForm, group: Group) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """What stands in a form, for who may only look: heading, and each label with its value. [-]"""
    for below in group.groups:
        facts = [(str(form.fields[name].label), value) for name in below.names if (value := _value(form, name))]
        if facts:
            yield below.legend, facts
        yield from facts_in(form, below)


def _value(form: DescribedForm, name: str) -> str:
    value = form.fields[name].initial
    if value in (None, "", []):
        return ""
    key = form.places[name].key
    if name in OF_A_GOAL:
        return goal_name(str(value))
    if key.shape.sort == "yes_no":
        return _("yes") if value == "yes" else _("no")
    return said(value, key).replace("\n", "; ")
