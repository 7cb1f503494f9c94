"""Fetch the fonts of the job sheet again: Atkinson Hyperlegible Next, Regular and Bold, as their authors made them.

    python tools/fetch_fonts.py

The npm package carries the TrueType files unchanged; what arrives is held to the hash below. `signs.txt` is read out of
the regular one: the signs that both have, as ranges of code points.
"""

import base64
import hashlib
import io
import pathlib
import struct
import tarfile
import urllib.request

PACKAGE = "@expo-google-fonts/atkinson-hyperlegible-next"
VERSION = "0.4.1"
ADDRESS = f"https://registry.npmjs.org/{PACKAGE}/-/{PACKAGE.rsplit('/')[-1]}-{VERSION}.tgz"
SHA512 = "tA5NUQCrb4GnQ8kvghyF6Kqw72zr4zSNmMwhCTcHlsu/jE5JoF8Fje5/WwL44y17Lue99pG9cyq3PW5X/7ZDng=="
FOLDER = pathlib.Path(__file__).parents[1] / "src" / "jetwright" / "report" / "fonts"
FILES = {
    "package/400Regular/AtkinsonHyperlegibleNext_400Regular.ttf": "AtkinsonHyperlegibleNext-Regular.ttf",
    "package/700Bold/AtkinsonHyperlegibleNext_700Bold.ttf": "AtkinsonHyperlegibleNext-Bold.ttf",
    "package/LICENSE_FONT": "OFL.txt",
}


def main() -> None:
    """Fetch, compare, unpack."""
    with urllib.request.urlopen(ADDRESS) as answer:
        packed = answer.read()
    found = base64.b64encode(hashlib.sha512(packed).digest()).decode()
    if found != SHA512:
        raise SystemExit(f"{ADDRESS}: sha512 {found}, not {SHA512}")
    FOLDER.mkdir(exist_ok=True)
    with tarfile.open(fileobj=io.BytesIO(packed)) as archive:
        for inside, name in FILES.items():
            content = archive.extractfile(inside)
            assert content is not None
            raw = content.read()
            (FOLDER / name).write_bytes(raw)
            print(f"{name}  {len(raw)} bytes  sha256 {hashlib.sha256(raw).hexdigest()}")
    regular = (FOLDER / "AtkinsonHyperlegibleNext-Regular.ttf").read_bytes()
    (FOLDER / "signs.txt").write_text("".join(f"{row}\n" for row in ranges(signs(regular))), encoding="ascii")


def signs(raw: bytes) -> list[int]:
    """The code points a TrueType file has a glyph for, by its table cmap in format 4, or 12 where it has it."""
    tables = range(12, 12 + 16 * int.from_bytes(raw[4:6]), 16)
    at = next(int.from_bytes(raw[n + 8 : n + 12]) for n in tables if raw[n : n + 4] == b"cmap")
    found: set[int] = set()
    for n in range(int.from_bytes(raw[at + 2 : at + 4])):
        table = raw[at + int.from_bytes(raw[at + 8 + 8 * n : at + 12 + 8 * n]) :]
        kind = int.from_bytes(table[:2])
        if kind == 4:
            size = int.from_bytes(table[6:8])
            ends, starts = (struct.unpack(f">{size // 2}H", table[k : k + size]) for k in (14, 16 + size))
            found |= {code for pair in zip(starts, ends, strict=True) for code in range(pair[0], pair[1] + 1)}
        if kind == 12:
            rows = struct.iter_unpack(">III", table[16 : 16 + 12 * int.from_bytes(table[12:16])])
            found |= {code for first, last, _glyph in rows for code in range(first, last + 1)}
    return sorted(found - {0xFFFF})


def ranges(codes: list[int]) -> list[str]:
    """Code points as ranges, in hexadecimal."""
    firsts = [code for code in codes if code - 1 not in codes]
    lasts = [code for code in codes if code + 1 not in codes]
    return [f"{first:04X}-{last:04X}" for first, last in zip(firsts, lasts, strict=True)]


if __name__ == "__main__":
    main()
