"""Tries of a PIN or a password at once: they are counted one by one, and nobody hashes without end."""

import contextlib
import threading

from axes.models import AccessAttempt
from django.contrib.auth.models import AnonymousUser
from django.db import OperationalError, connection
from django.test import RequestFactory
from django.urls import reverse

from jetwright.web.held import BusyError
from jetwright.web.people import devices, throttle
from jetwright.web.people.models import Device, Entered
from jetwright.web.people.throttle import QUEUE, tried
from tests.web.crew import PASSWORD, CrewTestCase


def locked(execute, sql, params, many, context):
    if "axes_accessattempt" in sql and sql.startswith(("INSERT", "UPDATE")):
        raise OperationalError("database is locked")
    return execute(sql, params, many, context)


class Counted(CrewTestCase):
    def enter(self, username="ada", password="wrong", **extra):
        return self.client.post(reverse("people:enter"), {"username": username, "password": password}, **extra)

    def test_a_try_that_cannot_be_counted_is_no_try(self):
        with connection.execute_wrapper(locked):
            answer = self.enter()
        self.assertEqual(answer.status_code, 503)
        self.assertIn("Retry-After", answer.headers)
        self.assertContains(answer, "Nothing was done", status_code=503)

    def test_it_is_counted_before_there_is_another(self):
        for _ in range(8):
            self.enter()
            AccessAttempt.objects.filter(failures_since_start__gte=7).update(failures_since_start=7)
        with connection.execute_wrapper(locked):
            self.enter()
            self.assertEqual(self.enter(password=PASSWORD).status_code, 503)  # and nothing is compared meanwhile
        self.assertEqual(self.enter(password=PASSWORD).status_code, 429)

    def test_while_one_is_hashed_some_wait_and_others_are_told_to_come_again(self):
        gate, answers = throttle._STRANGERS, []
        with contextlib.ExitStack() as stack:
            for _ in range(QUEUE + 1):
                stack.enter_context(_place(gate))
            answers.append(self.enter(password=PASSWORD).status_code)
            known = self.as_(self.olu)
            answers.append(
                known.post(reverse("people:unlock"), {"secret": "x"}).status_code
            )  # who is known here waits for no stranger
            fields = {"password": PASSWORD, "pin": "2580"}
            answers.append(known.post(reverse("people:pin"), fields).status_code)
        self.assertEqual(answers, [503, 302, 302])
        self.assertEqual(self.enter(password=PASSWORD).status_code, 302)

    def test_one_hash_at_a_time_and_no_two_of_a_name(self):
        at_once, most = [], []

        def enter_it():
            with throttle._STRANGERS.passed(), throttle._held(throttle._NAMES[0]):
                at_once.append(1)
                most.append(len(at_once))
                threading.Event().wait(0.02)
                at_once.pop()

        threads = [threading.Thread(target=enter_it) for _ in range(QUEUE)]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
        self.assertEqual(most, [1] * QUEUE)


@contextlib.contextmanager
def _place(gate):
    gate.places.acquire()
    try:
        yield
    finally:
        gate.places.release()


class Places(CrewTestCase):
    """Whose tries are counted where."""

    def setUp(self):
        self.tablet = Device.objects.create()
        Entered.objects.create(device=self.tablet, person=self.ada, until=Entered.from_now())

    def request(self, device=None, address="10.0.0.1"):
        request = RequestFactory().post("/", REMOTE_ADDR=address)
        request.user = AnonymousUser()
        if device is not None:
            request.COOKIES[devices.COOKIE] = devices.signed(device)
        return request

    def wrong(self, device=None, username="ada"):
        for _ in range(8):
            tried(self.request(device), username, password="wrong")

    def right(self, device=None, username="ada"):
        return tried(self.request(device), username, password=PASSWORD) is not None

    def test_who_guesses_from_elsewhere_locks_nobody_out_at_their_own_tablet(self):
        self.wrong()
        self.assertFalse(self.right())
        self.assertTrue(self.right(self.tablet))

    def test_a_tablet_where_one_never_entered_gives_no_tries_beside(self):
        others = [Device.objects.create() for _ in range(2)]
        for device in others:
            Entered.objects.create(device=device, person=self.bo, until=Entered.from_now())
        self.wrong(others[0])
        self.assertFalse(self.right(others[1]))

    def test_at_ones_own_tablet_eight_are_counted_too(self):
        self.wrong(self.tablet)
        self.assertFalse(self.right(self.tablet))
        self.assertTrue(self.right(None, "olu"))

    def test_whoever_entered_once_is_a_stranger_with_any_other_name(self):
        on_it, by_session = self.request(self.tablet), self.request()
        by_session.user = self.ada
        for request in (on_it, by_session):
            with _full(throttle._KNOWN):
                self.assertIsNone(tried(request, "nobody", password="wrong"))
            with _full(throttle._STRANGERS):
                self.assertEqual(tried(request, "ada", password=PASSWORD), self.ada)

    def test_one_name_keeps_nobody_else_who_is_known_from_a_turn(self):
        turns, busy = [], []

        def try_it(username):
            try:
                with throttle._known(username):
                    turns.append(username)
            except BusyError:
                busy.append(username)

        with throttle._KNOWN.turn:
            threads = [threading.Thread(target=try_it, args=[name]) for name in ["eve"] * 30 + ["ada"]]
            for one in threads:
                one.start()
            for one in threads[2:-1]:
                one.join(5)
        for one in threads:
            one.join()
        self.assertEqual((sorted(turns), len(busy)), (["ada", "eve", "eve"], 28))

    def test_busy_is_no_wrong_password(self):
        with _full(throttle._STRANGERS), self.assertRaises(BusyError):
            self.right()
        self.assertFalse(AccessAttempt.objects.exists())


@contextlib.contextmanager
def _full(gate):
    with contextlib.ExitStack() as stack:
        for _ in range(QUEUE + 1):
            stack.enter_context(_place(gate))
        yield
