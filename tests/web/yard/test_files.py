"""The yard as files: out and in again without loss, looked at first, all or nothing."""

import html
import re
import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection

from jetwright.files.job import read_job
from jetwright.web.yard.arriving import MOST_BYTES, arrivals
from jetwright.web.yard.models import KINDS, Piece
from jetwright.web.yard.tables import unit_table
from tests.web.crew import CrewTestCase
from tests.web.seen import words_on
from tests.web.yard.pieces import stock

YARD = """
[unit]
name = "Heron 2"
drive = { kind = "hydrostatic", top_ratio = 0.3 }
pump = { flow_per_turn = "0.25 L", start_speed = "110 rpm", top_speed = "460 rpm", rating = "1000 bar" }
bypass = { kind = "hand-set", full_open_area = "24 mm2", returns_to = "tank" }
relief = [{ set = "1040 bar", tested = 2026-06-01 }]

[hoses."S8-20"]
bore = "8 mm"
length = "20 m"
rating = "1400 bar"
tested = 2026-02-24
count = 6

[hoses.W13]
bore = "13 mm"
length = "20 m"
"""


class FilesTestCase(CrewTestCase):
    def read(self, text, kind="toml", who=None, crew=None):
        raw = text if isinstance(text, bytes) else text.encode()
        fields = {"crew": (crew or self.crew).pk, "kind": kind, "file": SimpleUploadedFile("f", raw)}
        return self.as_(who or self.ada).post("/yard/files/read/", fields)

    def put(self, looked_at, who=None, **fields):
        page = looked_at.content.decode()
        hidden = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', page, re.DOTALL))
        told = {name: html.unescape(value) for name, value in hidden.items() if name != "csrfmiddlewaretoken"}
        return self.as_(who or self.ada).post("/yard/files/put/", told | fields)


class TomlTest(FilesTestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.pieces = stock(cls.crew)

    def out(self, crew, unit):
        return self.as_(self.zoe).get(f"/yard/files/yard.toml?crew={crew.pk}&unit={unit.pk}").content.decode()

    def test_out_is_a_yard_file_that_a_job_file_can_name(self):
        text = self.out(self.crew, self.pieces["Heron 2"])
        self.assertEqual(tomllib.loads(text)["unit"]["gauge"], {"full_scale": "1600 bar"})
        with TemporaryDirectory() as folder:
            Path(folder, "yard.toml").write_text(text)
            job = 'title = "T"\nyard = "yard.toml"\n[supply]\npressure = "3 bar"\nflow = "200 L/min"\n'
            job += 'temperature = "15 degC"\n[[task]]\nname = "One"\ntool = "gun"\nhose_run = ["S8-20"]\n'
            job += 'target = { pump_pressure = "500 bar" }\n'
            Path(folder, "job.toml").write_text(job)
            self.assertEqual(read_job(Path(folder, "job.toml")).job.unit.name, "Heron 2")

    def test_out_and_into_another_yard_is_the_same(self):
        text = self.out(self.crew, self.pieces["Heron 2"])
        self.assertEqual(self.put(self.read(text, who=self.bo, crew=self.other), self.bo).status_code, 302)
        unit = Piece.objects.get(crew=self.other, kind="unit")
        self.assertEqual(self.out(self.other, unit), text)

    def test_what_comes_back_unchanged_is_left(self):
        text = self.out(self.crew, self.pieces["Heron 2"])
        found = arrivals(self.crew, "toml", text)
        self.assertEqual({one.act for one in found.pieces}, {"leave"})
        self.assertEqual(len(found.pieces), len(self.pieces))

    def test_what_it_would_do_is_said_field_by_field_and_nothing_is_written(self):
        answer = self.read(YARD)
        self.assertContains(answer, "Most pump turns for an engine turn: 0.28 → 0.3")
        self.assertIn("Day of the certificate: 2026-01-19 → 2026-06-01", words_on(answer))
        self.assertContains(answer, "W13")
        self.assertContains(answer, "Engine: Full-load power")
        self.assertEqual(Piece.objects.count(), len(self.pieces))

    def test_a_second_act_writes_it(self):
        self.assertEqual(self.put(self.read(YARD)).status_code, 302)
        unit = Piece.objects.get(kind="unit")
        self.assertEqual(unit.spec["drive"]["top_ratio"], 0.3)
        self.assertEqual(unit.serial, "H-204")
        self.assertEqual(Piece.objects.get(name="RV 3").tested.isoformat(), "2026-06-01")
        self.assertEqual(Piece.objects.get(name="Gauge 7").on, unit)
        self.assertEqual(unit_table(unit, unit.carried.all())["relief"][0]["set"], "1040 bar")

    def test_a_yard_that_changed_meanwhile_is_looked_at_again(self):
        looked_at = self.read(YARD)
        Piece.objects.filter(name="S8-20").update(spec={"bore": "8 mm", "length": "10 m"})
        answer = self.put(looked_at)
        self.assertEqual(answer.status_code, 409)
        self.assertIn("Length: 10 m → 20 m", words_on(answer))
        self.assertFalse(Piece.objects.filter(name="W13").exists())
        self.assertEqual(self.put(answer).status_code, 302)

    def test_each_problem_is_named_with_its_line(self):
        answer = self.read(YARD.replace('"13 mm"', '"13"').replace('"tank"', '"tonk"') + "[tools.x]\nboar = 1\n")
        self.assertContains(answer, "yard.toml:17: W13: Bore: “13”: a unit is missing", status_code=422)
        self.assertContains(answer, "did you mean “tank”?", status_code=422)
        self.assertContains(answer, "x: “boar”: nothing is called so here; did you mean “bore”?", status_code=422)

    def test_what_is_no_yard_file_is_refused(self):
        for text, words in (
            ("a = [", "yard.toml:1"),
            ("[[task]]\nname = 'x'\n", "does not belong in a yard file"),
            (b"\xff\xfe", "not UTF-8"),
            ("a" * (MOST_BYTES + 1), "too large"),
            ("x = '\0'", "not a text file"),
            ("unit = 3", "unit"),
            ("hoses = [1]", "yard.toml:1: Hoses: "),
        ):
            self.assertContains(self.read(text), words, status_code=422)

    def test_restraints_are_said_to_stay_out(self):
        self.assertContains(self.read(YARD + "[restraints]\nshrouds = 3\n"), "not kept in the yard")

    def test_a_name_no_tag_holds_is_refused(self):
        answer = self.read(f'[hoses."{"x" * 81}"]\nbore = "8 mm"\nlength = "1 m"\n')
        self.assertContains(answer, "at most 80 signs", status_code=422)

    def test_a_hose_named_like_a_fitting_of_the_yard_is_refused(self):
        answer = self.read('[hoses.reducer]\nbore = "8 mm"\nlength = "1 m"\n')
        self.assertContains(answer, "a hose and a fitting share the name", status_code=422)


class CsvTest(FilesTestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.pieces = stock(cls.crew)
        Piece.objects.create(
            crew=cls.crew, kind="hose", name="S8-20", spec={"bore": "8 mm", "length": "19 m"},
            retired_at="2026-01-02T12:00:00Z", retired_why="=HYPERLINK(1)", note="'quoted", serial="-1+2",
        )  # fmt: skip

    def out(self, kind, crew=None):
        return self.as_(self.zoe).get(f"/yard/files/{kind}.csv?crew={(crew or self.crew).pk}").content.decode()

    def test_what_comes_back_unchanged_is_left(self):
        for kind in KINDS:
            found = arrivals(self.crew, kind, self.out(kind))
            self.assertEqual(found.wrong, [])
            self.assertEqual({one.act for one in found.pieces} - {"leave"}, set(), kind)
            self.assertEqual(len(found.pieces), Piece.objects.filter(kind=kind).count())

    def test_out_and_into_another_yard_is_the_same(self):
        for kind in ("unit", "kit", "gauge", "relief", "hose", "fitting", "tip", "tool"):
            looked_at = self.read(self.out(kind), kind, self.bo, self.other)
            self.assertEqual(looked_at.status_code, 200, kind)
            if b"yard/files/put/" in looked_at.content:
                self.assertEqual(self.put(looked_at, self.bo).status_code, 302, kind)
            self.assertEqual(self.out(kind, self.other), self.out(kind), kind)

    def test_no_cell_out_is_a_formula(self):
        text = self.out("hose")
        self.assertIn(",'=HYPERLINK(1)", text)
        self.assertIn(",''quoted", text)
        self.assertTrue(text.startswith("\ufeff"))

    def test_a_cell_that_is_changed_changes_the_piece(self):
        answer = self.read(self.out("hose").replace("1400 bar", "1300 bar"), "hose")
        self.assertIn("1400 bar → 1300 bar", words_on(answer))
        self.assertEqual(self.put(answer).status_code, 302)
        self.assertEqual(Piece.objects.get(name="S8-20", retired_at=None).spec["rating"], "1300 bar")

    def test_a_yard_that_changes_while_the_file_is_read_is_looked_at_again(self):
        looked_at = self.read(self.out("tool").replace("gun,,", "gun,G-1,"), "tool")
        gun, asked = self.pieces["gun"], []

        def somebody_saves(execute, sql, params, many, context):
            """Between the look at the yard and the transaction that writes into it."""
            if asked and sql.startswith("SAVEPOINT"):
                asked.clear()
                gun.note = "worn"
                gun.change(1, ["note"])
            elif sql.startswith("SELECT") and "yard_piece" in sql and gun.note == "":
                asked.append(sql)
            return execute(sql, params, many, context)

        with connection.execute_wrapper(somebody_saves):
            answer = self.put(looked_at)
        self.assertEqual(answer.status_code, 409)
        gun.refresh_from_db()
        self.assertEqual((gun.serial, gun.note), ("", "worn"))
        self.assertEqual(self.put(answer).status_code, 302)
        gun.refresh_from_db()
        self.assertEqual((gun.serial, gun.note), ("G-1", ""))  # as was looked at then

    def test_each_refused_cell_is_named_by_row_and_column(self):
        text = "name,bore,length,count,tested,retired,on\nA,8,20 m,1,2026-02-30,,\n,8 mm,20 m,x,,soon,Heron 2\n"
        answer = self.read(text, "hose")
        for words in (
            "row 2, column “bore”: “8”: a unit is missing",
            "row 2, column “tested”",
            "row 3, column “name”",
            "row 3, column “count”",
            "row 3, column “retired”",
            "row 3, column “on”: it sits on no unit",
        ):
            self.assertContains(answer, words, status_code=422)
        self.assertContains(self.read("name,boar\nA,1\n", "hose"), "row 1, column “boar”", status_code=422)

    def test_a_name_twice_is_refused(self):
        text = "name,bore,length\nA,8 mm,20 m\nA,8 mm,20 m\n"
        self.assertContains(self.read(text, "hose"), "row 3, column “name”", status_code=422)

    def test_a_gauge_comes_to_sit_on_its_unit(self):
        Piece.objects.filter(name="Gauge 7").update(on=None)
        answer = self.read("name,on,full_scale\nGauge 7,Heron 2,1600 bar\n", "gauge")
        self.assertEqual(self.put(answer).status_code, 302)
        self.assertEqual(Piece.objects.filter(name="Gauge 7", on=None).count(), 1)
        self.assertEqual(Piece.objects.get(name="Gauge 7", on__isnull=False).on.name, "Heron 2")

    def test_what_sits_on_a_retired_unit_is_left_there(self):
        Piece.objects.filter(name="Heron 2").update(retired_at="2026-01-02T12:00:00Z")
        found = arrivals(self.crew, "gauge", self.out("gauge"))
        self.assertEqual((found.wrong, [one.act for one in found.pieces]), ([], ["leave"]))

    def test_a_row_can_retire_a_piece(self):
        answer = self.read("name,bore,retired,retired_why\nreducer,8 mm,2026-05-01,cracked\n", "fitting")
        self.put(answer)
        self.assertEqual(Piece.objects.get(name="reducer").retired_why, "cracked")


class RightsTest(FilesTestCase):
    def test_rights(self):
        self.assertEqual(self.read(YARD, who=self.rae).status_code, 403)
        self.assertEqual(self.read(YARD, who=self.bo).status_code, 404)
        looked_at = self.read(YARD)
        self.assertEqual(self.put(looked_at, self.rae).status_code, 403)
        self.assertEqual(self.put(looked_at, self.bo).status_code, 404)
        for act in ("read", "put"):
            self.assertEqual(self.as_(self.ada).get(f"/yard/files/{act}/").status_code, 405)
            self.assertEqual(self.client.post(f"/yard/files/{act}/").status_code, 302)
        self.assertEqual(Piece.objects.count(), 0)

    def test_a_post_without_a_file_or_kind_is_refused(self):
        client = self.as_(self.ada)
        told = {"crew": self.crew.pk}
        self.assertEqual(client.post("/yard/files/read/", told).status_code, 422)
        self.assertEqual(client.post("/yard/files/read/", told | {"kind": "toml"}).status_code, 422)
        self.assertEqual(client.post("/yard/files/put/", told | {"kind": "x"}).status_code, 422)
        self.assertEqual(client.get("/yard/files/engine.csv").status_code, 404)
        self.assertEqual(client.get("/yard/files/yard.toml?unit=x").status_code, 404)
