"""A program that asks a running counter in a way that cannot be answered is told so as it reads: JSON, with words."""

import contextlib
import http.client
import json
import socket
import uuid

import pytest

from jetwright.web.serve import MOST_AT_ONCE
from tests.web.places import Browser

pytestmark = pytest.mark.any_database

LARGE = 3_000_000
"""More than a form or a question may have, and less than is broken off. [bytes]"""


@pytest.fixture(scope="module")
def asked(make_place):
    """Asks a counter that serves: what comes back of a head and a body, written as they are sent."""
    place = make_place()
    told = place.act("people")
    with place.served() as counter:
        ada = Browser(counter.address, told["session"])
        ada.ask("/jobs/new/")
        facts = {
            "job": uuid.uuid4(),
            "token": ada.cookies["csrftoken"],
            "us": "Host: localhost\nCookie: " + "; ".join(f"{name}={value}" for name, value in ada.cookies.items()),
        }

        def ask(head, body=b"", **more):
            with socket.create_connection(("127.0.0.1", counter.port), timeout=20) as link:
                with contextlib.suppress(ConnectionError):  # it may hang up while this still sends
                    link.sendall(head.format(**facts, **more).replace("\n", "\r\n").encode() + b"\r\n\r\n" + body)
                answer = http.client.HTTPResponse(link)
                answer.begin()
                return answer, answer.read().decode()

        ask.port = counter.port
        yield ask


def told(answer, text):
    """Status and code of what a program is told; there are words to it."""
    assert answer.headers["Content-Type"].split(";")[0] == "application/json", text
    [problem] = json.loads(text)["problems"]
    assert len(problem["says"].split()) > 1
    return answer.status, problem["code"]


JOB, ASKED = "GET /api/jobs/{job} HTTP/1.1\n", "POST /api/understood HTTP/1.1\n{us}\n"
TYPED = ASKED + "X-CSRFToken: {token}\nContent-Type: application/json\n"
FORM = "Content-Type: application/x-www-form-urlencoded\n"


@pytest.mark.parametrize(
    ("status", "code", "head", "body"),
    [
        (400, "not_read", JOB + "Host: evil.example", b""),
        (400, "not_read", JOB + "Host: a b", b""),
        (400, "not_read", JOB + "Accept: */*", b""),
        (400, "not_read", JOB + "{us}\nno head", b""),
        (400, "not_read", "GET /api/jobs/{job} HTTX/9\n{us}", b""),
        (400, "not_read", ASKED + "Content-Length: x", b""),
        (401, "not_entered", JOB + "Host: localhost\nCookie: sessionid=none", b""),
        (404, "not_found", "POST /api/none HTTP/1.1\n{us}\n" + FORM + f"Content-Length: {LARGE}", bytes(LARGE)),
        (405, "not_so", "DELETE /api/jobs/{job} HTTP/1.1\n{us}", b""),
        (405, "not_so", "BREW /api/jobs/{job} HTTP/1.1\n{us}", b""),
        (403, "no_token", ASKED + "Content-Type: application/json\nContent-Length: 2", b"{}"),
        (403, "no_token", ASKED + "X-CSRFToken: none\nContent-Type: application/json\nContent-Length: 2", b"{}"),
        (403, "no_token", TYPED + "Origin: http://evil.example\nContent-Length: 2", b"{}"),
        (400, "not_json", TYPED + "Content-Length: 1", b"{"),
        (400, "not_json", TYPED + "Content-Length: 4", b'"\xff\xfe"'),
        (400, "not_json", ASKED + "X-CSRFToken: {token}\n" + FORM + "Content-Length: 3", b"a=b"),
        (400, "not_read", ASKED + "X-CSRFToken: {token}\nContent-Type: multipart/form-data\nContent-Length: 3", b"a=b"),
        (413, "too_large", TYPED + f"Content-Length: {LARGE}", b'"' + bytes(LARGE - 1)),
        (413, "too_large", ASKED + FORM + f"Content-Length: {LARGE}", bytes(LARGE)),
        (413, "too_large", TYPED + "Content-Length: 50000000", b""),
        (413, "too_large", TYPED + "Transfer-Encoding: chunked", 45 * (b"100000\r\n" + bytes(0x100000) + b"\r\n")),
    ],
)
def test_a_program_is_answered_as_it_reads(asked, status, code, head, body):
    assert told(*asked(head, body)) == (status, code)


def test_one_connection_too_many(asked):
    with contextlib.ExitStack() as others:
        for _one in range(MOST_AT_ONCE):
            others.enter_context(socket.create_connection(("127.0.0.1", asked.port), timeout=20))
        answer, text = asked(JOB + "{us}")
    assert told(answer, text) == (503, "busy")
    assert answer.headers["Retry-After"] == "5"


def test_a_person_is_shown_a_page_in_the_language_of_the_browser(asked):
    page = " HTTP/1.1\nAccept-Language: {language}\n" + FORM
    for status, line, length in (
        (400, "POST /people/enter/" + page + "Host: evil.example", 3),
        (413, "POST /people/enter/" + page + "{us}", LARGE),
        (413, "POST /people/enter/" + page + "{us}", 50_000_000),
    ):
        for language in ("en", "es"):
            body = bytes(length if length <= LARGE else 0)
            answer, text = asked(line + f"\nContent-Length: {length}", body, language=language)
            assert answer.status == status
            assert f'<html lang="{language}">' in text


def test_so_is_whoever_sends_much_to_an_address_that_is_none(asked):
    answer, text = asked("POST /none/ HTTP/1.1\n{us}\n" + FORM + f"Content-Length: {LARGE}", bytes(LARGE))
    assert answer.status == 404
    assert "No such page" in text
