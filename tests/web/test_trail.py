"""Whatever is written leaves a line: every model, every way Django has of writing; or it is refused."""

import ast
import asyncio
import datetime
import io
import json
import pathlib
import tempfile
import uuid

import pytest
from asgiref.sync import async_to_sync
from auditlog.models import LogEntry
from auditlog.registry import auditlog
from django.apps import apps
from django.contrib.auth.models import Group, Permission
from django.core import serializers
from django.core.management import call_command
from django.db import IntegrityError, models, transaction
from django.db.models import F
from django.db.models.functions import Upper
from django.urls import reverse
from django.utils import timezone

import jetwright.web
from jetwright.web.jobs.models import Job, Task
from jetwright.web.people.models import SECRET, Crew, Device, Entered, FirstLink, Membership, Person
from jetwright.web.records.models import NeverChangedError, Record
from jetwright.web.trail import NeverDeletedError, NoTrailError, TrailQuerySet, acting, change_together
from jetwright.web.yard.models import Photo, Piece
from tests.web.crew import CrewTestCase

OURS = ("people", "yard", "jobs", "records")
MODELS = [model for label in OURS for model in apps.get_app_config(label).get_models()]
CREATE, UPDATE = LogEntry.Action.CREATE, LogEntry.Action.UPDATE

WRITES = {  # a model → the field that the tests write, and two values
    Person: ("name", "Ned", "Nils"),
    Crew: ("name", "East", "West"),
    Membership: ("role", "trainer", "reader"),
    Device: ("name", "iPad", "Android"),
    Entered: ("until", *(datetime.datetime(2030, 1, day, tzinfo=datetime.UTC) for day in (1, 2))),
    FirstLink: ("until", *(datetime.datetime(2030, 1, day, tzinfo=datetime.UTC) for day in (1, 2))),
    Piece: ("name", "H-1", "H-2"),
    Photo: ("says", "tag", "plate"),
    Job: ("name", "Floor", "Pipe"),
    Task: ("name", "Morning", "Noon"),
    Record: ("kind", "plan", "check"),
}
KEPT = [model for model in WRITES if model is not Record]


class TrailTestCase(CrewTestCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.hose = Piece.objects.create(crew=cls.crew, kind="hose", name="H-0", spec={"bore": "12 mm"})
        cls.job = Job.objects.create(crew=cls.crew, name="Old")
        cls.device = Device.objects.create()

    def fresh(self, model, number=0):
        """A row that is not there yet."""
        name, value, _ = WRITES[model]
        sign = uuid.uuid4().hex
        more = {
            Person: {"username": sign},
            Crew: {"name": f"{value} {number}"},
            Membership: {"person": (self.olu, self.mia, self.rae)[number], "crew": self.other},
            Entered: {"device": self.device, "person": (self.olu, self.mia, self.rae)[number]},
            FirstLink: {"digest": sign},
            Piece: {"crew": self.crew, "kind": "hose", "name": f"{value} {number}"},
            Photo: {"piece": self.hose, "digest": sign, "width": 3, "height": 2},
            Job: {"crew": self.crew},
            Task: {"job": self.job},
            Record: {"crew": self.crew, "number": number + 1, "by": self.ada, "body": "{}", "digest": sign},
        }
        return model(**{name: value} | more.get(model, {}))

    def lines(self, row):
        return LogEntry.objects.get_for_object(row).order_by("pk")

    def last(self, row):
        return self.lines(row).last()

    def assert_said(self, row, action=UPDATE, was=None, now=None, count=1):
        """The newest lines about a row: how many, what it was, what it is."""
        name, first, second = WRITES[type(row)]
        found = list(self.lines(row).filter(action=action))
        self.assertEqual(len(found), count, [line.changes for line in found])
        told = found[-1].changes[name]
        if action == UPDATE:
            was, now = was or first, now or second
            self.assertEqual([shown(told[0]), shown(told[1])], [shown(was), shown(now)])
        else:
            self.assertEqual(told[0], None)


def shown(value):
    if isinstance(value, datetime.datetime):
        value = value.replace(tzinfo=None)
    return str(value)


class EveryModelTest(TrailTestCase):
    def test_none_is_left_out_here(self):
        self.assertEqual(set(MODELS), set(WRITES))

    def test_each_is_registered(self):
        self.assertEqual([model for model in MODELS if not auditlog.contains(model)], [])

    def test_each_of_its_managers_logs(self):
        for model in MODELS:
            for manager in (*model._meta.managers, model._base_manager, model._default_manager):
                self.assertIsInstance(manager.all(), TrailQuerySet, (model, manager))

    def test_no_two_fields_are_left_out_without_being_named_here(self):
        left_out = {model: sorted(auditlog.get_model_fields(model)["exclude_fields"]) for model in MODELS}
        named = {Person: ["last_login"], Device: ["seen_at"], Record: ["body", "sheet"]}
        self.assertEqual({model: names for model, names in left_out.items() if names}, named)

    def test_rows_are_kept_when_what_they_stand_under_would_go(self):
        for model in MODELS:
            for field in model._meta.get_fields():
                if isinstance(field, models.ForeignKey):
                    self.assertIs(field.remote_field.on_delete, models.PROTECT, (model, field.name))


class OneRowTest(TrailTestCase):
    def test_save(self):
        for model in KEPT:
            with self.subTest(model=model.__name__):
                row = self.fresh(model)
                row.save()
                self.assert_said(row, CREATE)
                name, was, now = WRITES[model]
                row = model.objects.get(pk=row.pk)
                was = getattr(row, name)
                setattr(row, name, now)
                row.save()
                self.assert_said(row, was=was)

    def test_save_of_some_fields(self):
        for model in KEPT:
            with self.subTest(model=model.__name__):
                row = self.fresh(model)
                row.save()
                name, _, now = WRITES[model]
                was = getattr(row, name)
                setattr(row, name, now)
                row.save(update_fields=[name])
                self.assert_said(row, was=was)

    def test_save_of_a_row_read_in_part(self):
        for model in KEPT:
            with self.subTest(model=model.__name__):
                made = self.fresh(model)
                made.save()
                name, _, now = WRITES[model]
                row = model.objects.only(name).get(pk=made.pk)
                setattr(row, name, now)
                row.save()
                self.assert_said(made, was=getattr(made, name))

    def test_save_over_a_row_that_is_there(self):
        for model in KEPT:
            with self.subTest(model=model.__name__):
                made = self.fresh(model)
                made.save()
                name, _, now = WRITES[model]
                copy = model(**{field.attname: getattr(made, field.attname) for field in model._meta.concrete_fields})
                setattr(copy, name, now)
                before = getattr(made, name)
                with transaction.atomic():
                    copy.save(force_update=True)
                self.assert_said(made, was=before)

    def test_create_get_or_create_and_update_or_create(self):
        for model in KEPT:
            with self.subTest(model=model.__name__):
                row = self.fresh(model)
                name, _, now = WRITES[model]
                values = {f.name: getattr(row, f.name) for f in model._meta.concrete_fields}
                key = values.pop("uuid")
                model.objects.create(uuid=key, **values)
                self.assert_said(row, CREATE)
                model.objects.get_or_create(uuid=key, defaults=values)
                self.assertEqual(self.lines(row).count(), 1)
                model.objects.update_or_create(uuid=key, defaults={name: now})
                self.assert_said(row, was=values[name])

    def test_get_or_create_makes_a_line_where_it_makes_a_row(self):
        made, _ = Crew.objects.get_or_create(name="East")
        self.assert_said(made, CREATE)
        made, _ = Crew.objects.update_or_create(name="Far", defaults={"retired_at": timezone.now()})
        self.assert_said(made, CREATE)

    def test_delete_is_refused(self):
        for model in MODELS:
            with self.subTest(model=model.__name__):
                row = self.fresh(model)
                row.save()
                with self.assertRaises(NeverDeletedError):
                    row.delete()
                self.assertTrue(model.objects.filter(pk=row.pk).exists())

    def test_what_the_database_alone_would_know_is_refused(self):
        self.crew.name = Upper(F("name"))
        with self.assertRaises(NoTrailError):
            self.crew.save()

    def test_a_write_that_fails_leaves_no_line(self):
        before = LogEntry.objects.count()
        self.crew.name = self.other.name
        with self.assertRaises(IntegrityError):
            self.crew.save()
        self.assertEqual(LogEntry.objects.count(), before)

    def test_nothing_changed_is_nothing_said(self):
        before = LogEntry.objects.count()
        self.crew.save()
        self.assertEqual(LogEntry.objects.count(), before)

    def test_a_record_is_added_with_a_line_and_never_changed(self):
        record = self.fresh(Record)
        record.save()
        self.assert_said(record, CREATE)
        with self.assertRaises(NeverChangedError):
            record.save()
        for write in (
            lambda: Record.objects.update(kind="check"),
            lambda: Record.objects.bulk_update([record], ["kind"]),
            lambda: Record.objects.update_or_create(pk=record.pk, defaults={"kind": "check"}),
            lambda: self.other.records.add(record),
            lambda: Record._base_manager.update(kind="check"),
        ):
            with self.assertRaises(NeverChangedError):
                write()
        self.assertEqual(Record.objects.get().kind, "plan")


class ManyRowsTest(TrailTestCase):
    def rows(self, model, count=2):
        made = [self.fresh(model, number) for number in range(count)]
        for row in made:
            row.save()
        return made

    def free(self, model):
        """A field that every row of a model may have alike, and a value."""
        return {Crew: ("retired_at", "2030-01-02T00:00Z"), Piece: ("note", "seen")}.get(
            model, (WRITES[model][0], WRITES[model][2])
        )

    def test_update(self):
        for model in KEPT:
            with self.subTest(model=model.__name__):
                rows = self.rows(model)
                name, value = self.free(model)
                count = model.objects.filter(pk__in=[row.pk for row in rows]).update(**{name: value})
                self.assertEqual(count, 2)
                for row in rows:
                    self.assertIn(name, self.last(row).changes)
                    self.assertEqual(self.last(row).action, UPDATE)

    def test_update_by_the_manager_that_django_uses_itself(self):
        row = self.rows(Crew, 1)[0]
        Crew._base_manager.filter(pk=row.pk).update(name="West")
        self.assert_said(row, was="East 0")

    def test_update_to_what_the_database_works_out(self):
        row = self.rows(Crew, 1)[0]
        Crew.objects.filter(pk=row.pk).update(name=Upper(F("name")))
        self.assertEqual(self.last(row).changes["name"], ["East 0", "EAST 0"])

    def test_update_of_rows_found_twice_by_a_join(self):
        Membership.objects.create(person=self.ada, crew=self.other, role="trainer")
        found = Person.objects.filter(memberships__role__in=("crew lead", "trainer"), pk=self.ada.pk).distinct()
        self.assertEqual(found.update(name="Ada Moe"), 1)
        self.assertEqual(self.last(self.ada).changes["name"], ["Ada", "Ada Moe"])
        self.assertEqual(self.lines(self.ada).filter(action=UPDATE).count(), 1)

    def test_update_of_the_name_of_a_row_is_refused(self):
        for name in ("pk", "uuid"):
            with self.assertRaises(NoTrailError):
                Crew.objects.filter(pk=self.crew.pk).update(**{name: uuid.uuid4()})

    def test_bulk_create(self):
        for model in MODELS:
            with self.subTest(model=model.__name__):
                made = model.objects.bulk_create([self.fresh(model, number) for number in range(3)], batch_size=2)
                self.assertEqual(len(made), 3)
                for row in made:
                    self.assert_said(row, CREATE)

    def test_bulk_create_over_what_may_be_there_is_refused(self):
        for model in MODELS:
            with self.subTest(model=model.__name__):
                with self.assertRaises(NoTrailError):
                    model.objects.bulk_create([self.fresh(model)], ignore_conflicts=True)
                with self.assertRaises(NoTrailError):
                    model.objects.bulk_create(
                        [self.fresh(model)],
                        update_conflicts=True,
                        update_fields=[WRITES[model][0]],
                        unique_fields=["uuid"],
                    )

    def test_bulk_update(self):
        for model in KEPT:
            with self.subTest(model=model.__name__):
                rows = self.rows(model)
                name, value = self.free(model)
                for row in rows:
                    setattr(row, name, model._meta.get_field(name).to_python(value))
                model.objects.bulk_update(rows, [name], batch_size=1)
                for row in rows:
                    self.assertEqual(self.lines(row).filter(action=UPDATE).count(), 1)
                    self.assertIn(name, self.last(row).changes)

    def test_change_together_is_as_change_of_each(self):
        rows = [
            Piece.objects.create(crew=self.crew, kind="tip", name=f"L-{n}", spec={"bore": "1 mm"}) for n in range(4)
        ]
        with acting(self.ada, "10.0.0.7"):
            for row in rows[:2]:
                row.spec = {"bore": "2 mm"}
                row.change(1, ["spec"])
            fresh = [Piece.objects.get(pk=row.pk) for row in rows[2:]]
            for row in fresh:
                row.spec = {"bore": "2 mm"}
            self.assertTrue(change_together(zip(rows[2:], fresh, strict=True)))
        ends = [self.last(row) for row in rows]
        self.assertEqual(ends[0].changes["version"], [1, 2])
        for end in ends:
            told = (end.action, end.changes, end.actor, end.remote_addr)
            self.assertEqual(told, (UPDATE, ends[0].changes, self.ada, "10.0.0.7"))
        self.assertEqual(set(Piece.objects.filter(name__startswith="L-").values_list("version", flat=True)), {2})

    def test_change_together_saves_none_where_one_was_saved_meanwhile(self):
        rows = [Piece.objects.create(crew=self.crew, kind="tip", name=f"L-{n}") for n in range(3)]
        fresh = [Piece.objects.get(pk=row.pk) for row in rows]
        fresh[0].note = fresh[2].note = "as typed"
        self.assertTrue(Piece.objects.get(pk=rows[2].pk).change(1, ["note"]))
        before = LogEntry.objects.count()
        self.assertFalse(change_together(zip(rows, fresh, strict=True)))
        self.assertEqual(LogEntry.objects.count(), before)
        self.assertFalse(Piece.objects.filter(note="as typed").exists())

    def test_delete_is_refused(self):
        for model in MODELS:
            with self.subTest(model=model.__name__):
                self.fresh(model).save()
                before = model.objects.count()
                for refused in (
                    lambda model=model: model.objects.all().delete(),
                    lambda model=model: model._base_manager.all().delete(),
                    lambda model=model: model.objects.all()._raw_delete("default"),
                    lambda model=model: model._base_manager.all()._raw_delete("default"),
                ):
                    with self.assertRaises(NeverDeletedError), transaction.atomic():
                        refused()
                self.assertEqual(model.objects.count(), before)


class RelatedTest(TrailTestCase):
    def test_create_under_another_row(self):
        made = self.crew.pieces.create(kind="hose", name="H-1")
        self.assert_said(made, CREATE)
        made, _ = self.job.tasks.get_or_create(name="Morning")
        self.assert_said(made, CREATE)
        made, _ = self.job.tasks.update_or_create(name="Morning", defaults={"name": "Noon"})
        self.assert_said(made)

    def test_put_a_row_under_another_row(self):
        for bulk in (True, False):
            piece = Piece.objects.create(crew=self.crew, kind="tip", name=f"T-{bulk}")
            self.other.pieces.add(piece, bulk=bulk)
            told = self.last(piece)
            self.assertEqual((told.action, told.changes["crew"]), (UPDATE, [str(self.crew.pk), str(self.other.pk)]))

    def test_set_remove_and_clear(self):
        unit, other = (Piece.objects.create(crew=self.crew, kind="unit", name=name) for name in ("U-1", "U-2"))
        gauge = Piece.objects.create(crew=self.crew, kind="gauge", name="G-1", on=other)
        unit.carried.set([gauge])
        self.assertEqual(self.last(gauge).changes["on"], [str(other.pk), str(unit.pk)])
        unit.carried.remove(gauge)
        self.assertEqual(self.last(gauge).changes["on"][0], str(unit.pk))
        unit.carried.add(gauge)
        count = self.lines(gauge).count()
        unit.carried.clear()
        self.assertEqual(self.lines(gauge).count(), count + 1)
        unit.carried.set([gauge], clear=True)
        self.assertEqual(self.lines(gauge).count(), count + 2)

    def test_groups_and_permissions_from_either_end(self):
        lookers, others = (Group.objects.create(name=name) for name in ("lookers", "others"))
        right = Permission.objects.first()

        def told():
            change = next(iter(self.last(self.ada).changes.items()))
            return change[0], change[1]["operation"], change[1]["objects"]

        self.ada.groups.add(lookers)
        self.assertEqual(told(), ("groups", "add", ["lookers"]))
        self.ada.groups.remove(lookers)
        self.assertEqual(told(), ("groups", "delete", ["lookers"]))
        self.ada.groups.set([others])
        self.assertEqual(told(), ("groups", "add", ["others"]))
        self.ada.groups.clear()
        self.assertEqual(told(), ("groups", "delete", ["others"]))
        lookers.user_set.add(self.ada)
        self.assertEqual(told(), ("groups", "add", ["lookers"]))
        lookers.user_set.clear()
        self.assertEqual(told(), ("groups", "delete", ["lookers"]))
        self.ada.user_permissions.add(right)
        self.assertEqual(told(), ("user_permissions", "add", [str(right)]))


class FixtureTest(TrailTestCase):
    def load(self, rows):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "rows.json"
            path.write_text(serializers.serialize("json", rows))
            call_command("loaddata", str(path), verbosity=0)

    def test_rows_that_are_new(self):
        for model in MODELS:
            with self.subTest(model=model.__name__):
                row = self.fresh(model)
                row.changed_at = row.added_at = timezone.now()
                self.load([row])
                self.assert_said(row, CREATE)

    def test_rows_that_are_there(self):
        for model in KEPT:
            with self.subTest(model=model.__name__):
                row = self.fresh(model)
                row.save()
                name, _, now = WRITES[model]
                was = getattr(row, name)
                setattr(row, name, now)
                self.load([row])
                self.assert_said(row, was=was)

    def test_a_record_that_is_there_is_refused(self):
        record = self.fresh(Record)
        record.save()
        record.kind = "check"
        with self.assertRaises(IntegrityError), transaction.atomic():
            self.load([record])
        self.assertEqual(Record.objects.get().kind, "plan")
        self.assertEqual(self.lines(record).count(), 1)


class AsyncTest(TrailTestCase):
    def test_the_asynchronous_twins(self):
        made = async_to_sync(self.write)()
        for row in made:
            self.assert_said(row, CREATE)
            self.assertEqual({line.actor for line in self.lines(row)}, {self.ada})
        updates = [self.lines(row).filter(action=UPDATE).count() for row in made]
        self.assertEqual(updates, [2, 2, 2])

    async def write(self):
        with acting(self.ada):
            one = await Crew.objects.acreate(name="A")
            (two,) = await Crew.objects.abulk_create([Crew(name="B")])
            three, _ = await Crew.objects.aget_or_create(name="C")
            for row in (one, two, three):
                row.name += "1"
            await one.asave()
            await Crew.objects.abulk_update([two], ["name"])
            await Crew.objects.aupdate_or_create(pk=three.pk, defaults={"name": "C1"})
            await Crew.objects.filter(name__in=("A1", "B1", "C1")).aupdate(retired_at=timezone.now())
            for refused in (one.adelete(), Crew.objects.all().adelete()):
                with self.assertRaises(NeverDeletedError):
                    await refused
            with self.assertRaises(NoTrailError):
                await Crew.objects.abulk_create([Crew(name="D")], ignore_conflicts=True)
            await asyncio.sleep(0)
        return one, two, three


class WhoTest(TrailTestCase):
    def test_through_a_page_it_is_who_entered_and_from_where(self):
        typed = {"name": "Ada Moe", "language": "en", "units": "si", "version": "1"}
        self.as_(self.ada).post("/people/me/", typed, REMOTE_ADDR="10.0.0.7", headers={"X-Forwarded-For": "6.6.6.6"})
        told = self.last(self.ada)
        self.assertEqual((told.actor, told.remote_addr), (self.ada, "10.0.0.7"))
        self.assertEqual(told.changes["name"], ["Ada", "Ada Moe"])

    def test_an_address_that_is_none_is_not_kept(self):
        with acting(self.ada, "unix:"):
            self.crew.name = "Norther"
            self.crew.save()
        self.assertIsNone(self.last(self.crew).remote_addr)

    def test_after_a_page_nobody_acts(self):
        self.as_(self.ada).get("/people/")
        self.crew.name = "Norther"
        self.crew.save()
        self.assertIsNone(self.last(self.crew).actor)

    def test_through_the_administrators_pages(self):
        browser = self.as_(self.zoe)
        browser.post(reverse("admin:people_crew_add"), {"name": "East"})
        made = Crew.objects.get(name="East")
        self.assert_said(made, CREATE)
        browser.post(reverse("admin:people_crew_change", args=[made.pk]), {"name": "West"})
        self.assert_said(made)
        self.assertEqual({line.actor for line in self.lines(made)}, {self.zoe})
        row = Membership.objects.get(person=self.olu)
        typed = {
            "person": self.olu.pk,
            "crew": self.crew.pk,
            "role": "reader",
            "since_0": "2026-01-01",
            "since_1": "12:00",
        }
        browser.post(reverse("admin:people_membership_change", args=[row.pk]), typed)
        self.assertEqual(self.last(row).changes["role"], ["operator", "reader"])
        self.assertEqual(self.last(row).actor, self.zoe)


class SecretTest(TrailTestCase):
    def test_that_a_secret_changed_is_said_and_not_to_what(self):
        self.assertEqual(SECRET, {Person: ["password", "pin"], Device: ["token"], FirstLink: ["digest"]})
        person = self.fresh(Person)
        person.set_password("Nine herons wade")
        person.set_pin("4711")
        person.save()
        rows = [person, self.fresh(Device), self.fresh(FirstLink)]
        for row in rows[1:]:
            row.save()
        Person.objects.filter(pk=person.pk).update(pin="plain")
        Device.objects.bulk_create([Device(token="plain token")])
        kept = json.dumps(list(LogEntry.objects.values_list("changes", flat=True)))
        for secret in (person.password, person.pin, "plain", rows[1].token, rows[2].digest):
            for start in range(0, len(secret) - 4, 4):
                self.assertNotIn(secret[start : start + 12], kept)
        self.assertEqual(self.last(person).changes, {"pin": ["***", "***"]})


class TheTrailItselfTest(TrailTestCase):
    def test_a_line_is_never_changed_or_deleted(self):
        line = LogEntry.objects.first()
        line.object_repr = "another"
        with self.assertRaises(NoTrailError):
            line.save()
        for refused in (
            line.delete,
            LogEntry.objects.all().delete,
            LogEntry.objects.filter(pk=line.pk).delete,
            lambda: call_command("auditlogflush", yes=True, stdout=io.StringIO()),
        ):
            with self.assertRaises(NeverDeletedError), transaction.atomic():
                refused()

    def test_not_by_an_administrator_either(self):
        browser, line = self.as_(self.zoe), LogEntry.objects.first()
        for act in ("change", "delete"):
            address = reverse(f"admin:auditlog_logentry_{act}", args=[line.pk])
            self.assertEqual(browser.post(address, {"object_repr": "x", "post": "yes"}).status_code, 403)
        self.assertEqual(browser.post(reverse("admin:auditlog_logentry_add"), {}).status_code, 403)

    def test_a_line_names_fields_and_nothing_else(self):
        names = set(self.lines(self.ada).first().changes)
        self.assertEqual(names - {field.name for field in Person._meta.concrete_fields}, set())
        self.assertIn("username", names)


PAGES = pathlib.Path(jetwright.web.__file__).parent
AROUND = {
    "_raw_delete",
    "_base_manager",
    "through",
    "cursor",
    "raw",
    "disable_auditlog",
    "save_base",
    "_update",
    "_insert",
}
MAY = {  # the file → why
    "trail.py": "is the trail",
    "restore.py": "puts rows back together with their trail",
    "backup.py": "only reads",
    "sessions.py": "sets how long a connection waits",
    "throttle.py": "takes a lock of the database server",
    "naming.py": "takes one, too",
}


@pytest.mark.any_database
@pytest.mark.parametrize("path", sorted(PAGES.rglob("*.py")), ids=lambda path: str(path.relative_to(PAGES)))
def test_no_page_writes_around_the_trail(path):
    """Raw statements and Django's inner doors would leave no line."""
    if path.name in MAY or "migrations" in path.parts:
        return
    used = {node.attr for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Attribute)}
    assert used & AROUND == set()
