"""Entering with a name and a password."""

from django.contrib.auth import get_user
from django.test import Client, TestCase
from django.urls import reverse

from jetwright.web.people.models import Device, Entered
from tests.web.crew import PASSWORD, CrewTestCase, person


class EnterTest(CrewTestCase):
    def post(self, **fields):
        return self.client.post(reverse("people:enter"), {"username": "ada", "password": PASSWORD} | fields)

    def test_the_right_password_opens(self):
        self.assertRedirects(self.post(), "/", fetch_redirect_response=False)
        self.assertEqual(get_user(self.client), self.ada)

    def test_a_phones_first_capital_does_not_matter(self):
        self.assertEqual(self.post(username=" Ada").status_code, 302)

    def test_the_page_that_was_wanted_comes_next_where_it_is_ours(self):
        self.assertEqual(self.post(next="/people/me/").url, "/people/me/")
        for theirs in (
            "https://elsewhere.example/",
            "//elsewhere.example/",
            "javascript:alert(1)",
            "/\\elsewhere.example",
        ):
            self.assertEqual(self.post(next=theirs).url, "/", theirs)

    def test_a_wrong_password_an_unknown_name_and_a_closed_account_say_the_same(self):
        self.bo.is_active = False
        self.bo.save()
        tries = ({"password": "wrong"}, {"username": "nobody"}, {"username": "bo"})
        said = [self.post(**wrong) for wrong in tries]
        for answer in said:
            self.assertContains(answer, "do not belong together", status_code=422)
        self.assertFalse(get_user(self.client).is_authenticated)

    def test_a_pin_is_no_password(self):
        browser = self.as_(self.ada)
        browser.post(reverse("people:lock"))
        answer = browser.post(reverse("people:enter"), {"username": "ada", "password": "4711"})
        self.assertEqual(answer.status_code, 422)

    def test_names_and_passwords_that_are_too_long_are_refused_not_looked_up(self):
        self.assertEqual(self.post(username="a" * 400).status_code, 422)
        self.assertEqual(self.post(username="a\x00b").status_code, 422)
        self.assertEqual(self.post(password="a" * 100_000).status_code, 422)

    def test_the_device_is_remembered_in_a_cookie_no_script_reads(self):
        answer = self.post()
        cookie = answer.cookies["device"]
        self.assertTrue(cookie["httponly"])
        self.assertEqual(cookie["samesite"], "Lax")
        row = Entered.objects.get(person=self.ada)
        self.assertNotEqual(cookie.value, row.device.token)  # signed

    def test_a_second_person_on_a_device_makes_no_second_device(self):
        before = Device.objects.count()
        self.post()
        self.post(username="olu")
        self.assertEqual(Device.objects.count(), before + 1)
        self.assertEqual(get_user(self.client), self.olu)

    def test_a_device_cookie_that_was_tampered_with_is_not_known(self):
        self.post()
        self.client.cookies["device"] = self.client.cookies["device"].value + "x"
        before = Device.objects.count()
        self.post()
        self.assertEqual(Device.objects.count(), before + 1)

    def test_without_a_token_against_forgery_nothing_opens(self):
        strict = Client(enforce_csrf_checks=True)
        answer = strict.post(reverse("people:enter"), {"username": "ada", "password": PASSWORD})
        self.assertEqual(answer.status_code, 403)


class NobodyTest(TestCase):
    """The counter was started for the first time, and its page opened without the link."""

    def test_it_points_to_the_address_that_was_printed(self):
        page = self.client.get("/", follow=True)
        self.assertContains(page, "the address that the counter printed when it started")
        self.assertNotContains(page, "An administrator of your crew")
        self.assertNotContains(page, 'name="password"')

    def test_as_soon_as_somebody_has_an_account_it_asks_who_enters(self):
        person("ada")
        page = self.client.get("/people/enter/")
        self.assertContains(page, 'name="password"')
        self.assertContains(page, "An administrator of your crew")
        self.assertNotContains(page, "the address that the counter printed")
