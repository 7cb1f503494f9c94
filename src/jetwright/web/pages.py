"""How pages are made: Jinja templates that speak through the one catalogue and print through the report."""

from functools import lru_cache
from typing import Any

import jinja2
from django.conf import settings
from django.contrib.messages import get_messages
from django.templatetags.static import static
from django.urls import reverse

from jetwright import __version__
from jetwright.report.figures import printed
from jetwright.report.wording import _, caution, caution_of_facts, ngettext, spoken, verdict_words
from jetwright.web.measured import as_example
from jetwright.web.times import at_words
from jetwright.web.whole import whole


def environment(**options: Any) -> jinja2.Environment:
    """The templates' environment: addresses, files, words; what is not there is an error, not nothing. [-]"""
    options |= {"undefined": jinja2.StrictUndefined, "trim_blocks": True, "lstrip_blocks": True}
    made = jinja2.Environment(**options, extensions=["jinja2.ext.i18n", "jinja2.ext.do"])
    made.install_gettext_callables(_, ngettext, newstyle=False)  # type: ignore[attr-defined]
    made.filters |= {"whole": whole, "at_words": at_words}
    made.globals |= {
        "static": lru_cache(maxsize=64)(static),  # a plan's page names its signs sixty times
        "url": _url,
        "get_messages": get_messages,
        "caution": caution,
        "caution_of_facts": caution_of_facts,
        "verdict_words": verdict_words,
        "printed": printed,
        "as_example": as_example,
        "spoken": spoken,
        "version": __version__,
        "idle_minutes": settings.IDLE_MINUTES,
    }
    return made


def _url(name: str, *args: object) -> str:
    return reverse(name, args=args)
