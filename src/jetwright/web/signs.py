"""Signs that print as nothing, and texts without them."""

import unicodedata

BLANKS = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u180b\u180c\u180d\u180f\u2800\u3164\uffa0")
"""What Python calls printable and nobody sees: Hangul fillers, the empty Braille cell, joiners and vowels of no ink."""


def one_line(typed: str) -> str:
    """A text in one line, each sign in it to be seen, its gaps closed. [-]"""
    return " ".join("".join(sign if seen(sign) else " " for sign in typed).split())


def seen(sign: str) -> bool:
    """Whether a sign, or the gap that it makes, is seen. [-]"""
    return sign.isprintable() and sign not in BLANKS


def same_name(one: str) -> str:
    """A name as it is compared: capitals, width and accents written in two ways make no other name. [-]"""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", one).casefold())
