"""How wide the packaged fonts really are: enough of the TrueType format to read a letter's advance."""

import functools
import struct
from pathlib import Path

import jetwright.report

FONTS = Path(jetwright.report.__file__).parent / "fonts"


@functools.cache
def _font(weight):
    raw = (FONTS / f"AtkinsonHyperlegibleNext-{weight}.ttf").read_bytes()
    tables = {}
    for at in range(12, 12 + 16 * struct.unpack(">H", raw[4:6])[0], 16):
        tag, _sum, start, length = struct.unpack(">4sIII", raw[at : at + 16])
        tables[tag.decode()] = raw[start : start + length]
    (em,) = struct.unpack(">H", tables["head"][18:20])
    (count,) = struct.unpack(">H", tables["hhea"][34:36])
    widths = [struct.unpack(">H", tables["hmtx"][4 * n : 4 * n + 2])[0] / em for n in range(count)]
    return _glyphs(tables["cmap"]), widths


def _glyphs(cmap):
    """Glyph of each character, from the subtable in format 4."""
    for place in range(struct.unpack(">H", cmap[2:4])[0]):
        start = struct.unpack(">I", cmap[8 + 8 * place : 12 + 8 * place])[0]
        table = cmap[start:]
        if struct.unpack(">H", table[:2])[0] != 4:
            continue
        size = struct.unpack(">H", table[6:8])[0] // 2
        read = functools.partial(_row, table, size)
        ends, starts, deltas, offsets = read(14), read(16 + 2 * size), read(16 + 4 * size), read(16 + 6 * size)
        glyphs = {}
        for n in range(size):
            for code in range(starts[n], min(ends[n], 0xFFFE) + 1):
                glyph = code
                if offsets[n]:
                    at = 16 + 6 * size + 2 * n + offsets[n] + 2 * (code - starts[n])
                    glyph = struct.unpack(">H", table[at : at + 2])[0]
                if glyph:
                    glyphs[code] = (glyph + deltas[n]) % 65536
        return glyphs
    raise AssertionError("no subtable in format 4")


def _row(table, size, at):
    return struct.unpack(f">{size}H", table[at : at + 2 * size])


def known(letter):
    return ord(letter) in _font("Regular")[0]


def width(text, size, bold=False):
    glyphs, widths = _font("Bold" if bold else "Regular")
    advances = (widths[min(glyphs.get(ord(letter), 0), len(widths) - 1)] for letter in text)
    return size * sum(advances)
