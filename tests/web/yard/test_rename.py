"""Renaming a piece that tasks name: asked first, done in one act with its trail, or not at all."""

from auditlog.models import LogEntry

from jetwright.web.jobs.models import Job, Task
from jetwright.web.yard.models import Piece
from tests.web.crew import CrewTestCase
from tests.web.yard.pieces import stock


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

    def test_one_that_is_retired_has_no_uses_though_a_live_one_has_its_name(self):
        old = Piece.objects.create(
            crew=self.crew, kind="hose", name="S8-20", spec=self.hose.spec, retired_at="2026-05-12T00:00:00Z"
        )
        self.assertEqual(self.post("S8-20 old", piece=old, rename="too").status_code, 302)
        self.assertEqual(self.kept(old).name, "S8-20 old")
        self.assertEqual(self.kept(self.by_gun).spec, self.by_gun.spec)

    def test_a_kit_that_moves_in_the_same_act_is_named_by_the_unit_it_sat_on(self):
        first = self.pieces["Heron 2"]
        second = Piece.objects.create(crew=self.crew, kind="unit", name="Heron 9", spec={})
        facts = {"plunger_diameter": "36 mm", "rating": "1000 bar"}
        Piece.objects.create(crew=self.crew, kind="kit", name="P36", on=second, spec=facts)
        moved = Piece.objects.create(crew=self.crew, kind="kit", name="P36", on=first, spec=facts)
        for unit in (first, second):
            unit.spec = {**unit.spec, "pump": {"kit": "P36"}}
            unit.save()
        told = {"version": moved.version, "name": "P36-2", "on": str(second.pk), "rename": "too"}
        told |= {f"spec-{key}": value for key, value in facts.items()}
        self.assertEqual(self.as_(self.ada).post(f"/yard/{moved.pk}/change/", told).status_code, 302)
        self.assertEqual(self.kept(second).spec["pump"], {"kit": "P36"})

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
