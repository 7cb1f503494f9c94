"""What a program may ask."""

import json

from django.test import Client

from jetwright.web.jobs.models import Task
from tests.web.jobs.cases import DemoTestCase


class ApiTest(DemoTestCase):
    """Rae reads, Bo is in another crew."""

    def get(self, who, act=""):
        return self.as_(who).get(f"/api/jobs/{self.job.pk}{act}")

    def typed(self, text, kind="pressure", who=None, **extra):
        client = self.as_(who or self.rae)
        body = json.dumps({"text": text, "kind": kind} | extra)
        return client.post("/api/understood", body, content_type="application/json")

    def test_a_job_comes_as_the_tables_of_its_file(self):
        tables = self.get(self.rae).json()
        self.assertEqual(tables["title"], "Evaporator hall, Sundby works")
        self.assertEqual(tables["tools"]["gun"]["bore"], "6 mm")
        self.assertEqual(tables["date"], "2026-05-12")

    def test_a_plan_comes_as_the_contract_says(self):
        plan = self.get(self.rae, "/plan").json()
        noon = plan["tasks"][1]
        self.assertEqual(noon["verdict"], "look")
        self.assertEqual(round(noon["tools"][0]["nozzle_bar"]), 800)
        self.assertEqual(plan["rule_set"]["name"], "eu-generic")

    def test_another_crew_finds_nothing(self):
        for act in ("", "/plan"):
            answer = self.get(self.bo, act)
            self.assertEqual(answer.status_code, 404)
            self.assertEqual(answer.json()["problems"][0]["code"], "not_found")

    def test_who_has_not_entered_is_told_so_and_sent_nowhere(self):
        for address in (f"/api/jobs/{self.job.pk}", f"/api/jobs/{self.job.pk}/plan"):
            answer = self.client.get(address)
            self.assertEqual(answer.status_code, 401)
            self.assertEqual(answer.json()["problems"][0]["code"], "not_entered")

    def test_a_job_that_cannot_be_read_says_why(self):
        Task.objects.filter(pk=self.gun.pk).update(spec={"hose_run": ["nobody's"]})
        answer = self.get(self.rae, "/plan")
        self.assertEqual(answer.status_code, 422)
        self.assertIn("unknown_name", [one["code"] for one in answer.json()["problems"]])

    def test_a_quantity_is_said_back(self):
        answer = self.typed("14500 psi").json()
        self.assertEqual(answer["says"], "14\u202f500 psi = 1\u202f000 bar")
        self.assertAlmostEqual(answer["si"], 14500 * 6894.757293168, delta=1.0)  # NIST SP 811

    def test_a_comma_is_refused_with_both_readings(self):
        answer = self.typed("2,5 L/min", "flow")
        self.assertEqual(answer.status_code, 422)
        self.assertIn("2.5 L/min", answer.json()["problems"][0]["says"])
        self.assertIn("25 L/min", answer.json()["problems"][0]["says"])

    def test_a_point_with_two_readings_is_refused_where_it_has_them(self):
        self.assertEqual(self.typed("1.250 bar").json()["si"], 125000.0)
        self.rae.language = "es"
        self.rae.save()
        answer = self.typed("1.250 bar")
        self.assertEqual(answer.status_code, 422)
        self.assertEqual(answer.json()["problems"][0]["code"], "ambiguous_thousands")
        self.assertIn("1250 bar", answer.json()["problems"][0]["says"])

    def test_a_kind_that_is_none_is_refused(self):
        self.assertEqual(self.typed("5 bar", "mood").status_code, 422)

    def test_what_is_no_question_is_refused(self):
        client = self.as_(self.rae)
        self.assertEqual(client.post("/api/understood", "{", content_type="application/json").status_code, 400)
        self.assertEqual(client.post("/api/understood", "[]", content_type="application/json").status_code, 422)
        answer = client.post("/api/understood", '{"text": 5}', content_type="application/json")
        self.assertEqual(answer.status_code, 422)
        self.assertIn("typed.kind", [one["key"] for one in answer.json()["problems"]])

    def test_another_site_cannot_post(self):
        client = Client(enforce_csrf_checks=True)
        client.force_login(self.rae, backend="django.contrib.auth.backends.ModelBackend")
        body = json.dumps({"text": "5 bar", "kind": "pressure"})
        self.assertEqual(client.post("/api/understood", body, content_type="application/json").status_code, 403)

    def test_its_description_is_for_those_who_entered(self):
        answer = self.client.get("/api/openapi.json")
        self.assertEqual((answer.status_code, answer.json()["problems"][0]["code"]), (401, "not_entered"))

    def test_its_description_names_every_answer(self):
        paths = self.as_(self.rae).get("/api/openapi.json").json()["paths"]
        self.assertEqual(sorted(paths), ["/api/jobs/{job_id}", "/api/jobs/{job_id}/plan", "/api/understood"])
        answers = {"200", "400", "401", "403", "404", "405", "408", "413", "422", "429", "500", "503"}
        self.assertEqual(set(paths["/api/understood"]["post"]["responses"]), answers)
