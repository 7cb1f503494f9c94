"""Signs that print as nothing, texts without them, and names: how they are kept, and which of them are the same."""

import re
import unicodedata
from collections.abc import Iterable

from django.core.exceptions import ValidationError

from jetwright.report.wording import _

BLANKS = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u180b\u180c\u180d\u180f\u2800\u3164\uffa0").union(
    map(chr, range(0xFE00, 0xFE10)), map(chr, range(0xE0100, 0xE01F0))
)
"""What Python calls printable and nobody sees: Hangul fillers, the empty Braille cell, joiners and vowels of no ink,
and what chooses between two shapes of the sign before it."""

ALIKE = frozenset({"LATIN", "GREEK", "CYRILLIC", "ARMENIAN", "COPTIC", "CHEROKEE", "LISU", "GEORGIAN"})
"""Scripts with letters that look like another's of these; each is the first word of its letters' names in Unicode."""


def one_line(typed: str) -> str:
    """A text in one line, each sign in it to be seen, its gaps closed. [-]"""
    return " ".join("".join(sign if seen(sign) else " " for sign in typed).split())


def seen(sign: str) -> bool:
    """Whether a sign, or the gap that it makes, is seen. [-]"""
    return sign.isprintable() and sign not in BLANKS


def unread(name: str) -> str:
    """What is wrong with a name that cannot be read, in words; "" where each sign of it is seen. [-]"""
    if all(seen(sign) for sign in name) and any(sign.isalnum() for sign in name):
        return ""
    return _("A name is one line of signs that are seen, with letters among them.")


def named(typed: str, most: int) -> str:
    """A name as it is kept, its accents written in one way; refused where it cannot be read, or has no room. [-]

    most: signs that there is room for; some letters become two.
    """
    name = unicodedata.normalize("NFC", typed.strip())
    if unread(name):
        raise ValidationError(unread(name))
    if len(name) > most:
        raise ValidationError(_("too long (at most {limit} signs)").format(limit=most))
    return name


def of_one_script(name: str) -> str:
    """The name; refused where a word of it mixes letters that look alike, and so passes for another. [-]"""
    for word in re.split(r"[\s-]+", unicodedata.normalize("NFKC", name)):
        if len(ALIKE.intersection(unicodedata.name(sign, "").split(" ")[0] for sign in word)) > 1:
            words = _("“{word}” mixes letters of two alphabets that look alike. Write the word in one alphabet.")
            raise ValidationError(words.format(word=word))
    return name


def same_name(one: str) -> str:
    """A name as it is compared: capitals, width and accents written in two ways make no other name. [-]"""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", one).casefold())


def taken(name: str, names: Iterable[str]) -> bool:
    """Whether one of the names is the same. [-]"""
    return same_name(name) in map(same_name, names)
