"""Pictures that a browser may keep and asks about again each time: whoever may no longer see one, does not."""

from typing import Any, TypeVar

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.utils.cache import get_conditional_response

A = TypeVar("A", bound=HttpResponseBase)


def asked_again(request: HttpRequest, answer: A, digest: str) -> A | HttpResponse:
    """The answer, or that it is as the browser has it. [-]"""
    answer["Cache-Control"], answer["ETag"] = "private, no-cache", f'"{digest}"'
    whole: Any = answer
    found: A | HttpResponse | None = get_conditional_response(request, etag=answer["ETag"], response=whole)
    if found is None or found is answer:
        return answer
    answer.close()
    return found
