"""Asking again who it is, before something that carries a name."""

from axes.models import AccessAttempt
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import AnonymousUser
from django.test import RequestFactory

from jetwright.web.people import devices
from jetwright.web.people.again import confirm, confirm_password
from jetwright.web.people.models import Device, Entered
from tests.web.crew import PASSWORD, PIN, CrewTestCase


class ConfirmTest(CrewTestCase):
    def setUp(self):
        self.device = Device.objects.create()
        Entered.objects.create(device=self.device, person=self.ada, until=Entered.from_now())

    def request(self, who):
        request = RequestFactory().post("/", {"pin": "4711"})
        request.user = who
        request.COOKIES[devices.COOKIE] = devices.signed(self.device)
        return request

    def test_the_pin_and_the_password_confirm(self):
        self.assertTrue(confirm(self.request(self.ada), PIN))
        self.assertTrue(confirm(self.request(self.ada), PASSWORD))

    def test_anything_else_does_not(self):
        for wrong in ("", "4712", "wrong", PIN + " ", PASSWORD.upper()):
            self.assertFalse(confirm(self.request(self.ada), wrong), wrong)

    def test_where_the_password_alone_does_the_pin_does_not(self):
        self.assertFalse(confirm_password(self.request(self.ada), PIN))
        self.assertTrue(confirm_password(self.request(self.ada), PASSWORD))

    def test_a_pin_does_not_where_no_password_was_typed(self):
        self.assertFalse(confirm(self.request(self.olu), PIN))

    def test_nobody_confirms_nothing(self):
        self.assertFalse(confirm(self.request(AnonymousUser()), PIN))

    def test_wrong_ones_count_and_a_right_one_forgives(self):
        for _ in range(7):
            confirm(self.request(self.ada), "4712")
        self.assertEqual(AccessAttempt.objects.get().failures_since_start, 7)
        self.assertTrue(confirm(self.request(self.ada), PIN))
        self.assertFalse(AccessAttempt.objects.exists())

    def test_after_eight_the_right_one_does_not_either(self):
        for _ in range(8):
            confirm(self.request(self.ada), "4712")
        request = self.request(self.ada)
        self.assertFalse(confirm(request, PASSWORD))
        self.assertTrue(request.axes_locked_out)


class HashedAnewTest(CrewTestCase):
    """A password is hashed anew when it is given and the way of hashing has changed; the visit must outlive that."""

    def test_who_confirms_with_the_password_stays(self):
        self.ada.password = make_password(PASSWORD, hasher="pbkdf2_sha256")  # the tests' own hasher is another
        self.ada.save()
        browser = self.as_(self.ada)
        old = self.ada.password
        changed = {"password": PASSWORD, "pin": "8264", "again": "8264", "pin_again": "8264"}
        self.assertIn(browser.post("/people/me/pin/", changed).status_code, (302, 422))
        self.ada.refresh_from_db()
        self.assertNotEqual(self.ada.password, old)
        self.assertEqual(browser.get("/people/me/").status_code, 200)
