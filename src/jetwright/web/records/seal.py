"""The seal of a record: canonical JSON, a digest chained to the one before, a signature; and whether they hold."""

import datetime
import hashlib
import itertools
import json
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from jetwright.report.wording import _
from jetwright.web import place
from jetwright.web.people.models import Crew
from jetwright.web.records.models import Record

KEY = "seal.key"
"""The secret key, 32 raw bytes, in the data folder: no database and no backup holds it."""
KNOWN = "seal.known"
"""Public keys of other counters whose records are kept here too: in hexadecimal, one a line, in the data folder."""
LARGEST = 2**53
"""Whole numbers beyond it are not all numbers of JSON."""


# ---- canonical JSON


def canonical(value: Any) -> bytes:
    """A value as the one text that JSON has for it after RFC 8785: keys in order, no blanks, numbers one way. [-]

    ValueError for what has no such text: a number that is not finite or not exact, half a surrogate pair, another type.
    """
    return "".join(_told(value)).encode("utf-8")


def _told(value: Any) -> Iterator[str]:
    if value is None or isinstance(value, bool):
        yield {None: "null", True: "true", False: "false"}[value]
    elif isinstance(value, str):
        yield json.dumps(value, ensure_ascii=False)
    elif isinstance(value, int | float):
        yield _number(value)
    elif isinstance(value, Mapping):
        if not all(isinstance(key, str) for key in value):
            raise ValueError("a key that is no text")
        yield "{"
        for count, key in enumerate(sorted(value, key=lambda key: key.encode("utf-16-be"))):
            yield ("," if count else "") + json.dumps(key, ensure_ascii=False) + ":"
            yield from _told(value[key])
        yield "}"
    elif isinstance(value, list | tuple):
        yield "["
        for count, one in enumerate(value):
            yield "," if count else ""
            yield from _told(one)
        yield "]"
    else:
        raise ValueError(f"{type(value).__name__} is not of JSON")


def _number(value: float) -> str:
    """A number as ECMAScript prints it (ECMA-262, Number::toString): the shortest digits that read back the same."""
    if isinstance(value, int) and abs(value) > LARGEST:
        raise ValueError(f"{value} is not exact in JSON")
    if not math.isfinite(value):
        raise ValueError(f"{value} is no number of JSON")
    if value == 0:
        return "0"
    sign = "-" if value < 0 else ""
    figures, _e, power = f"{abs(float(value))!r}".partition("e")
    whole, _dot, part = figures.partition(".")
    part = "" if part == "0" else part
    point = len(whole) + int(power or 0)  # where the point stands, from the first digit
    digits = whole + part
    bare = digits.lstrip("0")
    point -= len(digits) - len(bare)
    digits = bare.rstrip("0")
    count = len(digits)
    if count <= point <= 21:
        return sign + digits + "0" * (point - count)
    if 0 < point <= 21:
        return f"{sign}{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return f"{sign}0.{'0' * -point}{digits}"
    mantissa = digits if count == 1 else f"{digits[0]}.{digits[1:]}"
    return f"{sign}{mantissa}e{point - 1:+d}"


# ---- digest and signature


def at_text(at: datetime.datetime) -> str:
    """A time as a digest has it: in UTC, to the microsecond. [-]"""
    return at.astimezone(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def sha256(told: bytes) -> str:
    """SHA-256 (FIPS 180-4), in hexadecimal. [-]"""
    return hashlib.sha256(told).hexdigest()


def signature_of(secret: bytes, told: bytes) -> str:
    """The Ed25519 signature (RFC 8032) of a secret key, in hexadecimal. [-]"""
    return Ed25519PrivateKey.from_private_bytes(secret).sign(told).hex()


def is_signed(key: str, signature: str, told: bytes) -> bool:
    """Whether that is the signature of a public key, both in hexadecimal. [-]"""
    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(key)).verify(bytes.fromhex(signature), told)
    except (InvalidSignature, ValueError):
        return False
    return True


def digest_of(record: Record) -> str:
    """The digest of what a record says. [-]"""
    told = {
        "number": record.number,
        "crew": str(record.crew_id),
        "kind": record.kind,
        "made_at": at_text(record.made_at),
        "by": str(record.by_id),
        "previous": record.previous,
        "body": record.body,
    }
    return sha256(canonical(told))


def _signed_bytes(digest: str, sheet: "bytes | memoryview[int]") -> bytes:
    """What the signature is of: the digest, and with it the PDF that carries its fingerprint."""
    return canonical({"digest": digest, "sheet": sha256(bytes(sheet))})


def close(record: Record) -> None:
    """Seal a record whose digest and sheet are there, with this counter's key. [-]"""
    record.key = public_key()
    record.signature = signature_of(_secret(), _signed_bytes(record.digest, record.sheet))


def public_key() -> str:
    """The key to this counter's seals, in hexadecimal: what others may know and check by. [-]"""
    return Ed25519PrivateKey.from_private_bytes(_secret()).public_key().public_bytes_raw().hex()


def _secret() -> bytes:
    """The counter's key, made when it is first needed."""
    return place.keep_secret(KEY, lambda: Ed25519PrivateKey.generate().private_bytes_raw())


def known_keys() -> frozenset[str]:
    """The public keys whose seals are taken: this counter's, and those of `KNOWN`. [-]"""
    file = place.folder() / KNOWN
    listed = file.read_text(encoding="ascii").split() if file.is_file() else []
    own = [public_key()] if (place.folder() / KEY).is_file() else []
    return frozenset(one.lower() for one in [*own, *listed])


# ---- whether they hold


@dataclass(frozen=True, slots=True)
class Finding:
    """What is wrong with a record or with its place in the chain.

    what: "body", "names", "signature", "key", "previous" or "hole"; number: of the record it shows at; uuid: of that
    record, None where it is not there.
    """

    what: str
    number: int
    uuid: str | None = None


def words_for(finding: Finding) -> str:
    """A finding in words. [-]"""
    words = {
        "body": _("Record {n}: what it says is not what was sealed."),
        "names": _("Record {n}: it stands under another task or name than the one that was sealed."),
        "signature": _("Record {n}: the signature does not fit; the record or its sheet is not what was signed."),
        "key": _("Record {n}: it was sealed with a key that this counter does not know."),
        "previous": _("Record {n}: it does not follow the record before it as it is now."),
        "hole": _("Record {n} is missing."),
    }
    return words[finding.what].format(n=finding.number)


def check_record(record: Record, known: frozenset[str] | None = None) -> list[Finding]:
    """What is wrong with one record in itself, its place in the chain apart. [-]

    known: from `known_keys`, where many are checked.
    """
    found = []
    if digest_of(record) != record.digest:
        found.append("body")
    elif not _named(record):
        found.append("names")
    if not is_signed(record.key, record.signature, _signed_bytes(record.digest, record.sheet)):
        found.append("signature")
    if record.key not in (known_keys() if known is None else known):
        found.append("key")
    return [Finding(what, record.number, str(record.pk)) for what in found]


def _named(record: Record) -> bool:
    """Whether the columns that no digest holds are as the body names them."""
    try:
        body = json.loads(record.body)
        return bool(body["record"] == str(record.pk) and body["task"]["uuid"] == str(record.task_id))
    except (ValueError, KeyError, TypeError, RecursionError):
        return False


def check_links(crew: Crew) -> list[Finding]:
    """What is wrong with the numbers of a crew's records and with how each names the one before; bodies unread. [-]"""
    return _links(Record.objects.filter(crew=crew).order_by("number").values_list("pk", "number", "previous", "digest"))


def check_chains(crews: Iterable[Crew]) -> list[Finding]:
    """The same of the records of many crews, asked for at once. [-]"""
    rows = Record.objects.filter(crew__in=list(crews)).order_by("crew", "number")
    told = rows.values_list("crew", "pk", "number", "previous", "digest")
    chains = itertools.groupby(told, key=lambda row: row[0])
    return [finding for _crew, chain in chains for finding in _links(row[1:] for row in chain)]


def check_crew(crew: Crew) -> list[Finding]:
    """Everything that is wrong with a crew's records: each in itself, and the chain; none: every seal holds. [-]"""
    known = known_keys()
    rows = Record.objects.filter(crew=crew).order_by("number")
    found = list(itertools.chain.from_iterable(check_record(record, known) for record in rows.iterator(chunk_size=20)))
    return sorted([*found, *check_links(crew)], key=lambda finding: finding.number)


def _links(rows: Iterable[tuple[Any, int, str, str]]) -> list[Finding]:
    found, expected, before = [], 1, ""
    for pk, number, previous, digest in rows:
        found += [Finding("hole", missing) for missing in range(expected, min(number, expected + 100))]
        if previous != before:
            found.append(Finding("previous", number, str(pk)))
        expected, before = number + 1, digest
    return found
