"""What the settings promise: what an answer carries, what a browser keeps, that readers and writers do not clash."""

import contextlib
import re
import sqlite3
import time
import urllib.parse

import pytest
from django.conf import global_settings, settings
from django.contrib.auth.hashers import make_password
from django.core.management import call_command
from django.db import connection
from django.test import override_settings

from jetwright.web import settings as as_served
from tests.web.crew import CrewTestCase
from tests.web.places import SERVER, SQLITE, Browser

POLICY = {
    "default-src 'self'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self'",
    "object-src 'none'",
    "base-uri 'none'",
    "form-action 'self'",
    "frame-ancestors 'none'",
}


class AnswersTestCase(CrewTestCase):
    def answers(self):
        ada, zoe = self.as_(self.ada), self.as_(self.zoe)
        yield self.client_class().get("/people/enter/")
        yield from (ada.get(path) for path in ("/jobs/", "/yard/", "/records/", "/people/me/", "/none/"))
        yield zoe.get("/admin/")

    def test_every_page_has_the_whole_policy_and_nothing_else_in_it(self):
        for answer in self.answers():
            self.assertIn(answer.status_code, {200, 404})
            self.assertEqual(set(answer["Content-Security-Policy"].split("; ")), POLICY)

    def test_no_page_is_guessed_at_framed_or_told_elsewhere(self):
        for answer in self.answers():
            self.assertEqual(answer["X-Content-Type-Options"], "nosniff")
            self.assertEqual(answer["X-Frame-Options"], "DENY")
            self.assertEqual(answer["Referrer-Policy"], "same-origin")
            self.assertEqual(answer["Cross-Origin-Opener-Policy"], "same-origin")

    def test_scripts_cannot_read_the_session_and_other_sites_cannot_use_it(self):
        browser = self.client_class()
        browser.get("/people/enter/")
        browser.post("/people/enter/", {"username": "ada", "password": "Nine herons wade"})
        self.assertTrue(browser.cookies["sessionid"]["httponly"])
        self.assertEqual({cookie["samesite"] for cookie in browser.cookies.values() if cookie.value}, {"Lax"})

    def test_a_form_from_elsewhere_is_refused(self):
        browser = self.client_class(enforce_csrf_checks=True)
        self.assertEqual(browser.post("/people/enter/", {"username": "ada", "password": "x"}).status_code, 403)

    def test_another_host_is_refused(self):
        self.assertEqual(self.client.get("/people/enter/", HTTP_HOST="evil.example").status_code, 400)

    def test_every_page_needs_somebody_who_entered(self):
        for path in ("/", "/jobs/", "/yard/", "/records/", "/people/", "/people/me/"):
            answer = self.client.get(path)
            self.assertEqual((path, answer.status_code), (path, 302))


def test_nothing_is_left_on_that_is_for_developers():
    assert settings.DEBUG is False
    assert "django.contrib.auth.middleware.LoginRequiredMiddleware" in settings.MIDDLEWARE
    assert settings.SECRET_KEY
    assert not settings.SECRET_KEY.startswith("django-insecure")


@pytest.mark.published("OWASP Password Storage Cheat Sheet: PBKDF2-HMAC-SHA256 with 600,000 iterations or more")
def test_secrets_are_hashed_as_slowly_as_they_should_be():
    """Tests in one process with the pages hash quickly; a counter takes Django's own list of ways."""
    assert not hasattr(as_served, "PASSWORD_HASHERS")
    with override_settings(PASSWORD_HASHERS=global_settings.PASSWORD_HASHERS):
        way, rounds, _salt, _hash = make_password("Nine herons wade").split("$")
    assert way == "pbkdf2_sha256"
    assert int(rounds) >= 600_000


def test_a_page_that_is_shown_opens_no_transaction():
    assert settings.DATABASES["default"].get("ATOMIC_REQUESTS", False) is False
    if not SERVER:
        assert settings.DATABASES["default"]["OPTIONS"]["transaction_mode"] == "IMMEDIATE"
    assert settings.DATABASES["default"].get("CONN_MAX_AGE", 0) == 0


@pytest.mark.django_db
def test_migrations_are_current():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


@pytest.mark.django_db
def test_the_checks_for_a_place_with_tls_hold(settings):
    """Those of Django's own list, as they stand behind a server with a certificate; what is waived says why."""
    from django.core import checks

    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = True
    settings.SECURE_HSTS_SECONDS = 31536000
    waived = {
        "security.W005",  # a place cannot speak for every other name of its domain
        "security.W021",
        "security.W008",  # the server in front redirects; plain HTTP never gets here
    }
    assert {one.id for one in checks.run_checks(include_deployment_checks=True)} - waived == set()


def test_behind_tls_cookies_and_browsers_keep_to_it(empty):
    empty.act("people")
    outside = {"Host": "yard.example", "X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.7"}
    with empty.served(JETWRIGHT_HTTPS="yes", JETWRIGHT_HOSTS="yard.example") as counter:
        browser = Browser(counter.address)
        status, headers, _text = browser.ask("/people/enter/", headers=outside)
        assert status == 200
        assert headers["Strict-Transport-Security"] == "max-age=31536000"
        assert "Secure" in headers["Set-Cookie"]
        assert browser.ask("/people/enter/")[0] == 400  # only the name that it was told
        status, headers, _text = browser.ask("/static/css/page.css", headers=outside)
        assert (status, headers["Cache-Control"]) == (200, "max-age=60, public")


def test_without_tls_nobody_is_believed_who_says_there_is_some(empty):
    empty.act("people")
    with empty.served() as counter:
        headers = Browser(counter.address).ask("/people/enter/", headers={"X-Forwarded-Proto": "https"})[1]
        assert headers["Strict-Transport-Security"] is None
        status, headers, style = Browser(counter.address).ask("/static/css/page.css")
        assert status == 200
        assert "immutable" not in headers["Cache-Control"]
        for font in re.findall(r'url\("?([^")]+)"?\)', style):
            assert Browser(counter.address).ask(urllib.parse.urljoin("/static/css/page.css", font))[0] == 200
        since = {"If-Modified-Since": headers["Last-Modified"]}
        assert Browser(counter.address).ask("/static/css/page.css", headers=since)[0] == 304


# ---- readers and writers


def test_eight_threads_write_thirty_times_each_and_none_finds_a_lock(empty):
    empty.act("people")
    told = empty.act("threads", count=8, each=30)
    assert told == {"wrong": [], "jobs": 240, "tasks": 240}


SEEN = {"just entered": None, "seen a minute ago": 60, "left an hour ago": 3600}


@pytest.mark.any_database
@pytest.mark.parametrize("when", SEEN)
def test_a_page_is_shown_while_somebody_writes(locked, when):
    """A session's last sight is a write; where the database is locked, it is left to the next page."""
    place, counter, sessions = locked
    seen, ada = SEEN[when], Browser(counter.address, sessions[when])
    pages = {"/jobs/": 200, "/yard/": 200, "/": 302} if seen != 3600 else {"/jobs/": 302}
    with contextlib.closing(sqlite3.connect(place.folder / "jetwright.sqlite3", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        began = time.monotonic()
        for page, status in pages.items():
            assert ada.ask(page)[0] == status
        assert time.monotonic() - began < 5.0  # a writer would wait 20 s for each
        other.execute("ROLLBACK")
    assert ada.ask("/yard/")[0] == (302 if seen == 3600 else 200)


@pytest.fixture(scope="module")
def locked(make_place):
    place = make_place(SQLITE)
    place.act("people")
    sessions = place.act("sessions", seen=list(SEEN.values()))
    with place.served() as counter:
        yield place, counter, dict(zip(SEEN, sessions, strict=True))


@pytest.mark.django_db
def test_a_session_is_kept_where_nobody_is_in_the_way():
    from django.contrib.sessions.models import Session

    from jetwright.web.sessions import SessionStore

    one = SessionStore()
    one["seen"], one["who"] = 1.0, "Ada"
    one.save()
    again = SessionStore(one.session_key)
    again["seen"] = 2.0
    again.save()
    assert dict(SessionStore(one.session_key).items()) == {"seen": 2.0, "who": "Ada"}
    Session.objects.filter(session_key=one.session_key).delete()
    again["seen"] = 3.0
    again.save()  # it was ended elsewhere meanwhile, and stays so
    assert not Session.objects.exists()
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA busy_timeout")
            assert cursor.fetchone() == (20000,)
