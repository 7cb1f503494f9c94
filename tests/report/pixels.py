"""How far the ink of a picture reaches: enough of the PNG format (W3C, 2003) to read its pixels."""

import struct
import zlib


def ink(png):
    """Width of the picture, and the first and last column that is not white."""
    width, height, depth, colour, _pressed, _filtered, woven = struct.unpack(">IIBBBBB", png[16:29])
    assert (depth, colour, woven) == (8, 6, 0)
    rows, last, reach = zlib.decompress(_packed(png)), bytes(4 * width), []
    for place in range(height):
        start = place * (4 * width + 1)
        last = _plain(rows[start], rows[start + 1 : start + 1 + 4 * width], last)
        drawn = [n for n in range(width) if last[4 * n : 4 * n + 3] != b"\xff\xff\xff"]
        reach += drawn[:1] + drawn[-1:]
    return width, min(reach), max(reach)


def _packed(png):
    at, found = 8, b""
    while at < len(png):
        size = int.from_bytes(png[at : at + 4])
        if png[at + 4 : at + 8] == b"IDAT":
            found += png[at + 8 : at + 8 + size]
        at += size + 12
    return found


def _plain(kind, row, above):
    made = bytearray(row)
    for n in range(len(made)):
        left, up, corner = (made[n - 4], above[n], above[n - 4]) if n >= 4 else (0, above[n], 0)
        near = left + up - corner
        nearest = min((abs(near - left), 0, left), (abs(near - up), 1, up), (abs(near - corner), 2, corner))[2]
        made[n] = (made[n] + (0, left, up, (left + up) // 2, nearest)[kind]) % 256
    return bytes(made)
