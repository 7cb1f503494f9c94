"""The counter as an ASGI application, for uvicorn; what is larger or slower than any form is broken off."""

import asyncio
import gc
import io
import os
import time
from typing import Any

os.environ["DJANGO_SETTINGS_MODULE"] = "jetwright.web.settings"

from django.conf import settings
from django.core.asgi import get_asgi_application
from django.core.handlers.asgi import ASGIRequest

from jetwright.web.held import refused

MOST = 2 * settings.MOST_PHOTO_BYTES
"""Most bytes of a request: up to here a page says in words that a photo is too large."""

LONGEST_WAIT = 20.0
"""How long a request may take to come, with a second more for each `SLOWEST` bytes; who sends slower is no form. [s]"""

SLOWEST = 4096
"""Bytes in a second of the slowest line that a photo is sent over."""

USUAL = {
    b"content-security-policy": b"default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    b"x-content-type-options": b"nosniff",
    b"x-frame-options": b"DENY",
    b"referrer-policy": b"same-origin",
    b"cross-origin-opener-policy": b"same-origin",
}
"""What every answer carries, those too that are given before a page is looked for."""

_pages: Any = get_asgi_application()

# What is loaded by now stays: it is not looked through again for what may go, a tenth of the time of an answer.
gc.collect()
gc.freeze()
gc.set_threshold(20_000, 50, 50)


async def application(scope: Any, receive: Any, send: Any) -> None:
    """The pages, which never see more of a request than `MOST` bytes. [-]"""
    told = dict(scope.get("headers", ())).get(b"content-length", b"0")
    if scope.get("state", {}).get("crowded"):
        await _refuse(scope, send, 503)
        return
    if not told.isdigit() or int(told) > MOST:
        await _refuse(scope, send, 413)
        return
    count, answered, whole, late = 0, False, False, False
    begun = time.monotonic()

    async def counted() -> Any:
        nonlocal count, whole, late
        left = begun + LONGEST_WAIT + count / SLOWEST - time.monotonic()
        try:
            event = await (receive() if whole else asyncio.wait_for(receive(), max(0.0, left)))
        except TimeoutError:
            late = True
            return {"type": "http.disconnect"}
        count += len(event.get("body", b""))
        whole = not event.get("more_body", False)
        return event if count <= MOST else {"type": "http.disconnect"}

    async def noted(event: Any) -> None:
        nonlocal answered
        answered = True
        await send(_complete(event))

    await _pages(scope, counted, noted)
    if not answered and (late or count > MOST):
        await _refuse(scope, send, 408 if late else 413)


async def _refuse(scope: Any, send: Any, status: int) -> None:
    """Say why nothing more is read on this connection."""
    page = refused(ASGIRequest(scope, io.BytesIO()), status)
    headers = [(name.lower().encode(), value.encode()) for name, value in page.items()]
    headers += [(b"content-length", str(len(page.content)).encode()), (b"connection", b"close")]
    await send(_complete({"type": "http.response.start", "status": status, "headers": headers}))
    await send({"type": "http.response.body", "body": page.content})


def _complete(event: Any) -> Any:
    """The beginning of an answer with the usual headers that it lacks."""
    if event["type"] != "http.response.start":
        return event
    there = list(event.get("headers", ()))
    names = {name.lower() for name, _value in there}
    return {**event, "headers": [*there, *((name, value) for name, value in USUAL.items() if name not in names)]}
