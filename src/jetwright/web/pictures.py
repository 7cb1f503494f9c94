"""Photos: what a browser sends is decoded and drawn anew, so that nothing but the picture is kept.

It runs in the worker, and imports no Django.
"""

import io
import warnings

from PIL import Image, ImageOps, UnidentifiedImageError

MOST_BYTES = 20 * 1024 * 1024
"""Most bytes that are looked at."""
MOST_PIXELS = 40_000_000
"""Most pixels of a JPEG, which is decoded smaller."""
MOST_WHOLE = 20_000_000
"""Most pixels of a PNG or WebP, of which each is held, several times over."""
LONGEST_SIDE = 1600
"""Pixels of the longer side of what is kept."""
SMALL_SIDE = 320
"""Pixels of the longer side of the small one."""

_MIXED = ("L", "LA", "RGB", "RGBA", "CMYK")
"""Modes of which a picture can be made smaller as it is, before there is another of its size."""
_BEGINNINGS = {"JPEG": (b"\xff\xd8\xff", 0), "PNG": (b"\x89PNG\r\n\x1a\n", 0), "WEBP": (b"WEBP", 8)}


class RefusedPictureError(Exception):
    """What was sent is not kept; code: too_large, no_picture, too_many_pixels or broken."""

    def __init__(self, code: str) -> None:
        self.code = code
        super().__init__(code)


def made_anew(raw: bytes) -> tuple[bytes, bytes, int, int]:
    """A photo as a JPEG of at most 1600 pixels, the small one beside it, its width and its height. [-]

    Only the picture goes through: no place, no camera, no comment, nothing that stood behind it.
    """
    if len(raw) > MOST_BYTES:
        raise RefusedPictureError("too_large")
    kind = next((name for name, (start, at) in _BEGINNINGS.items() if raw[at : at + len(start)] == start), "")
    if not kind or (kind == "WEBP" and raw[:4] != b"RIFF"):
        raise RefusedPictureError("no_picture")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # our own bound is lower
            with Image.open(io.BytesIO(raw), formats=[kind]) as opened:
                if opened.width * opened.height > (MOST_PIXELS if kind == "JPEG" else MOST_WHOLE):
                    raise RefusedPictureError("too_many_pixels")
                opened.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
                opened.load()
                if opened.mode in _MIXED and "transparency" not in opened.info:
                    opened.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
                picture = _plain(ImageOps.exif_transpose(opened))
    except Image.DecompressionBombError:
        raise RefusedPictureError("too_many_pixels") from None
    except UnidentifiedImageError:
        raise RefusedPictureError("no_picture") from None
    except (OSError, SyntaxError, ValueError, EOFError, MemoryError):
        raise RefusedPictureError("broken") from None
    picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
    small = picture.copy()
    small.thumbnail((SMALL_SIDE, SMALL_SIDE), Image.Resampling.LANCZOS)
    return _jpeg(picture, 85), _jpeg(small, 80), picture.width, picture.height


def _plain(picture: Image.Image) -> Image.Image:
    """Red, green and blue alone, what can be seen through laid on white."""
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        seen = picture.convert("RGBA")
        on_white = Image.new("RGB", seen.size, "white")
        on_white.paste(seen, mask=seen.getchannel("A"))
        return on_white
    plain = Image.new("RGB", picture.size)
    plain.paste(picture.convert("RGB"))
    return plain


def _jpeg(picture: Image.Image, quality: int) -> bytes:
    into = io.BytesIO()
    picture.save(into, "JPEG", quality=quality, optimize=True)
    return into.getvalue()
