"""What was still to be said to somebody is not said to the next at the device."""

from django.test import Client
from django.urls import reverse

from jetwright.web.people import devices
from jetwright.web.people.models import Device, Entered
from tests.web.crew import PASSWORD, PIN, CrewTestCase

SAID = "Secret-North-9"


class UntoldTest(CrewTestCase):
    def setUp(self):
        device = Device.objects.create()
        for person in (self.ada, self.bo):
            Entered.objects.create(device=device, person=person, until=Entered.from_now())
        self.browser = Client()
        self.browser.cookies[devices.COOKIE] = devices.signed(device)
        self.browser.force_login(self.ada, backend="django.contrib.auth.backends.ModelBackend")
        fields = {"crew": self.crew.pk, "name": SAID, "spec-bore": "1.1 mm", "spec-inlet": "rounded"}
        answer = self.browser.post("/yard/new/tip/", fields)  # and nobody looks where it leads
        self.assertEqual(answer.status_code, 302)

    def silent(self, *names):
        for name in names:
            answer = self.browser.get(reverse(name), follow=True)
            self.assertEqual(answer.status_code, 200)
            self.assertNotContains(answer, SAID)

    def test_it_is_said_to_whoever_did_it(self):
        self.assertContains(self.browser.get("/people/me/"), SAID)

    def test_not_on_a_locked_page_nor_to_who_takes_over_there(self):
        self.browser.post(reverse("people:lock"))
        self.silent("people:unlock", "people:switch", "people:enter")
        self.browser.post(reverse("people:switch"), {"person": self.bo.pk, "pin": PIN})
        self.silent("people:me")

    def test_not_on_a_page_that_locked_itself(self):
        session = self.browser.session
        session["seen"] = 0.0
        session.save()
        self.silent("people:me", "people:switch", "people:enter")
        self.browser.post(reverse("people:unlock"), {"secret": PIN})
        self.silent("people:me")

    def test_not_to_who_changes_places_with_an_open_page(self):
        self.browser.post(reverse("people:switch"), {"person": self.bo.pk, "pin": PIN})
        self.silent("people:me")

    def test_not_after_leaving_nor_to_who_enters_then(self):
        self.browser.post(reverse("people:leave"))
        self.silent("people:enter")
        self.browser.post(reverse("people:enter"), {"username": "bo", "password": PASSWORD})
        self.silent("people:me")

    def test_not_where_the_session_ended_by_itself(self):
        del self.browser.cookies["sessionid"]
        self.silent("people:enter", "people:switch")
        self.browser.post(reverse("people:enter"), {"username": "bo", "password": PASSWORD})
        self.silent("people:me")
