"""The administrator's pages: every model, nothing deleted, no secret."""

from auditlog.models import LogEntry
from django.apps import apps
from django.contrib import admin
from django.contrib.auth.models import Group
from django.urls import reverse

from jetwright.web.people.models import Crew, Device, FirstLink
from jetwright.web.yard.models import Piece
from tests.web.crew import PASSWORD, CrewTestCase

OURS = ("people", "yard", "jobs", "records")


class AdminTest(CrewTestCase):
    def setUp(self):
        self.browser = self.as_(self.zoe)
        self.piece = Piece.objects.create(crew=self.crew, kind="hose", name="H-1", spec={"bore": "12 mm"})
        FirstLink.objects.create(digest="d1ce" * 16, until="2026-01-01T00:00Z")

    def page(self, row, act="change"):
        return reverse(f"admin:{row._meta.app_label}_{row._meta.model_name}_{act}", args=[row.pk])

    def rows(self):
        return [
            self.ada,
            self.crew,
            self.ada.memberships.get(),
            Device.objects.first(),
            FirstLink.objects.first(),
            self.piece,
        ]

    def test_every_model_is_there(self):
        for label in OURS:
            for model in apps.get_app_config(label).get_models():
                self.assertTrue(admin.site.is_registered(model), model)
                address = reverse(f"admin:{label}_{model._meta.model_name}_changelist")
                self.assertEqual(self.browser.get(address).status_code, 200, address)
        self.assertFalse(admin.site.is_registered(Group))  # rights are roles

    def test_nothing_is_deleted_anywhere(self):
        request = self.browser.get("/admin/").wsgi_request
        for model, made in admin.site._registry.items():
            self.assertFalse(made.has_delete_permission(request), model)
            self.assertNotIn("delete_selected", made.get_actions(request))
        for row in self.rows():
            self.assertEqual(self.browser.post(self.page(row, "delete"), {"post": "yes"}).status_code, 403, row)
        crews = reverse("admin:people_crew_changelist")
        self.browser.post(crews, {"action": "delete_selected", "_selected_action": [self.other.pk], "post": "yes"})
        self.assertTrue(Crew.objects.filter(pk=self.other.pk).exists())

    def test_no_secret_is_shown(self):
        secrets = [self.ada.password, self.ada.pin, Device.objects.first().token, "d1ce"]
        for row in self.rows():
            page = self.browser.get(self.page(row))
            self.assertEqual(page.status_code, 200, row)
            for secret in secrets:
                self.assertNotContains(page, secret)

    def test_what_is_only_looked_at_is_not_changed(self):
        for row in (Device.objects.first(), FirstLink.objects.first(), LogEntry.objects.first()):
            self.assertEqual(self.browser.post(self.page(row), {"name": "x"}).status_code, 403)
        for name in ("people_device", "people_entered", "people_firstlink", "records_record", "auditlog_logentry"):
            self.assertEqual(self.browser.post(reverse(f"admin:{name}_add")).status_code, 403, name)

    def test_the_trail_is_looked_at_and_searched(self):
        page = self.browser.get(reverse("admin:auditlog_logentry_changelist"), {"q": "ada"})
        self.assertEqual(page.status_code, 200)
        self.assertEqual(self.browser.get(self.page(LogEntry.objects.first())).status_code, 200)

    def test_a_change_is_kept_with_a_new_version(self):
        self.browser.post(self.page(self.crew), {"name": "North yard"})
        self.crew.refresh_from_db()
        self.assertEqual((self.crew.name, self.crew.version), ("North yard", 2))

    def test_what_a_piece_is_is_not_changed_here(self):
        self.browser.post(self.page(self.piece), {"name": "H-2", "spec": "{}"})
        self.piece.refresh_from_db()
        self.assertEqual((self.piece.name, self.piece.spec), ("H-2", {"bore": "12 mm"}))

    def test_only_administrators_enter(self):
        self.bo.is_staff = True
        self.bo.save()
        for who in (self.ada, self.rae, self.bo):
            answer = self.as_(who).get(reverse("admin:people_person_changelist"))
            self.assertEqual(answer.status_code, 302)
            self.assertTrue(answer.url.startswith(reverse("admin:login")))

    def test_one_enters_where_everybody_enters(self):
        answer = self.client.get("/admin/login/?next=/admin/people/")
        self.assertEqual(answer.url, "/people/enter/?next=%2Fadmin%2Fpeople%2F")
        answer = self.client.post("/admin/login/", {"username": "zoe", "password": PASSWORD})
        self.assertEqual(answer.url, "/people/enter/?next=%2Fadmin%2F")
        self.assertFalse(self.client.session.get("_auth_user_id"))

    def test_passwords_are_changed_on_ones_own_page(self):
        self.assertEqual(self.browser.post("/admin/password_change/", {"new_password1": "x"}).url, "/people/me/")
