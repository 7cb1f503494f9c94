"""Photos of a piece: only the picture is kept, only of what is a picture, only for those who may see the piece."""

import io
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from jetwright.web import worker
from jetwright.web.people.models import Membership
from jetwright.web.pictures import MOST_BYTES, RefusedPictureError, made_anew
from jetwright.web.yard.models import Photo
from tests.web.crew import CrewTestCase
from tests.web.yard.pieces import stock

SCRIPT = b"<script>alert(1)</script>"


def picture(kind="JPEG", size=(400, 300), mode="RGB", **options) -> bytes:
    into = io.BytesIO()
    Image.new(mode, size, "teal").save(into, kind, **options)
    return into.getvalue()


def with_place() -> bytes:
    """A photo that says where it was taken, by what, and which way up it is."""
    place = Image.Exif()
    place[0x010F] = "Camera of somebody"
    place[0x0112] = 6
    place.get_ifd(0x8825).update({1: "N", 2: (52.0, 30.0, 0.0), 3: "E", 4: (13.0, 24.0, 0.0)})
    return picture(exif=place)


def claiming(width: int, height: int) -> bytes:
    """A PNG of a few bytes that says it is enormous."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_is_drawn_anew_as_a_jpeg(kind):
    whole, small, width, height = made_anew(picture(kind, (3200, 1200)))
    assert (width, height) == (1600, 600)
    assert Image.open(io.BytesIO(whole)).format == "JPEG"
    assert Image.open(io.BytesIO(small)).size == (320, 120)


def test_the_place_is_gone_and_the_picture_stands_upright():
    raw = with_place()
    assert b"Camera of somebody" in raw
    whole, small, width, height = made_anew(raw)
    assert (width, height) == (300, 400)
    for made in (whole, small):
        opened = Image.open(io.BytesIO(made))
        assert not opened.getexif()
        assert "exif" not in opened.info
        assert b"Exif" not in made
        assert b"Camera of somebody" not in made


CORNERS = {"red": (255, 0, 0), "lime": (0, 255, 0), "blue": (0, 0, 255), "white": (255, 255, 255)}
UPRIGHT = ("red", "lime", "blue", "white")
"""Of a picture seen upright: top left, top right, bottom left, bottom right."""
STORED = {
    1: UPRIGHT,
    2: ("lime", "red", "white", "blue"),
    3: ("white", "blue", "lime", "red"),
    4: ("blue", "white", "red", "lime"),
    5: ("red", "blue", "lime", "white"),
    6: ("lime", "white", "red", "blue"),
    7: ("white", "lime", "blue", "red"),
    8: ("blue", "red", "white", "lime"),
}
"""Orientation → the same corners of the rows as they are stored: the 0th row is the scene's top, bottom, left or right
side, the 0th column its left, right, top or bottom side. JEITA CP-3451 (Exif 2.2), tag 274."""


def of_corners(kind: str, turned: int) -> bytes:
    """A picture 320 by 160 when upright, one colour a quarter, stored as a camera held that way stores it."""
    wide, high = (320, 160) if turned < 5 else (160, 320)
    made, told = Image.new("RGB", (wide, high)), Image.Exif()
    for number, colour in enumerate(STORED[turned]):
        quarter = (wide // 2, high // 2)
        made.paste(CORNERS[colour], (number % 2 * quarter[0], number // 2 * quarter[1], *_far(number, quarter)))
    told[0x0112] = turned
    into = io.BytesIO()
    made.save(into, kind, exif=told, quality=95, lossless=True)
    return into.getvalue()


def _far(number: int, quarter: tuple[int, int]) -> tuple[int, int]:
    return (number % 2 + 1) * quarter[0], (number // 2 + 1) * quarter[1]


@pytest.mark.published("JEITA CP-3451, Exif 2.2, tag 274 (Orientation)")
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("turned", STORED)
def test_a_picture_stands_upright_however_the_camera_was_held(kind, turned):
    whole, small, width, height = made_anew(of_corners(kind, turned))
    assert (width, height) == (320, 160)
    for made in (whole, small):
        opened = Image.open(io.BytesIO(made))
        assert opened.size == (320, 160)
        found = [opened.getpixel(at) for at in ((40, 40), (280, 40), (40, 120), (280, 120))]
        nearest = [min(CORNERS, key=lambda name: _apart(CORNERS[name], colour)) for colour in found]
        assert tuple(nearest) == UPRIGHT


def _apart(one: tuple[int, ...], other: tuple[int, ...]) -> int:
    return sum(abs(a - b) for a, b in zip(one, other, strict=True))


def test_what_stands_behind_or_in_a_picture_is_gone():
    for raw in (picture() + SCRIPT, picture("PNG") + SCRIPT, picture(comment=SCRIPT)):
        assert SCRIPT in raw
        assert SCRIPT not in b"".join(made_anew(raw)[:2])


def test_what_colour_lies_under_a_part_that_is_seen_through_does_not_matter():
    for seen, there in ((0, (255, 255, 255)), (255, (0, 0, 0)), (128, (127, 127, 127))):
        file = io.BytesIO()
        Image.new("RGBA", (40, 40), (0, 0, 0, seen)).save(file, "PNG")
        kept = Image.open(io.BytesIO(made_anew(file.getvalue())[0]))
        assert max(abs(a - b) for a, b in zip(kept.getpixel((20, 20)), there, strict=True)) <= 3


def test_what_can_be_seen_through_is_laid_on_white():
    whole = made_anew(picture("PNG", mode="LA", size=(10, 10)))[0]
    assert Image.open(io.BytesIO(whole)).mode == "RGB"


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        (claiming(60000, 60000), "too_many_pixels"),
        (claiming(8000, 5001), "too_many_pixels"),
        (claiming(5000, 4001), "too_many_pixels"),
        (claiming(400, 300), "broken"),
        (picture(size=(900, 900))[:600], "broken"),
        (picture("PNG")[:60], "broken"),
        (b"\xff\xd8\xff" + SCRIPT, "no_picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'>" + SCRIPT + b"</svg>", "no_picture"),
        (b"<?xml version='1.0'?><svg/>", "no_picture"),
        (picture("GIF", mode="P"), "no_picture"),
        (picture("BMP"), "no_picture"),
        (picture("TIFF"), "no_picture"),
        (SCRIPT + picture(), "no_picture"),
        (b"", "no_picture"),
        (b"x" * (MOST_BYTES + 1), "too_large"),
    ],
)
def test_what_is_no_whole_picture_of_a_sane_size_is_refused(raw, code):
    with pytest.raises(RefusedPictureError) as refused:
        made_anew(raw)
    assert refused.value.code == code


def test_a_jpeg_may_have_more_pixels_for_it_is_decoded_smaller():
    assert made_anew(picture("JPEG", (8000, 5000)))[2:] == (1600, 1000)


LARGEST = """
import io, os, pathlib, resource, sys
from PIL import Image
from jetwright.web.pictures import made_anew

out, into = os.pipe()
if os.fork() == 0:  # what it takes to draw it does not count
    drawn = io.BytesIO()
    Image.new("RGBA", (5000, 4000)).save(drawn, "WEBP", lossless=True)
    os._exit(0 if os.write(into, drawn.getvalue()) else 1)
os.close(into)
with open(out, "rb") as file:
    made_anew(file.read())
status = pathlib.Path("/proc/self/status")
if status.exists():  # on Linux ru_maxrss counts what the process that started this one held
    print(next(int(line.split()[1]) for line in status.read_text().splitlines() if line.startswith("VmHWM")) // 1024)
else:
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
"""


def test_the_largest_that_can_be_seen_through_takes_no_more_room_than_a_small_machine_has():
    """The most memory that a process held, in megabytes (proc(5), getrusage(2): in kilobytes)."""
    told = subprocess.run([sys.executable, "-c", LARGEST], capture_output=True, text=True, check=True)
    assert int(told.stdout) < 430


class PhotosTest(CrewTestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        super().setUpTestData()
        cls.hose = stock(cls.crew)["S8-20"]

    @classmethod
    def tearDownClass(cls) -> None:
        worker.stop()
        super().tearDownClass()

    def tearDown(self) -> None:
        for photo in Photo.objects.all():
            for path in Path(settings.MEDIA_ROOT).glob(f"{photo.pk}*"):
                path.unlink()

    def add(self, raw=None, who=None, name="hose.jpg", **fields):
        sent = SimpleUploadedFile(name, with_place() if raw is None else raw, content_type="image/jpeg")
        return self.as_(who or self.mia).post(f"/yard/{self.hose.pk}/photos/", {"photo": sent} | fields)

    def read(self, browser, address, **options):
        answer = browser.get(address, **options)
        answer.whole = b"".join(answer.streaming_content)
        return answer

    def test_a_photo_is_kept_and_shown(self):
        self.assertEqual(self.add(says="The ferrule").status_code, 302)
        photo = Photo.objects.get()
        self.assertEqual((photo.width, photo.height, photo.by), (300, 400, self.mia))
        self.assertContains(self.as_(self.rae).get(f"/yard/{self.hose.pk}/"), "The ferrule")
        for address in (f"/yard/photos/{photo.pk}.jpg", f"/yard/photos/{photo.pk}/small.jpg"):
            answer = self.read(self.as_(self.rae), address)
            raw = answer.whole
            self.assertEqual(answer["Content-Type"], "image/jpeg")
            self.assertEqual(answer["X-Content-Type-Options"], "nosniff")
            self.assertEqual(Image.open(io.BytesIO(raw)).format, "JPEG")
            self.assertNotIn(b"Camera", raw)

    def test_only_who_may_see_the_piece_sees_the_photo(self):
        self.add()
        address = f"/yard/photos/{Photo.objects.get().pk}.jpg"
        self.assertEqual(self.as_(self.bo).get(address).status_code, 404)
        self.assertEqual(self.client.get(address).status_code, 302)

    def test_a_browser_asks_again_and_is_told_that_its_picture_is_still_the_one(self):
        self.add()
        photo, rae = Photo.objects.get(), self.as_(self.rae)
        tags = []
        for address in (f"/yard/photos/{photo.pk}.jpg", f"/yard/photos/{photo.pk}/small.jpg"):
            first = self.read(rae, address)
            tags.append(first["ETag"])
            again = rae.get(address, headers={"If-None-Match": f'"other", {first["ETag"]}'})
            self.assertEqual((again.status_code, again.content), (304, b""))
            self.assertEqual(again["ETag"], first["ETag"])
            for answer in (first, again):
                self.assertEqual(answer["Cache-Control"], "private, no-cache")
            changed = self.read(rae, address, headers={"If-None-Match": '"other"'})
            self.assertEqual((changed.status_code, Image.open(io.BytesIO(changed.whole)).format), (200, "JPEG"))
        self.assertNotEqual(*tags)  # the small one is never shown for the whole

    def test_who_may_no_longer_see_it_is_not_told_that_it_is_still_the_one(self):
        self.add()
        photo = Photo.objects.get()
        address, rae = f"/yard/photos/{photo.pk}.jpg", self.as_(self.rae)
        asked = {"If-None-Match": self.read(rae, address)["ETag"]}
        self.assertEqual(self.as_(self.bo).get(address, headers=asked).status_code, 404)
        self.assertEqual(self.client.get(address, headers=asked).status_code, 302)
        Membership.objects.filter(person=self.rae).update(ended_at=timezone.now())
        self.assertEqual(rae.get(address, headers=asked).status_code, 404)
        photo.retired_at = timezone.now()
        photo.change(photo.version, ["retired_at"])
        self.assertEqual(self.as_(self.ada).get(address, headers=asked).status_code, 404)

    def test_the_name_of_the_file_says_nothing(self):
        self.assertEqual(self.add(picture("PNG"), name="../../x.svg").status_code, 302)
        files = {path.name for path in Path(settings.MEDIA_ROOT).glob("*")}
        self.assertIn(f"{Photo.objects.get().pk}.jpg", files)
        self.assertFalse([name for name in files if "svg" in name or name == "x"])

    def test_what_is_no_picture_is_refused_in_words(self):
        for raw, words in (
            (b"<svg/>", "this is no photo"),
            (claiming(60000, 60000), "too many pixels"),
            (picture(size=(900, 900))[:600], "not whole"),
            (b"x" * (MOST_BYTES + 1), "too large"),
        ):
            self.assertContains(self.add(raw), words, status_code=422)
        self.assertEqual(self.as_(self.mia).post(f"/yard/{self.hose.pk}/photos/").status_code, 422)
        self.assertEqual(Photo.objects.count(), 0)

    def test_a_photo_is_taken_away_and_not_lost(self):
        self.add()
        photo = Photo.objects.get()
        address = f"/yard/photos/{photo.pk}/retire/"
        self.assertEqual(self.as_(self.ada).get(address).status_code, 405)
        self.assertEqual(self.as_(self.rae).post(address, {"version": photo.version}).status_code, 403)
        self.assertEqual(self.as_(self.bo).post(address, {"version": photo.version}).status_code, 404)
        self.assertEqual(self.as_(self.ada).post(address, {"version": 9}).status_code, 409)
        self.assertEqual(self.as_(self.ada).post(address, {"version": photo.version}).status_code, 302)
        self.assertEqual(self.as_(self.ada).get(f"/yard/photos/{photo.pk}.jpg").status_code, 404)
        self.assertEqual(Photo.objects.count(), 1)

    def test_rights(self):
        self.assertEqual(self.add(who=self.rae).status_code, 403)
        self.assertEqual(self.add(who=self.bo).status_code, 404)
        self.assertEqual(self.as_(self.ada).get(f"/yard/{self.hose.pk}/photos/").status_code, 405)
        self.assertEqual(self.client.post(f"/yard/{self.hose.pk}/photos/").status_code, 302)
