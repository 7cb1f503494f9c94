"""Whoever does not finish asking is not waited for."""

import asyncio
import socket
import threading
import time

import pytest
import uvicorn

from jetwright.web import serve

pytestmark = pytest.mark.any_database

WAIT = 0.4


async def application(scope, receive, send):
    await asyncio.sleep(2.5 * WAIT if scope["path"] == "/slow" else 0.0)
    await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"4")]})
    await send({"type": "http.response.body", "body": b"here"})


@pytest.fixture
def port(monkeypatch):
    """A server with the counter's protocol, that waits less long for a head."""
    monkeypatch.setattr(serve, "HEAD_WAIT", WAIT)
    config = uvicorn.Config(application, http=serve._Impatient, lifespan="off", log_config=None)
    server = uvicorn.Server(config)
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        thread = threading.Thread(target=server.run, args=([listener],))
        thread.start()
        yield listener.getsockname()[1]
        server.should_exit = True
        thread.join(10.0)


def until_closed(line, drip=b""):
    """How long the other side keeps a connection open. [s]"""
    began = time.monotonic()
    line.settimeout(0.1)
    while time.monotonic() - began < 10.0:
        try:
            if drip:
                line.send(drip)
            if line.recv(1000) == b"":
                break
        except TimeoutError:
            continue
        except OSError:
            break
    return time.monotonic() - began


def answered(line):
    """Whether the whole answer comes; its head and its body may come one after the other."""
    told = b""
    while not told.endswith(b"here"):
        more = line.recv(1000)
        if more == b"":
            return False
        told += more
    return True


def test_a_connection_on_which_nothing_is_asked_is_closed(port):
    with socket.create_connection(("127.0.0.1", port)) as line:
        assert until_closed(line) < 5 * WAIT


def test_a_head_that_comes_letter_by_letter_is_broken_off(port):
    with socket.create_connection(("127.0.0.1", port)) as line:
        line.send(b"GET / HTTP/1.1\r\nHost: localhost\r\nX-Slow: ")
        assert until_closed(line, b"x") < 5 * WAIT


def test_so_is_the_second_one_of_a_connection(port):
    with socket.create_connection(("127.0.0.1", port)) as line:
        line.send(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n")
        assert answered(line)
        line.send(b"GET / HTTP/1.1\r\nX-Slow: ")
        assert until_closed(line, b"x") < 5 * WAIT


def test_an_answer_may_take_longer(port):
    with socket.create_connection(("127.0.0.1", port)) as line:
        line.send(b"GET /slow HTTP/1.1\r\nHost: localhost\r\n\r\n")
        line.settimeout(10.0)
        assert answered(line)


def test_what_comes_byte_by_byte_is_not_waited_for_either(monkeypatch):
    from jetwright.web import asgi

    monkeypatch.setattr(asgi, "LONGEST_WAIT", WAIT)
    sent = []

    async def drip():
        await asyncio.sleep(WAIT / 4)
        return {"type": "http.request", "body": b"x", "more_body": True}

    async def send(event):
        sent.append(event)

    headers = [(b"host", b"localhost"), (b"content-length", b"1000")]
    scope = {"type": "http", "method": "POST", "path": "/people/enter/", "headers": headers, "query_string": b""}
    began = time.monotonic()
    asyncio.run(asgi.application(scope, drip, send))
    assert time.monotonic() - began < 10 * WAIT
    assert [event.get("status") for event in sent] == [408, None]


@pytest.mark.parametrize("path", ["/people/enter/", "/api/understood"])
def test_what_does_not_come_is_not_waited_for_and_that_is_said(monkeypatch, path):
    from jetwright.web import asgi

    monkeypatch.setattr(asgi, "LONGEST_WAIT", WAIT)
    sent = []

    async def never():
        await asyncio.Event().wait()

    async def send(event):
        sent.append(event)

    headers = [(b"host", b"localhost"), (b"content-length", b"10")]
    scope = {"type": "http", "method": "POST", "path": path, "headers": headers, "query_string": b""}
    began = time.monotonic()
    asyncio.run(asgi.application(scope, never, send))
    assert time.monotonic() - began < 10 * WAIT
    assert [event.get("status") for event in sent] == [408, None]
    assert b"too slowly" in sent[1]["body"]
    assert sent[1]["body"].startswith(b"{" if path.startswith("/api/") else b"<!doctype html>")
