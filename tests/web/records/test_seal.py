"""The seal's own parts against what the standards print."""

import json
import math
import struct

import hypothesis
import pytest
from hypothesis import strategies

from jetwright.web.records.seal import canonical, is_signed, sha256, signature_of

RFC_8785 = "RFC 8785 (2020), JSON Canonicalization Scheme, from memory"
INPUT = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
OUTPUT = (
    '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
    '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
)
NUMBERS = [  # bits of the double, its text: appendix B
    ("0000000000000000", "0"),
    ("8000000000000000", "0"),
    ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"),
    ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"),
    ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"),
    ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
    ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"),
    ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"),
    ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
]


@pytest.mark.published(f"{RFC_8785}, section 3.2")
def test_the_worked_example_comes_out_byte_by_byte():
    assert canonical(json.loads(INPUT)) == OUTPUT.encode("utf-8")


@pytest.mark.published(f"{RFC_8785}, section 3.2.3")
def test_keys_are_in_the_order_of_their_utf_16():
    keys = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    assert list(json.loads(canonical(keys)).values()) == [
        "Carriage Return",
        "One",
        "Control",
        "Latin Small Letter O With Diaeresis",
        "Euro Sign",
        "Emoji: Grinning Face",
        "Hebrew Letter Dalet With Dagesh",
    ]


@pytest.mark.published(f"{RFC_8785}, appendix B")
@pytest.mark.parametrize(("bits", "text"), NUMBERS)
def test_numbers_are_printed_as_ecmascript_prints_them(bits, text):
    (value,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical(value).decode() == text


@pytest.mark.published(f"{RFC_8785}, appendix B and section 3.2.2.2")
@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -math.inf, "\ud800", {"\udead": 1}, 2**53 + 1, {1: 2}, {"a": {3}}, b"bytes"]
)
def test_what_has_no_canonical_text_is_refused(value):
    with pytest.raises(ValueError):  # noqa: PT011
        canonical([value])


@hypothesis.given(strategies.floats(allow_nan=False, allow_infinity=False))
def test_every_number_reads_back_as_it_was(value):
    assert float(canonical(value)) == value


@hypothesis.given(
    strategies.recursive(
        strategies.none()
        | strategies.booleans()
        | strategies.integers(-(2**53), 2**53)
        | strategies.text(strategies.characters(exclude_categories=["Cs"])),
        lambda inner: strategies.lists(inner) | strategies.dictionaries(strategies.text("aé\U0001f600\ufb33"), inner),
    )
)
def test_what_is_read_back_has_the_same_text_again(value):
    told = canonical(value)
    assert json.loads(told) == value
    assert canonical(json.loads(told)) == told


@pytest.mark.published("FIPS 180-4 (2015), SHA-256, the examples “abc” and of two blocks, from memory")
def test_the_digest_is_sha_256():
    assert sha256(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    two = b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"
    assert sha256(two) == "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"


ED25519 = [  # secret key, public key, message, signature
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46b"
        "d25bf5f0595bbe24655141438e7a100b",
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c"
        "387b2eaeb4302aeeb00d291612bb0c00",
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc659"
        "4a7c15e9716ed28dc027beceea1ec40a",
    ),
]


@pytest.mark.published("RFC 8032 (2017), section 7.1, tests 1 to 3, from memory")
@pytest.mark.parametrize(("secret", "public", "message", "signature"), ED25519)
def test_the_signature_is_ed25519(secret, public, message, signature):
    told = bytes.fromhex(message)
    assert signature_of(bytes.fromhex(secret), told) == signature
    assert is_signed(public, signature, told)
    assert not is_signed(public, signature, told + b"\0")
    assert not is_signed(public, f"{int(signature[:2], 16) ^ 1:02x}{signature[2:]}", told)


@pytest.mark.parametrize(("key", "signature"), [("", ""), ("zz", "00"), ("00" * 31, "00" * 64), ("00" * 32, "00" * 63)])
def test_what_is_no_key_or_no_signature_signs_nothing(key, signature):
    assert not is_signed(key, signature, b"abc")
