"""Pictures that a browser may keep and asks about again each time: whoever may no longer see one, does not."""

from collections.abc import Callable

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.utils.cache import get_conditional_response


def asked_again(request: HttpRequest, digest: str, fresh: Callable[[], HttpResponseBase]) -> HttpResponseBase:
    """The picture of that digest, made now, or the word that it is still as the browser has it. [-]"""
    tag = f'"{digest}"'
    kept = get_conditional_response(request, etag=tag)
    answer = fresh() if kept is None else kept
    answer["Cache-Control"], answer["ETag"] = "private, no-cache", tag
    return answer
