"""What holds a page up, and what is not there, are said in words, with the usual headers, and without a way in."""

import asyncio
import logging
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from jetwright.web import worker
from jetwright.web.asgi import MOST, USUAL, application
from jetwright.web.held import Short
from jetwright.web.people.models import Crew
from jetwright.web.worker import WorkerBusyError, one_at_a_time
from tests.web.crew import CrewTestCase


def locked(execute, sql, params, many, context):
    if sql.startswith(("INSERT", "UPDATE")):
        raise OperationalError("database is locked")
    return execute(sql, params, many, context)


class HeldTest(CrewTestCase):
    def test_a_locked_database_is_said(self):
        browser = self.as_(self.zoe)
        browser.get("/jobs/")
        with connection.execute_wrapper(locked):
            answer = browser.post(reverse("people:new_crew"), {"name": "West"})
        self.assertContains(answer, "Wait some seconds", status_code=503)
        self.assertNotContains(answer, "locked", status_code=503)
        self.assertEqual(answer["Retry-After"], "5")

    def test_what_another_saved_in_the_same_moment_is_said(self):
        """In the very last moment, past all that is looked at before."""

        others = [Crew(name="West")]

        def another(execute, sql, params, many, context):
            if sql.startswith("INSERT") and "people_crew" in sql and others:
                others.pop().save()
            return execute(sql, params, many, context)

        with connection.execute_wrapper(another):
            answer = self.as_(self.zoe).post(reverse("people:new_crew"), {"name": "West"})
        self.assertContains(answer, "Somebody saved the same in this moment", status_code=409)
        self.assertContains(answer, "<h1>Not saved</h1>", status_code=409)

    def test_so_it_is_where_the_session_is_kept(self):
        browser = Client(raise_request_exception=False)
        browser.force_login(self.ada, backend="django.contrib.auth.backends.ModelBackend")
        with connection.execute_wrapper(locked):
            answer = browser.post(reverse("people:lock"))
        self.assertContains(answer, "Wait some seconds", status_code=503)

    def test_an_error_that_nobody_foresaw_has_a_page_that_says_nothing_of_it(self):
        def broken(execute, sql, params, many, context):
            raise RuntimeError("a secret")

        browser = Client(raise_request_exception=False)
        browser.force_login(self.ada, backend="django.contrib.auth.backends.ModelBackend")
        with connection.execute_wrapper(broken):
            answer = browser.get("/jobs/")
        self.assertContains(answer, "Something is broken", status_code=500)
        self.assertNotContains(answer, "secret", status_code=500)

    def test_what_is_not_there_and_what_is_not_ones_own_have_pages(self):
        self.assertContains(self.as_(self.rae).get("/none/"), "No such page", status_code=404)
        self.assertContains(self.as_(self.rae).get("/people/new/"), "Not yours to do", status_code=403)
        self.assertContains(self.client.get("/none/"), "No such page", status_code=404)
        self.assertContains(self.client.get("/none/", HTTP_HOST="evil.example"), "Not understood", status_code=400)

    def test_a_form_of_another_visit_is_told_what_to_do(self):
        browser = Client(enforce_csrf_checks=True)
        self.assertContains(browser.post("/people/enter/", {}), "load it again", status_code=403)

    def test_an_address_that_is_none_leads_to_the_lock_all_the_same(self):
        browser = self.as_(self.ada)
        browser.post(reverse("people:lock"))
        for headers in ({"HX-Request": "true", "HX-Current-URL": "http://[bad"}, {"Referer": "http://[bad"}):
            self.assertIn(browser.post("/jobs/new/", headers=headers).status_code, (204, 302))

    def test_one_person_asks_the_worker_one_thing_at_a_time(self):
        task = f"/api/jobs/{self.crew.pk}/plan"
        with one_at_a_time(str(self.rae.pk)):
            with pytest.raises(WorkerBusyError), one_at_a_time(str(self.rae.pk)):
                pass
            self.assertEqual(self.as_(self.ada).get(task).status_code, 404)
        with one_at_a_time(str(self.rae.pk)):
            pass


def test_signing_waits_for_nobody_who_only_asks():
    with worker._WORKER.held("another's question", 1.0), worker.at_the_press(1.0) as ask:
        assert ask(len, "ready", timeout=30.0) == 5
    worker.stop()


def answer_to(headers, path="/none/"):
    sent = []

    async def receive():
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(event):
        sent.append(event)

    scope = {"type": "http", "method": "GET", "path": path, "raw_path": path.encode(), "query_string": b"",
             "headers": headers, "server": ("127.0.0.1", 8000), "client": ("127.0.0.1", 1), "scheme": "http",
             "http_version": "1.1", "root_path": ""}  # fmt: skip
    with ThreadPoolExecutor(1) as apart:  # a browser in this process keeps a loop of its own running
        apart.submit(asyncio.run, application(scope, receive, send)).result()
    return sent[0]


def test_what_is_broken_off_has_the_usual_headers():
    for headers in ([(b"content-length", str(MOST + 1).encode())], [(b"content-length", b"x")]):
        found = answer_to(headers)
        assert found["status"] == 413
        assert set(USUAL) <= {name for name, _value in found["headers"]}


def test_the_log_has_one_line_of_a_request_that_cannot_be_read():
    made = logging.LogRecord("django.security.DisallowedHost", 40, "", 0, "x", (), (ValueError, ValueError(), None))
    assert Short().filter(made)
    assert made.exc_info is None
    broken = logging.LogRecord("django.request", 40, "", 0, "x", (), (ValueError, ValueError(), None))
    broken.status_code = 500
    assert Short().filter(broken)
    assert broken.exc_info is not None
