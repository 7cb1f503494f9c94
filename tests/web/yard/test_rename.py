"""Renaming a piece that tasks name: asked first, done in one act with its trail, or not at all."""

import datetime
import re
from html import unescape

from auditlog.models import LogEntry

from jetwright.actions.plan import plan_read
from jetwright.actions.renamed import stands_with
from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.written import read_alone
from jetwright.web.yard.models import Piece
from tests.web.crew import CrewTestCase
from tests.web.yard.pieces import stock

DAY = datetime.date(2026, 5, 12)


class RenameTest(CrewTestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.pieces = stock(cls.crew)
        cls.hose = cls.pieces["S8-20"]
        job = Job.objects.create(crew=cls.crew, name="North rack", unit=cls.pieces["Heron 2"])
        run = {"hose_run": ["S8-20", "reducer", "S8-20"], "tool": "gun"}
        cls.by_gun = Task.objects.create(job=job, name="By gun", spec=run)
        branches = [{"hose_run": ["S8-20"], "tool": "gun"}, {"tool": "other"}]
        cls.by_two = Task.objects.create(job=job, name="By two", place=1, spec={"branches": branches})
        cls.without = Task.objects.create(job=job, name="Without", place=2, spec={"hose_run": ["reducer"]})

    def post(self, name="S8-21", who=None, piece=None, **fields):
        piece = piece or self.hose
        told = {"version": piece.version, "name": name, "spec-bore": "8 mm", "spec-length": "20 m"} | fields
        return self.as_(who or self.ada).post(f"/yard/{piece.pk}/change/", told)

    def kept(self, row):
        return type(row).objects.get(pk=row.pk)

    def test_it_is_asked_first_and_nothing_is_saved(self):
        before = LogEntry.objects.filter(content_type__model__in=["piece", "task"]).count()
        answer = self.post(note="typed")
        for words in ("North rack", "By gun; By two", "Rename it there too", "Keep the old name"):
            self.assertContains(answer, words, status_code=422)
        self.assertContains(answer, 'value="S8-21"', status_code=422)  # what was typed stays
        self.assertContains(answer, 'value="typed"', status_code=422)
        self.assertEqual(self.kept(self.hose).name, "S8-20")
        self.assertEqual(LogEntry.objects.filter(content_type__model__in=["piece", "task"]).count(), before)

    def test_it_is_renamed_in_those_tasks_too_each_with_its_trail(self):
        self.assertEqual(self.post(rename="too", note="typed").status_code, 302)
        self.assertEqual((self.kept(self.hose).name, self.kept(self.hose).note), ("S8-21", "typed"))
        self.assertEqual(self.kept(self.by_gun).spec["hose_run"], ["S8-21", "reducer", "S8-21"])
        branches = [{"hose_run": ["S8-21"], "tool": "gun"}, {"tool": "other"}]
        self.assertEqual(self.kept(self.by_two).spec["branches"], branches)
        self.assertEqual(self.kept(self.without).version, self.without.version)
        for row in (self.hose, self.by_gun, self.by_two):
            last = LogEntry.objects.get_for_object(row).first()
            self.assertEqual((last.action, last.actor), (LogEntry.Action.UPDATE, self.ada))

    def test_the_old_name_is_kept_and_what_else_was_typed_is_saved(self):
        self.assertEqual(self.post(rename="not", note="typed").status_code, 302)
        self.assertEqual((self.kept(self.hose).name, self.kept(self.hose).note), ("S8-20", "typed"))
        self.assertEqual(self.kept(self.by_gun).spec, self.by_gun.spec)

    def test_a_name_that_nobody_uses_is_changed_at_once(self):
        Task.objects.update(retired_at="2026-05-12T00:00:00Z")
        self.assertEqual(self.post().status_code, 302)
        self.assertEqual(self.kept(self.hose).name, "S8-21")

    def test_a_tool_is_renamed_at_each_branch(self):
        gun = self.pieces["gun"]
        fields = {"spec-kind": "hand lance", "spec-release": "none", "spec-ports-0-tip": "L11", "rename": "too"}
        self.assertEqual(self.post("gun 2", piece=gun, **fields).status_code, 302)
        self.assertEqual(self.kept(self.by_gun).spec["tool"], "gun 2")
        self.assertEqual([run["tool"] for run in self.kept(self.by_two).spec["branches"]], ["gun 2", "other"])

    def test_a_tip_is_renamed_in_the_tool_that_it_is_in(self):
        tip = self.pieces["L11"]
        fields = {"spec-bore": "1.1 mm", "spec-inlet": "rounded"}
        self.assertContains(self.post("L11 new", piece=tip, **fields), ">gun</a>", status_code=422)
        self.assertEqual(self.post("L11 new", self.mia, tip, rename="too", **fields).status_code, 302)
        self.assertEqual(self.kept(self.pieces["gun"]).spec["ports"][0]["tip"], "L11 new")
        self.assertEqual(self.kept(self.by_gun).version, self.by_gun.version)

    def test_a_kit_is_renamed_in_its_unit(self):
        unit = self.pieces["Heron 2"]
        spec = {"plunger_diameter": "32 mm", "rating": "1000 bar"}
        kit = Piece.objects.create(crew=self.crew, kind="kit", name="P32", on=unit, spec=spec)
        fields = {"spec-plunger_diameter": "32 mm", "spec-rating": "1000 bar", "on": str(unit.pk)}
        self.assertEqual(self.post("P32", piece=kit, **fields).status_code, 302)
        unit.spec = unit.spec | {"pump": unit.spec["pump"] | {"kit": "P32"}}
        unit.change(unit.version, ["spec"])
        kit = self.kept(kit)
        self.assertContains(self.post("P33", piece=kit, **fields), ">Heron 2</a>", status_code=422)
        self.assertEqual(self.post("P33", piece=kit, rename="too", **fields).status_code, 302)
        self.assertEqual(self.kept(unit).spec["pump"]["kit"], "P33")

    def test_a_unit_is_named_by_its_row_and_may_be_called_anything(self):
        form = {"spec-drive-kind": "hydrostatic", "spec-drive-top_ratio": "0.28", "spec-pump-flow_per_turn": "0.25 L",
                "spec-pump-start_speed": "110 rpm", "spec-pump-top_speed": "460 rpm", "spec-pump-rating": "1000 bar",
                "spec-bypass-kind": "hand-set", "spec-bypass-full_open_area": "24 mm2",
                "spec-bypass-returns_to": "tank"}  # fmt: skip
        self.assertEqual(self.post("Heron 3", piece=self.pieces["Heron 2"], **form).status_code, 302)

    def test_who_does_not_plan_renames_in_no_task(self):
        answer = self.post(who=self.mia)
        self.assertNotContains(answer, "Rename it there too", status_code=422)
        self.assertContains(answer, "Keep the old name", status_code=422)
        self.assertEqual(self.post(who=self.mia, rename="too").status_code, 403)
        self.assertEqual(self.kept(self.hose).name, "S8-20")
        self.assertEqual(self.post(who=self.mia, rename="not").status_code, 302)

    def test_who_comes_second_renames_nothing(self):
        self.post("S8-20", note="first")
        self.assertEqual(self.post(rename="too").status_code, 409)
        self.assertEqual(self.kept(self.hose).name, "S8-20")
        self.assertEqual(self.kept(self.by_gun).spec, self.by_gun.spec)

    def test_rights(self):
        for act in ("too", "not"):
            self.assertEqual(self.post(who=self.rae, rename=act).status_code, 403)
            self.assertEqual(self.post(who=self.bo, rename=act).status_code, 404)
            told = self.client.post(f"/yard/{self.hose.pk}/change/", {"rename": act})
            self.assertIn("/people/enter/", told.url)


class ReadingsTest(CrewTestCase):
    """A reading that was of a rig stays so when a piece of the rig gets another name and is the same."""

    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.pieces = stock(cls.crew)
        cls.unit = cls.pieces["Heron 2"]
        kit = {"plunger_diameter": "32 mm", "rating": "1000 bar"}
        cls.pieces["P32"] = Piece.objects.create(crew=cls.crew, kind="kit", name="P32", on=cls.unit, spec=kit)
        size = {"plungers": 3, "stroke": "80 mm", "kit": "P32"}
        pump = {key: value for key, value in cls.unit.spec["pump"].items() if key != "flow_per_turn"}
        cls.unit.spec = cls.unit.spec | {"pump": pump | size}
        cls.unit.save()
        supply = {"pressure": "3 bar", "flow": "5000 L/min", "temperature": "15 degC"}
        cls.job = Job.objects.create(crew=cls.crew, name="Rack", unit=cls.unit, day=DAY, spec={"supply": supply})
        rig = {"hose_run": ["S8-20", "reducer"], "tool": "gun", "target": {"nozzle_pressure": "500 bar"}}
        cls.task = Task.objects.create(job=cls.job, name="By gun", spec=rig)
        Task.objects.create(job=cls.job, name="Not said", place=1, spec={"tool": "gone"})
        of_it = {"task": "By gun", "pump_speed": "120 rpm", "gauge": "515 bar"}
        cls.taken_with = stands_with(read_alone(cls.task))
        told = [("2026-05-12", cls.taken_with), ("2026-05-11", "tip 0000 hose 0000 kit 0000 gauge 0000")]
        readings = [of_it | {"day": day, "taken_with": taken} for day, taken in told]
        cls.job.spec = cls.job.spec | {"reading": [*readings, of_it | {"day": "2026-05-10"}]}
        cls.job.save()

    def rename(self, piece, who=None, **fields):
        """Under another name, all else as the form shows it."""
        page = self.as_(who or self.ada).get(f"/yard/{piece.pk}/change/").content.decode()
        told = {}
        for tag in re.findall("<input [^>]*>", page):
            facts = {name: unescape(value) for name, value in re.findall(r'([\w-]+)="([^"]*)"', tag)}
            told[facts.get("name", "")] = facts.get("value", "")
        for name, rows in re.findall('<select [^>]*name="([^"]+)"[^>]*>(.*?)</select>', page, re.DOTALL):
            if not name.endswith("-unit"):
                told[name] = "".join(re.findall('<option value="([^"]*)" selected', rows))
        for name, text in re.findall('<textarea [^>]*name="([^"]+)"[^>]*>([^<]*)', page):
            told[name] = unescape(text)
        told |= {"name": f"{piece.name} new", "rename": "too"} | fields
        return self.as_(who or self.ada).post(f"/yard/{piece.pk}/change/", told)

    def readings(self):
        return Job.objects.get(pk=self.job.pk).spec["reading"]

    def expired(self):
        """What the plan says is no longer as it was when the reading of the day was taken."""
        return plan_read(read_alone(Task.objects.get(pk=self.task.pk)), cures=False).tasks[0].fit.expired

    def test_before_anything_is_renamed_the_reading_holds(self):
        self.assertEqual(self.expired(), ())

    def test_whatever_is_renamed_the_reading_is_of_the_same_rig(self):
        for name in ("S8-20", "reducer", "gun", "L11", "P32", "Heron 2"):
            before = stands_with(read_alone(Task.objects.get(pk=self.task.pk)))
            answer = self.rename(Piece.objects.get(pk=self.pieces[name].pk))
            self.assertEqual(answer.status_code, 302, name)
            after = stands_with(read_alone(Task.objects.get(pk=self.task.pk)))
            self.assertNotEqual(before, after, name)
            self.assertEqual(self.readings()[0]["taken_with"], after, name)
            self.assertEqual(self.expired(), (), name)

    def test_one_of_another_rig_and_one_that_does_not_say_stay_as_they_are(self):
        kept = self.readings()[1:]
        self.assertEqual(self.rename(self.pieces["S8-20"]).status_code, 302)
        self.assertEqual(self.readings()[1:], kept)

    def test_it_is_kept_with_who_did_it(self):
        self.rename(self.pieces["L11"], self.mia)
        last = LogEntry.objects.get_for_object(self.job).first()
        self.assertEqual((last.action, last.actor), (LogEntry.Action.UPDATE, self.mia))

    def test_what_is_changed_in_the_same_act_makes_it_another_rig(self):
        self.assertEqual(self.rename(self.pieces["S8-20"], **{"spec-length": "10 m"}).status_code, 302)
        self.assertEqual(self.expired(), ("hose",))

    def test_another_piece_in_its_place_is_another_rig(self):
        hose = self.pieces["S8-20"]
        Piece.objects.create(crew=self.crew, kind="hose", name="S8-20/2", spec=hose.spec)
        self.task.spec = self.task.spec | {"hose_run": ["S8-20/2", "reducer"]}
        self.task.save()
        self.assertEqual(self.expired(), ("hose",))

    def test_keeping_the_old_name_changes_no_reading(self):
        before = self.readings()
        self.assertEqual(self.rename(self.pieces["S8-20"], rename="not", note="typed").status_code, 302)
        self.assertEqual(self.readings(), before)
