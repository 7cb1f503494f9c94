"""Writing a new piece into the yard, and changing one."""

from django.db import IntegrityError, transaction

from jetwright.web.yard.forms import PieceForm
from jetwright.web.yard.models import KINDS, Piece
from tests.web.crew import CrewTestCase
from tests.web.seen import words_on
from tests.web.yard.pieces import stock

HOSE = {"name": "R8-20", "spec-bore": "8 mm", "spec-length": "20 m", "spec-rating": "14500", "spec-rating-unit": "psi"}


class NewTest(CrewTestCase):
    def post(self, who=None, kind="hose", **fields):
        return self.as_(who or self.ada).post(f"/yard/new/{kind}/", HOSE | {"crew": self.crew.pk} | fields)

    def test_every_kind_has_a_form(self):
        for kind in KINDS:
            self.assertContains(self.as_(self.mia).get(f"/yard/new/{kind}/"), "<h1>New ")

    def test_an_unknown_kind_is_not_found(self):
        self.assertEqual(self.as_(self.ada).get("/yard/new/engine/").status_code, 404)

    def test_what_was_typed_is_what_is_kept(self):
        answer = self.post()
        piece = Piece.objects.get()
        self.assertEqual(answer.url, f"/yard/{piece.pk}/")
        self.assertEqual(piece.spec, {"bore": "8 mm", "length": "20 m", "rating": "14500 psi"})

    def test_a_day_is_kept_for_the_lists(self):
        self.post(**{"spec-tested": "2026-03-02"})
        self.assertEqual(Piece.objects.get().tested.isoformat(), "2026-03-02")

    def test_every_problem_is_said_at_once_and_what_was_typed_stays(self):
        answer = self.post(**{"spec-bore": "8", "spec-length": "2,5 m", "spec-count": "1.5", "spec-tails-bore": "6 mm"})
        self.assertContains(answer, "a unit is missing", status_code=422)
        self.assertIn("“2.5 m” or “25 m”", words_on(answer))
        self.assertContains(answer, "a whole number belongs here", status_code=422)
        self.assertContains(answer, "missing, and it is needed; accepted: mm", status_code=422)
        self.assertContains(answer, 'value="2,5 m"', status_code=422)
        self.assertEqual(Piece.objects.count(), 0)

    def test_a_tip_is_judged_as_in_a_file(self):
        answer = self.post(kind="tip", **{"spec-bore": "1 mm"})
        self.assertContains(
            answer, "say the shape of the inlet, or write a measured discharge coefficient", status_code=422
        )

    def test_a_name_is_there_once(self):
        self.post()
        self.assertContains(self.post(), "there is one of this name", status_code=422)

    def test_a_hose_and_a_fitting_share_no_name(self):
        self.post()
        answer = self.post(kind="fitting")
        self.assertContains(answer, "a hose and a fitting share the name", status_code=422)

    def test_nor_can_the_database_hold_both(self):
        self.post()
        with self.assertRaises(IntegrityError), transaction.atomic():
            Piece.objects.create(crew=self.crew, kind="fitting", name="R8-20", spec={})
        Piece.objects.create(crew=self.other, kind="fitting", name="R8-20", spec={})
        Piece.objects.create(crew=self.crew, kind="fitting", name="R8-20", spec={}, retired_at="2026-01-01T00:00Z")

    def test_digits_parted_in_threes_are_understood_and_kept_without_the_blanks(self):
        for gap in (" ", "\u00a0", "\u202f"):
            self.post(name=f"R{ord(gap)}", **{"spec-rating": f"7{gap}252", "spec-mass": f"1{gap}000.5 kg"})
            self.assertEqual(Piece.objects.latest("changed_at").spec["rating"], "7252 psi")
            self.assertEqual(Piece.objects.latest("changed_at").spec["mass"], "1000.5 kg")
        self.assertEqual(self.post(name="no", **{"spec-rating": "7 25"}).status_code, 422)

    def test_what_is_wrong_is_listed_above_and_the_list_has_the_focus(self):
        answer = self.post(**{"spec-length": "x", "spec-rating": "9", "spec-rating-unit": ""})
        self.assertContains(answer, '<a href="#id_spec-length"><b>Length</b>', status_code=422)
        self.assertContains(answer, '<a href="#id_spec-rating">', status_code=422)
        self.assertContains(answer, 'role="alert" tabindex="-1" autofocus>', status_code=422)
        self.assertContains(answer, " autofocus", count=1, status_code=422)

    def test_other_ways_of_asking_are_refused(self):
        self.assertEqual(self.as_(self.ada).put("/yard/new/hose/").status_code, 405)
        piece = Piece.objects.create(crew=self.crew, kind="hose", name="X", spec={})
        self.assertEqual(self.as_(self.ada).delete(f"/yard/{piece.pk}/change/").status_code, 405)

    def test_a_tip_may_be_called_like_a_hose(self):
        self.post()
        self.assertEqual(self.post(kind="tip", **{"spec-inlet": "cone", "spec-bore": "1 mm"}).status_code, 302)

    def test_a_name_no_job_file_could_hold_is_refused(self):
        self.assertEqual(self.post(name="a\u202eb").status_code, 422)
        self.assertEqual(self.post(name="   ").status_code, 422)

    def test_a_gauge_sits_on_a_unit_and_on_each_only_one(self):
        unit = stock(self.crew)["Heron 2"]
        fields = {"spec-full_scale": "1600 bar", "name": "Gauge 8"}
        self.assertContains(self.post(kind="gauge", on=unit.pk, **fields), "this unit has a gauge", status_code=422)
        self.assertEqual(self.post(kind="gauge", on="", **fields).status_code, 302)

    def test_two_units_may_have_a_kit_of_one_name(self):
        for name in ("One", "Two"):
            unit = Piece.objects.create(crew=self.crew, kind="unit", name=name, spec={})
            fields = {"spec-plunger_diameter": "32 mm", "spec-rating": "1100 bar", "name": "P32", "on": unit.pk}
            self.assertEqual(self.post(kind="kit", **fields).status_code, 302)

    def test_a_tool_names_tips_of_the_yard(self):
        stock(self.crew)
        fields = {"name": "gun 2", "spec-kind": "hand lance", "spec-bore": "6 mm", "spec-release": "none"}
        self.assertEqual(self.post(kind="tool", **fields, **{"spec-ports-0-tip": "nowhere"}).status_code, 422)
        self.assertEqual(self.post(kind="tool", **fields, **{"spec-ports-1-tip": "L11"}).status_code, 302)
        self.assertEqual(Piece.objects.get(name="gun 2").spec["ports"], [{"tip": "L11"}])

    def test_who_may_not_keep_the_yard_is_refused(self):
        self.assertEqual(self.post(self.rae).status_code, 403)
        self.assertEqual(self.post(self.olu).status_code, 403)

    def test_an_outsider_finds_no_such_crew(self):
        self.assertEqual(self.post(self.bo).status_code, 404)
        self.assertEqual(self.post(crew="nonsense").status_code, 404)

    def test_nobody_writes_before_entering(self):
        self.assertEqual(self.client.post("/yard/new/hose/", HOSE).status_code, 302)
        self.assertEqual(Piece.objects.count(), 0)


class ChangeTest(CrewTestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.pieces = stock(cls.crew)
        cls.hose = cls.pieces["S8-20"]

    def post(self, who=None, piece=None, **fields):
        piece = piece or self.hose
        told = {"version": piece.version, "name": piece.name, "spec-bore": "8 mm", "spec-length": "20 m"} | fields
        return self.as_(who or self.ada).post(f"/yard/{piece.pk}/change/", told)

    def test_each_form_shows_what_is_kept_and_saves_the_same(self):
        client = self.as_(self.ada)
        for piece in self.pieces.values():
            self.assertEqual(client.get(f"/yard/{piece.pk}/change/").status_code, 200)
            form = PieceForm(piece)
            fields = {"version": piece.version}
            for part in (form.name, form.table):
                for bound in part:
                    value = bound.value()
                    fields[bound.html_name] = value if value is not None else ""
            answer = client.post(f"/yard/{piece.pk}/change/", fields)
            self.assertEqual(
                answer.status_code, 302, answer.content.decode()[:3000] if answer.status_code != 302 else ""
            )
            self.assertEqual(Piece.objects.get(pk=piece.pk).spec, piece.spec)

    def test_an_empty_field_is_absent(self):
        self.assertEqual(self.post(**{"spec-rating": ""}).status_code, 302)
        self.hose.refresh_from_db()
        self.assertEqual(self.hose.spec, {"bore": "8 mm", "length": "20 m"})
        self.assertIsNone(self.hose.tested)

    def test_what_somebody_else_saved_is_not_written_over(self):
        self.post(note="first")
        answer = self.post(self.mia, note="second", **{"spec-rating": "1 bar"})
        self.assertContains(answer, "Somebody saved this meanwhile", status_code=409)
        self.assertContains(answer, 'value="second"', status_code=409)
        self.hose.refresh_from_db()
        self.assertEqual(self.hose.note, "first")

    def test_rights(self):
        self.assertEqual(self.post(self.rae).status_code, 403)
        self.assertEqual(self.post(self.bo).status_code, 404)
        self.assertEqual(self.client.post(f"/yard/{self.hose.pk}/change/").status_code, 302)


class ActsTest(CrewTestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.hose = stock(cls.crew)["S8-20"]

    def act(self, act, who=None, **fields):
        told = {"version": self.hose.version} | fields
        answer = self.as_(who or self.ada).post(f"/yard/{self.hose.pk}/{act}/", told)
        self.hose.refresh_from_db()
        return answer

    def test_retiring_asks_why(self):
        self.assertContains(self.act("retire"), "say why", status_code=422)
        self.assertIsNone(self.hose.retired_at)

    def test_signs_that_print_as_nothing_are_left_out(self):
        self.act("retire", why="worn\0 \u202ethrough")
        self.assertEqual(self.hose.retired_why, "worn through")

    def test_retired_and_brought_back(self):
        self.assertEqual(self.act("retire", why="worn through").status_code, 302)
        self.assertEqual(self.hose.retired_why, "worn through")
        self.assertEqual(self.act("back").status_code, 302)
        self.assertIsNone(self.hose.retired_at)

    def test_a_name_that_was_given_out_meanwhile_keeps_it_retired(self):
        self.act("retire", why="worn through")
        Piece.objects.create(crew=self.crew, kind="hose", name="S8-20", spec={"bore": "8 mm", "length": "10 m"})
        self.assertContains(self.act("back"), "there is one of this name", status_code=422)
        self.assertIsNotNone(self.hose.retired_at)

    def test_retiring_what_somebody_changed_is_asked_again(self):
        answer = self.act("retire", why="worn", version=99)
        self.assertContains(answer, "Somebody saved this meanwhile", status_code=409)

    def test_a_copy_has_its_own_tag_and_no_test(self):
        answer = self.act("copy", name="S8-30")
        made = Piece.objects.get(name="S8-30")
        self.assertEqual(answer.url, f"/yard/{made.pk}/change/")
        self.assertEqual(made.spec, {"bore": "8 mm", "length": "20 m", "rating": "1400 bar"})
        self.assertContains(self.act("copy", name="S8-30"), "there is one of this name", status_code=422)
        self.assertEqual(self.act("copy", name="").status_code, 422)

    def test_some_of_a_row_get_tags_of_their_own(self):
        self.assertEqual(self.act("split", tags="A1\nA2\n").status_code, 302)
        self.assertEqual(self.hose.spec["count"], 4)
        self.assertEqual(Piece.objects.get(name="A1").spec["tested"], "2026-02-24")
        self.assertNotIn("count", Piece.objects.get(name="A2").spec)

    def test_when_all_have_tags_the_row_is_retired(self):
        self.act("split", tags="\n".join(f"A{n}" for n in range(6)))
        self.assertIsNotNone(self.hose.retired_at)
        self.assertEqual(Piece.objects.filter(name__startswith="A").count(), 6)

    def test_a_hundred_get_tags_at_once_and_no_more(self):
        self.hose.spec = {**self.hose.spec, "count": 10000}
        self.hose.save()
        tags = [f"{n:080}" for n in range(101)]  # as long as a name may be, and none is cut
        answer = self.act("split", tags="\n".join(tags))
        self.assertContains(answer, "for at most 100 pieces", status_code=422)
        self.assertContains(answer, tags[100], status_code=422)
        self.assertFalse(Piece.objects.filter(name__in=tags).exists())
        self.assertEqual(self.act("split", tags="\n".join(tags[:100])).status_code, 302)
        self.assertEqual(Piece.objects.filter(name__in=tags).count(), 100)

    def test_a_tag_that_is_there_splits_nothing(self):
        self.assertEqual(self.act("split", tags="A1\nreducer").status_code, 422)
        self.assertEqual(self.act("split", tags="A1\nA1").status_code, 422)
        self.assertEqual(self.act("split", tags="\n".join(f"A{n}" for n in range(7))).status_code, 422)
        self.assertEqual(self.hose.spec["count"], 6)
        self.assertEqual(Piece.objects.filter(name__startswith="A").count(), 0)

    def test_looking_does_nothing_and_rights_are_asked(self):
        for act in ("retire", "back", "copy", "split"):
            self.assertEqual(self.as_(self.ada).get(f"/yard/{self.hose.pk}/{act}/").status_code, 405)
            self.assertEqual(self.act(act, self.rae, why="x", name="n", tags="t").status_code, 403)
            self.assertEqual(self.act(act, self.bo, why="x", name="n", tags="t").status_code, 404)
            self.assertEqual(self.client.post(f"/yard/{self.hose.pk}/{act}/").status_code, 302)
        self.assertIsNone(self.hose.retired_at)
