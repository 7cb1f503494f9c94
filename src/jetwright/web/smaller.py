"""Texts go out compressed: a phone at the end of a yard waits for a third of the bytes."""

from typing import Any

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.middleware.gzip import GZipMiddleware

TEXTS = ("text/", "application/javascript", "application/json", "image/svg+xml")
"""What compressing makes smaller; fonts, photos and sheets are compressed already."""


class Smaller(GZipMiddleware):
    """Compresses pages and the files they need.

    What a page hides cannot be read from its size: each answer is longer by some random bytes, the token in a form is
    masked anew each time, and a foreign page cannot have ours fetched in somebody's name.
    """

    sync_capable = False

    async def __acall__(self, request: HttpRequest) -> Any:
        """The answer, compressed where that makes it smaller. [-]"""
        answer = await self.get_response(request)  # type: ignore[misc]
        if answer.status_code == 206 or not answer.get("Content-Type", "").startswith(TEXTS):
            return answer
        if isinstance(answer, StreamingHttpResponse):  # a file: whole, as a browser reads one compressed piece only
            whole = b"".join([part async for part in answer])
            answer.close()
            answer = HttpResponse(whole, status=answer.status_code, headers=answer.headers)
        return self.process_response(request, answer)
