"""What no line ends within: a date, a tag, a number with its unit. The text stays as it is and can be copied."""

import re
from functools import lru_cache

from markupsafe import Markup, escape

from jetwright.report.figures import printed
from jetwright.units import TABLE

LONGEST = 24
"""What is longer than this may be broken: it would not fit into a narrow column. [signs]"""

_PRINTED = {"m²", "m³", "m³/h", "ft²"}
_UNITS = sorted({name for row in TABLE for name in (row.name, printed(row.name))} | _PRINTED, key=len, reverse=True)
_UNIT = "|".join(map(re.escape, _UNITS))
_BLANK = "[ \u00a0\u202f]"
_WHOLE = re.compile(
    rf"""
      \d{{4}}-\d\d-\d\d (?!\d)
    | \d\d:\d\d {_BLANK} [A-Z]{{3,4}}\b
    | (?:[±−+]{_BLANK}?)? \d+ (?:[.,]\d+)* (?:{_BLANK}\d{{3}})* {_BLANK} (?:{_UNIT}) (?![\w²³/])
    | \d+ {_BLANK} × {_BLANK} [^\W_]+ (?:[-./][^\W_]+)*
    | (?<![\w.-]) (?!\d+\.\d+(?![\w/-]|\.\d)) (?=[^\s:;,()]*\d) [^\W_]+ (?:[-./][^\W_]+)+
    """,
    re.VERBOSE,
)


def whole(words: object) -> Markup:
    """A text in which what belongs together stays on one line. [-]"""
    return _whole(str(words))


@lru_cache(maxsize=4096)
def _whole(text: str) -> Markup:
    told, at = [], 0
    for found in _WHOLE.finditer(text):
        if len(found[0]) <= LONGEST:
            told += [escape(text[at : found.start()]), '<span class="whole">', escape(found[0]), "</span>"]
            at = found.end()
    return Markup("".join([*told, escape(text[at:])]))  # each part of the text is escaped
