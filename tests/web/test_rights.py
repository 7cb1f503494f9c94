"""Every address of the counter either is one of a few open pages or refuses who has not entered."""

import uuid

from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from tests.web.crew import CrewTestCase

OPEN = {  # what somebody may see who has not entered, and nothing of a crew's is on it
    "people:enter",
    "people:first",
    "people:switch",
    "admin:login",
}
NO_PAGE = {"api:api-root"}
"""Names without a page, for whoever."""
SAMPLES = {
    "uuid": str(uuid.UUID(int=7)),
    "int": "7",
    "str": "x",
    "slug": "x",
    "path": "x",
}


def addresses(resolver=None, before="", names=()):
    """Every address with something for each of its blanks, and its name."""
    for pattern in (resolver or get_resolver()).url_patterns:
        route = str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            space = (*names, pattern.namespace) if pattern.namespace else names
            yield from addresses(pattern, before + route, space)
        elif isinstance(pattern, URLPattern):
            yield before + route, ":".join((*names, pattern.name or "")), pattern


def filled(address):
    for kind, sample in SAMPLES.items():
        while f"<{kind}:" in address:
            start = address.index(f"<{kind}:")
            address = address[:start] + sample + address[address.index(">", start) + 1 :]
    while "<" in address and "(?P" not in address:
        start = address.index("<")
        address = address[:start] + SAMPLES["uuid"] + address[address.index(">", start) + 1 :]
    return address


def plain(address):
    """An address out of a pattern: Django's administrator writes its own as regular expressions in places."""
    address = filled(address).replace("^", "").replace("$", "").replace("\\Z", "")
    if "(?P<url>.*)" in address:
        address = address.replace("(?P<url>.*)", "x")
    if "(?P<app_label>" in address:
        start = address.index("(?P<app_label>")
        address = address[:start] + "people" + address[address.index(")", start) + 1 :]
    return "/" + address


ALL = [(plain(address), name) for address, name, _ in addresses()]


class RightsTest(CrewTestCase):
    def test_there_are_addresses_and_each_could_be_filled_in(self):
        self.assertGreater(len(ALL), 60)
        self.assertEqual([address for address, _ in ALL if any(sign in address for sign in "<>()?*[]")], [])

    def test_the_open_ones_are_there(self):
        self.assertEqual(OPEN - {name for _, name in ALL}, set())

    def test_who_has_not_entered_is_refused_everywhere_else(self):
        """To look and to act at every address; any other way at one address of each part, and at each of the API's."""
        closed = [(address, name) for address, name in ALL if name not in OPEN | NO_PAGE]
        first_of_each = {name.rpartition(":")[0]: (address, name) for address, name in reversed(closed)}
        others = [*first_of_each.values(), *(one for one in closed if one[1].startswith("api:"))]
        tries = [(method, *one) for method in ("get", "post") for one in closed]
        tries += [(method, *one) for method in ("put", "patch", "delete", "head") for one in others]
        browser = Client()
        for method, address, name in tries:
            with self.subTest(method=method, address=address, name=name):
                answer = getattr(browser, method)(address)
                self.assertIn(answer.status_code, (302, 401, 403, 405))
                if answer.status_code == 302:
                    where = answer.url
                    self.assertTrue(where.startswith(("/people/enter/", "/admin/login/")), where)

    def test_an_open_page_shows_nothing_of_a_crew(self):
        browser = Client()
        for address, name in ALL:
            if name in OPEN | NO_PAGE:
                answer = browser.get(address, follow=True)
                for words in ("North", "South", "Ada", "Olu"):
                    self.assertNotRegex(answer.content.decode(errors="replace"), rf"\b{words}\b", address)

    def test_who_is_only_in_a_crew_gets_nowhere_among_the_administrators_pages(self):
        for who in (self.ada, self.rae):
            browser = self.as_(who)
            for address, name in ALL:
                if name.startswith("admin:") and name != "admin:login":
                    with self.subTest(who=who, address=address):
                        answer = browser.get(address)
                        self.assertEqual(answer.status_code, 302)

    def test_a_locked_page_opens_nothing(self):
        browser = self.as_(self.zoe)
        browser.post("/people/lock/")
        shown = {"people:enter", "people:switch", "people:unlock", "people:leave", "people:lock"}
        for address, name in ALL:
            if name not in shown:
                with self.subTest(address=address):
                    answer = browser.get(address)
                    if address.startswith("/api/"):
                        self.assertEqual(answer.json()["problems"][0]["code"], "locked")
                    else:
                        self.assertTrue(answer.url.startswith("/people/unlock/"))

    def test_the_acts_of_people_are_the_administrators(self):
        """Whoever may not do an act is told so by 403 or 404, never shown a form of it."""
        acts = ("new", "new_crew", "reset", "close", "reopen", "role", "end_role")
        for who in (self.ada, self.olu, self.mia, self.tom, self.kim, self.rae, self.bo):
            browser = self.as_(who)
            for address, name in ALL:
                if name in {f"people:{act}" for act in acts}:
                    with self.subTest(who=who, address=address):
                        self.assertIn(browser.post(address).status_code, (403, 404))
