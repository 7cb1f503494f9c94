"""A program that asks is never answered with a page: whatever holds its answer up comes in the API's own shape."""

import json

from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from jetwright.web.api import Refused
from jetwright.web.worker import one_at_a_time
from tests.web.jobs.cases import DemoTestCase

BACKEND = "django.contrib.auth.backends.ModelBackend"


def locked(execute, sql, params, many, context):
    raise OperationalError("database is locked")


def locked_in_the_view(execute, sql, params, many, context):
    if "jobs_job" in sql:
        raise OperationalError("database is locked")
    return execute(sql, params, many, context)


def broken(execute, sql, params, many, context):
    if "jobs_job" in sql:
        raise RuntimeError("a secret")
    return execute(sql, params, many, context)


class HeldApiTest(DemoTestCase):
    def client_of(self, who, **options):
        client = Client(raise_request_exception=False, **options)
        client.force_login(who, backend=BACKEND)
        return client

    def told(self, answer, status):
        """The one thing that is said."""
        self.assertEqual(answer.status_code, status)
        self.assertEqual(answer["Content-Type"].split(";")[0], "application/json")
        (problem,) = Refused.model_validate(json.loads(answer.content)).problems
        self.assertGreater(len(problem.says), 10)
        return problem

    def test_a_locked_database(self):
        for wrapper in (locked, locked_in_the_view):  # before the API is reached, and in it
            client = self.client_of(self.rae)
            with connection.execute_wrapper(wrapper):
                answer = client.get(f"/api/jobs/{self.job.pk}")
            problem = self.told(answer, 503)
            self.assertEqual((problem.code, answer["Retry-After"]), ("busy", "5"))
            self.assertIn("Wait some seconds", problem.says)

    def test_something_is_asked_already(self):
        with one_at_a_time(str(self.rae.pk)):
            answer = self.client_of(self.rae).get(f"/api/jobs/{self.job.pk}/plan")
        problem = self.told(answer, 429)
        self.assertEqual((problem.code, answer["Retry-After"]), ("busy", "5"))

    def test_an_error_that_nobody_foresaw_says_nothing_of_itself(self):
        with connection.execute_wrapper(broken):
            answer = self.client_of(self.rae).get(f"/api/jobs/{self.job.pk}")
        self.assertEqual(self.told(answer, 500).code, "broken")
        self.assertNotContains(answer, "secret", status_code=500)

    def test_an_address_that_is_none(self):
        for address in ("/api/none", "/api/jobs/none", f"/api/jobs/{self.job.pk}/none"):
            for client in (self.client, self.client_of(self.rae)):
                self.assertEqual(self.told(client.get(address), 404).code, "not_found", address)

    def test_another_way_of_asking(self):
        answer = self.client_of(self.rae).delete(f"/api/jobs/{self.job.pk}")
        self.assertEqual(self.told(answer, 405).code, "not_so")
        self.assertIn("GET", answer["Allow"])

    def test_a_post_without_the_token(self):
        client = self.client_of(self.rae, enforce_csrf_checks=True)
        typed = json.dumps({"text": "5 bar", "kind": "pressure"})
        answer = client.post("/api/understood", typed, content_type="application/json")
        self.assertEqual(self.told(answer, 403).code, "no_token")

    def test_the_lock(self):
        client = self.client_of(self.rae)
        client.post(reverse("people:lock"))
        self.assertEqual(self.told(client.get(f"/api/jobs/{self.job.pk}"), 401).code, "locked")

    def test_a_password_that_another_person_made(self):
        self.rae.must_change = True
        self.rae.save()
        answer = self.client_of(self.rae).get(f"/api/jobs/{self.job.pk}")
        self.assertEqual(self.told(answer, 403).code, "password_first")

    def test_it_is_said_in_the_language_of_who_asks(self):
        self.rae.language = "es"
        self.rae.save()
        with connection.execute_wrapper(locked_in_the_view):
            problem = self.told(self.client_of(self.rae).get(f"/api/jobs/{self.job.pk}"), 503)
        self.assertNotIn("Wait some seconds", problem.says)

    def test_a_person_is_still_shown_a_page(self):
        self.assertContains(self.client_of(self.rae).get("/none/"), "No such page", status_code=404)
