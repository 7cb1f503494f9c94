"""Looking at a yard: the list, a piece, its history, its labels."""

from zoneinfo import ZoneInfo

from django.utils import timezone

from jetwright.web.jobs.models import Job, Task
from jetwright.web.people.models import Crew, Membership
from jetwright.web.yard.models import KINDS, Piece
from tests.web.crew import CrewTestCase
from tests.web.seen import words_on
from tests.web.yard.pieces import stock


class YardPagesTest(CrewTestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.pieces = stock(cls.crew)

    def test_the_yard_shows_every_kind_and_when_a_hose_was_tested(self):
        answer = self.as_(self.rae).get("/yard/")
        for name in self.pieces:
            self.assertContains(answer, name)
        self.assertIn("tested 2026-02-24, ", words_on(answer))
        self.assertNotContains(answer, "New hose")

    def test_who_keeps_the_yard_may_add_to_it(self):
        self.assertContains(self.as_(self.mia).get("/yard/"), "/yard/new/hose/")

    def test_it_is_searched_by_name_and_by_what_a_tag_says(self):
        client = self.as_(self.ada)
        self.assertNotContains(client.get("/yard/?q=s8"), "reducer")
        self.assertContains(client.get("/yard/?q=1400+bar"), "S8-20")
        self.assertContains(client.get("/yard/?q=heron"), "Heron 2")

    def test_retired_pieces_stand_behind_a_link(self):
        Piece.objects.create(crew=self.crew, kind="hose", name="Van hose", spec={}, retired_at="2026-01-02T12:00:00Z")
        client = self.as_(self.ada)
        self.assertNotContains(client.get("/yard/"), "Van hose")
        self.assertContains(client.get("/yard/?retired=yes"), "Van hose")

    def test_somebody_in_two_crews_chooses_whose_yard(self):
        Membership.objects.create(person=self.ada, crew=self.other, role="reader")
        Piece.objects.create(crew=self.other, kind="hose", name="South hose", spec={"bore": "8 mm", "length": "20 m"})
        client = self.as_(self.ada)
        self.assertContains(client.get("/yard/"), "S8-20")
        self.assertContains(client.get(f"/yard/?crew={self.other.pk}"), "South hose")
        self.assertContains(client.get("/yard/"), "South hose")

    def test_an_outsider_sees_nothing(self):
        client = self.as_(self.bo)
        self.assertNotContains(client.get("/yard/"), "S8-20")
        for address in self.addresses():
            self.assertEqual(client.get(address).status_code, 404, address)

    def test_a_reader_sees_all_of_it(self):
        client = self.as_(self.rae)
        for address in self.addresses():
            self.assertEqual(client.get(address).status_code, 200, address)

    def test_nobody_sees_anything_before_entering(self):
        for address in ["/yard/", "/yard/understood/?kind=pressure", *self.addresses()]:
            answer = self.client.get(address)
            self.assertEqual(answer.status_code, 302, address)
            self.assertIn("/people/enter/", answer.url)

    def addresses(self) -> list[str]:
        crew = self.crew.pk
        unit = self.pieces["Heron 2"].pk
        return [
            *(f"/yard/{piece.pk}/" for piece in self.pieces.values()),
            f"/yard/{unit}/history/",
            f"/yard/{unit}/label.svg",
            f"/yard/{unit}/taken/",
            f"/yard/?crew={crew}",
            f"/yard/labels/?crew={crew}",
            f"/yard/files/?crew={crew}",
            f"/yard/files/yard.toml?crew={crew}&unit={unit}",
            *(f"/yard/files/{kind}.csv?crew={crew}" for kind in KINDS),
        ]

    def test_a_page_is_in_spanish_too(self):
        self.ada.language = "es"
        self.ada.save()
        for address in ["/yard/", "/yard/first-unit/", "/yard/new/tool/", *self.addresses()]:
            self.assertEqual(self.as_(self.ada).get(address).status_code, 200, address)

    def test_a_piece_says_what_it_is_what_sits_on_it_and_where_it_is_used(self):
        job = Job.objects.create(crew=self.crew, name="North rack", unit=self.pieces["Heron 2"])
        Task.objects.create(job=job, name="By gun", spec={"hose_run": ["S8-20", "S8-20"], "tool": "gun"})
        client = self.as_(self.rae)
        unit = client.get(f"/yard/{self.pieces['Heron 2'].pk}/")
        for words in ("H-204", "Gauge 7", "RV 3", "North rack", "1400 rpm, 185 kW; 2000 rpm, 252 kW"):
            self.assertIn(words, words_on(unit))
        for name in ("S8-20", "gun", "L11", "RV 3"):
            self.assertContains(client.get(f"/yard/{self.pieces[name].pk}/"), "North rack")
        self.assertContains(client.get(f"/yard/{self.pieces['reducer'].pk}/"), "No job in use names it")

    def test_history_says_who_changed_what_from_what_to_what(self):
        hose = self.pieces["S8-20"]
        client = self.as_(self.mia)
        fields = {"version": hose.version, "name": "S8-20", "note": "new ferrule", "spec-bore": "8 mm"}
        fields |= {"spec-length": "20 m", "spec-rating": "1200 bar", "spec-count": "6", "spec-tested": "2026-02-24"}
        self.assertEqual(client.post(f"/yard/{hose.pk}/change/", fields).status_code, 302)
        answer = client.get(f"/yard/{hose.pk}/history/")
        self.assertContains(answer, "Mia")
        self.assertIn("Highest pressure it may see: 1400 bar → 1200 bar", words_on(answer))
        self.assertContains(answer, "Note: new ferrule")
        self.assertNotContains(answer, "Bore: 8 mm →")

    def test_a_code_leads_to_the_page_of_the_piece(self):
        answer = self.as_(self.ada).get(f"/yard/{self.pieces['S8-20'].pk}/label.svg")
        self.assertEqual(answer["Content-Type"], "image/svg+xml")
        self.assertIn(b"<svg", answer.content)
        self.assertNotIn(b"style=", answer.content)

    def test_what_a_plan_refuses_for_its_age_says_so_in_the_yard(self):
        old = {"bore": "8 mm", "length": "20 m", "tested": "2019-01-05"}
        hose = Piece.objects.create(crew=self.crew, kind="hose", name="Van hose", spec=old)
        fresh = old | {"tested": timezone.localdate().isoformat()}
        self.pieces["S8-20"].spec = fresh
        self.pieces["S8-20"].save()
        self.pieces["RV 3"].spec = {"set": "1040 bar", "tested": "2019-01-05"}
        self.pieces["RV 3"].save()
        client = self.as_(self.rae)
        for address in ("/yard/?q=van", f"/yard/{hose.pk}/", f"/yard/{self.pieces['Heron 2'].pk}/"):
            answer = client.get(address)
            self.assertContains(answer, "not allowed: out of test: ", count=1)
            self.assertContains(answer, "at most 366 (Norway, regulation")
            self.assertContains(answer, "signs.svg#not_allowed")
        self.assertNotContains(client.get("/yard/?q=s8"), "out of test")

    def test_which_rule_set_counts_is_what_its_jobs_are_judged_by(self):
        Job.objects.create(crew=self.crew, name="Quay", spec={"rule_set": "uk"})
        old = {"bore": "8 mm", "length": "20 m", "tested": "2019-01-05"}
        hose = Piece.objects.create(crew=self.crew, kind="hose", name="Van hose", spec=old)
        self.assertContains(self.as_(self.rae).get(f"/yard/{hose.pk}/"), "look first: out of test")
        Job.objects.create(crew=self.crew, name="Fjord", spec={"rule_set": "no"})
        self.assertContains(self.as_(self.rae).get(f"/yard/{hose.pk}/"), "not allowed: out of test")

    def test_a_label_bears_the_day_of_the_test_and_nothing_that_grows_old(self):
        answer = self.as_(self.ada).get("/yard/labels/?kind=hose")
        self.assertIn("tested 2026-02-24", words_on(answer))
        self.assertNotContains(answer, " ago")

    def test_a_gauge_and_a_tip_say_what_their_last_word_is(self):
        gauge, tip = self.pieces["Gauge 7"], self.pieces["L11"]
        gauge.spec = {**gauge.spec, "class": 1.6}
        gauge.save()
        words = words_on(self.as_(self.rae).get("/yard/"))
        self.assertIn(f"{gauge.spec['full_scale']} · class 1.6", words)
        self.assertIn(f"{tip.spec['bore']} · inlet: rounded", words)

    def test_a_label_without_a_code_leaves_its_room_to_the_words_and_only_labels_are_printed(self):
        answer = self.as_(self.ada).get("/yard/labels/", headers={"host": "localhost"})
        self.assertContains(answer, 'class="label-card"')
        self.assertNotContains(answer, "label-card coded")
        for part in ("<h1", '<p class="way', "<form"):
            start = answer.content.decode().split('<main id="main">')[1].split(part)[1].split(">")[0]
            self.assertIn("off-paper", start)

    def test_a_label_with_a_code_has_two_columns(self):
        self.assertContains(self.as_(self.ada).get("/yard/labels/"), "label-card coded")

    def test_what_no_person_did_was_the_counter_itself_and_times_have_a_zone(self):
        hose = self.pieces["S8-20"]
        with timezone.override(ZoneInfo("Europe/Oslo")):
            words = words_on(self.as_(self.ada).get(f"/yard/{hose.pk}/history/"))
        self.assertRegex(words, r"the counter itself \d{4}-\d\d-\d\d \d\d:\d\d CES?T wrote it into the yard")

    def test_every_page_says_once_what_it_cannot_stand_for(self):
        hose = self.pieces["S8-20"].pk
        for address in (
            "",
            "new/hose/",
            "labels/",
            "files/",
            "first-unit/",
            f"{hose}/",
            f"{hose}/change/",
            f"{hose}/history/",
        ):
            answer = self.as_(self.ada).get(f"/yard/{address}")
            self.assertContains(answer, 'class="caution"', count=1)
            self.assertContains(answer, "never replaces training")
            self.assertNotContains(answer, "This plan")

    def test_labels_are_of_one_kind(self):
        answer = self.as_(self.ada).get("/yard/labels/?kind=hose")
        self.assertContains(answer, "S8-20")
        self.assertNotContains(answer, "reducer")

    def test_what_somebody_wrote_is_never_markup(self):
        evil = "<script>alert(1)</script>"
        spec = {"kind": "other", "bore": "6 mm", "release": "none", "holder": evil, "ports": [{"tip": evil}]}
        piece = Piece.objects.create(crew=self.crew, kind="tool", name=evil, note=evil, serial=evil, spec=spec)
        client = self.as_(self.ada)
        for address in ("/yard/", f"/yard/{piece.pk}/", f"/yard/{piece.pk}/change/", "/yard/labels/"):
            answer = client.get(address)
            self.assertContains(answer, "&lt;script&gt;")
            self.assertNotContains(answer, evil)
        answer = client.post(f"/yard/{piece.pk}/retire/", {"version": 1, "why": evil}, follow=True)
        self.assertNotContains(answer, evil)

    def test_what_a_plan_takes_is_listed(self):
        answer = self.as_(self.ada).get(f"/yard/{self.pieces['Heron 2'].pk}/taken/")
        self.assertContains(answer, "Pump: Share of swept volume lost")
        self.assertNotContains(answer, "unit.")
        self.assertNotContains(answer, "told error")

    def test_an_empty_yard_says_what_to_do(self):
        answer = self.as_(self.bo).get("/yard/")
        self.assertContains(answer, "/yard/first-unit/")

    def test_somebody_in_no_crew_is_told_so(self):
        Membership.objects.filter(person=self.bo).update(ended_at="2026-01-01T00:00:00Z")
        self.assertContains(self.as_(self.bo).get("/yard/"), "You are in no crew yet")

    def test_a_crew_that_is_no_more_is_not_shown(self):
        Crew.objects.filter(pk=self.other.pk).update(retired_at="2026-01-01T00:00:00Z")
        self.assertContains(self.as_(self.bo).get("/yard/"), "You are in no crew yet")


class UnderstoodTest(CrewTestCase):
    def meant(self, **fields):
        return self.as_(self.rae).get("/yard/understood/", fields).content.decode().replace("\u202f", " ")

    def test_it_says_back_what_was_typed(self):
        self.assertEqual(self.meant(kind="pressure", text="14500 psi"), "14 500 psi = 1 000 bar")

    def test_a_bare_number_takes_the_unit_chosen_beside_it(self):
        fields = {"field": "spec-rating", "spec-rating": "900", "spec-rating-unit": "bar", "kind": "pressure"}
        self.assertEqual(self.meant(**fields), "900 bar = 13 050 psi")

    def test_what_it_says_back_may_be_typed(self):
        for text in ("7 252 psi", "7\u202f252 psi"):
            self.assertEqual(self.meant(kind="pressure", text=text), "7 252 psi = 500 bar")
        self.assertEqual(
            self.meant(kind="flow_at", text="1 200 L/min at 1 000 bar"),
            "1 200 L/min = 317 gpm at 1 000 bar = 14 500 psi",
        )

    def test_digits_that_are_not_in_threes_have_no_reading(self):
        for text in ("72 52 psi", "7 2520 psi", "0 252 psi", "1250 900 psi"):
            self.assertIn("may be misread", self.meant(kind="pressure", text=text))

    def test_a_comma_is_refused_with_both_readings(self):
        words = self.meant(kind="flow", text="2,5 L/min")
        self.assertIn("2.5 L/min", words)
        self.assertIn("25 L/min", words)

    def test_a_point_before_three_digits_is_refused_where_points_part_thousands(self):
        self.rae.language = "es"
        self.rae.save()
        words = self.meant(kind="pressure", text="1.250 bar")
        self.assertIn("1250 bar", words)
        self.assertIn("1.25 bar", words)

    def test_an_unknown_kind_is_not_found(self):
        answer = self.as_(self.rae).get("/yard/understood/", {"kind": "__class__", "text": "1"})
        self.assertEqual(answer.status_code, 404)
