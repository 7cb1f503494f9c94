"""Changing one's own password."""

from django.contrib.auth import get_user
from django.urls import reverse

from jetwright.web.people.devices import people_of
from jetwright.web.people.models import Entered
from tests.web.crew import PASSWORD, CrewTestCase

NEW = "Four swans sleep"


class PasswordTest(CrewTestCase):
    def setUp(self):
        self.browser = self.as_(self.ada)

    def post(self, **fields):
        return self.browser.post(reverse("people:password"), {"password": PASSWORD, "new": NEW} | fields)

    def test_it_is_changed_and_one_stays(self):
        self.assertEqual(self.post().status_code, 302)
        self.ada.refresh_from_db()
        self.assertTrue(self.ada.check_password(NEW))
        self.assertEqual(get_user(self.browser), self.ada)

    def test_everywhere_else_it_ends(self):
        elsewhere = self.as_(self.ada)
        self.assertEqual(elsewhere.get("/people/me/").status_code, 200)
        self.post()
        self.assertIn(reverse("people:enter"), elsewhere.get("/people/me/").url)
        rows = [bool(people_of(row.device).count()) for row in Entered.objects.filter(person=self.ada)]
        self.assertEqual(sorted(rows), [False, True])  # the PIN does here, where the password was typed, alone

    def test_the_present_one_is_needed_and_a_pin_is_none(self):
        for wrong in ("wrong", "4711", ""):
            self.assertEqual(self.post(password=wrong).status_code, 422, wrong)
        self.ada.refresh_from_db()
        self.assertTrue(self.ada.check_password(PASSWORD))

    def test_weak_ones_and_the_same_are_refused(self):
        for wrong in ("short", "password12", PASSWORD, "ada"):
            self.assertContains(self.post(new=wrong), 'id="id_new_error"', status_code=422)

    def test_nothing_typed_comes_back(self):
        answer = self.post(password="Almost herons", new="short")
        self.assertNotContains(answer, "Almost herons", status_code=422)

    def test_looking_does_not_change(self):
        self.assertEqual(self.browser.get(reverse("people:password")).status_code, 405)

    def test_who_has_not_entered_is_sent_to_enter(self):
        self.assertIn(reverse("people:enter"), self.client.post(reverse("people:password")).url)


class PassingPasswordTest(CrewTestCase):
    def setUp(self):
        self.olu.must_change, self.olu.pin = True, ""
        self.olu.save()
        self.browser = self.as_(self.olu)

    def test_nothing_else_opens_before_one_has_ones_own(self):
        for page in ("/", "/people/", "/jobs/", "/yard/"):
            self.assertRedirects(self.browser.get(page), reverse("people:me"), fetch_redirect_response=False)
        piece = self.browser.get("/jobs/", headers={"HX-Request": "true"})
        self.assertEqual(piece.headers["HX-Redirect"], reverse("people:me"))

    def test_the_own_page_asks_for_a_password_and_a_pin(self):
        page = self.browser.get(reverse("people:me"))
        self.assertContains(page, "Choose your own before anything else")
        self.assertContains(page, 'name="pin"')

    def test_with_both_everything_opens(self):
        typed = {"password": PASSWORD, "new": NEW}
        self.assertEqual(self.browser.post(reverse("people:password"), typed).status_code, 422)
        self.assertEqual(self.browser.post(reverse("people:password"), typed | {"pin": "2581"}).status_code, 302)
        self.olu.refresh_from_db()
        self.assertTrue(self.olu.has_pin("2581"))
        self.assertEqual(self.browser.get("/people/").status_code, 200)
