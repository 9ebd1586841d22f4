"""Pictures: what is refused before it is decoded, and what is left of those that are taken."""

from __future__ import annotations

import io
import struct
import subprocess
import sys
import zipfile
import zlib
from pathlib import Path

import pytest
from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageCms, ImageFile

from guides.media import picture
from guides.media.errors import NotTaken
from guides.media.keep import keep_picture
from tests.factories.shown import drawn, encoded


def taken(data: bytes) -> Image.Image:
    return picture.opened(io.BytesIO(data), len(data))


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def bomb(side: int) -> bytes:
    """A PNG of one colour: 1 bit a pixel, some kilobytes, and side × side pixels (W3C, PNG)."""
    packer = zlib.compressobj(9)
    row = bytes(1 + side // 8)
    rows = b"".join(packer.compress(row) for _ in range(side)) + packer.flush()
    header = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def archive() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as folder:
        folder.writestr("page.html", "x")
    return out.getvalue()


def gif(frames: int) -> bytes:
    shades = [Image.new("P", (64, 64), number % 256) for number in range(frames)]
    return encoded(shades[0], "GIF", save_all=True, append_images=shades[1:])


EPS = b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 300 300\n%%EndComments\n0 0 moveto showpage\n"
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="300" height="300"><script>alert(1)</script></svg>'
HTML = b"<!DOCTYPE html><script>alert(1)</script>"
HOSTILE = {
    "bomb of 144 megapixels": lambda: bomb(12_000),
    "bomb of 30,000 a side": lambda: bomb(30_000),
    "long and thin": lambda: encoded(Image.new("L", (12_000, 300)), "PNG"),
    "2,000 frames": lambda: gif(2000),
    "moving WebP": lambda: encoded(drawn(), "WEBP", save_all=True, append_images=[drawn(seed=90)]),
    "moving PNG": lambda: encoded(drawn(), "PNG", save_all=True, append_images=[drawn(seed=90)]),
    "EPS": lambda: EPS,
    "SVG": lambda: SVG,
    "HTML": lambda: HTML,
    "TIFF": lambda: encoded(drawn(), "TIFF"),
    "BMP": lambda: encoded(drawn(), "BMP"),
    "PDF": lambda: encoded(drawn(), "PDF"),
    "ICO": lambda: encoded(drawn(256, 256), "ICO"),
    "picture and page": lambda: encoded(drawn()) + HTML,
    "page in a comment": lambda: encoded(drawn(), comment=b"<html><body onload=alert(1)>"),
    "picture and archive": lambda: encoded(drawn(), "PNG") + archive(),
    "picture and paper": lambda: encoded(drawn()) + b"%PDF-1.7\n",
    "half a JPEG": lambda: encoded(drawn())[:3000],
    "half a PNG": lambda: encoded(Image.effect_noise((400, 400), 80), "PNG")[:9000],
    "a head alone": lambda: b"\xff\xd8\xff\xe0",
    "nothing": lambda: b"",
    "noise": lambda: bytes(range(256)) * 40,
    "too small": lambda: encoded(drawn(120, 90)),
    "13 MB": lambda: encoded(drawn()) + bytes(13 * 2**20),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_nothing_hostile_is_taken(name):
    with pytest.raises(NotTaken) as refused:
        taken(HOSTILE[name]())
    assert refused.value.messages[0].startswith("Picture: ")


@pytest.mark.parametrize("name", ["half a JPEG", "half a PNG"])
def test_half_a_picture_is_refused_after_the_pdf_engine_has_come(name):
    """The engine lets Pillow fill in what is missing, for everybody in the process."""
    import weasyprint  # noqa: F401 - for what its import does

    ImageFile.LOAD_TRUNCATED_IMAGES = True  # as its first import does; here it may have come long before
    Image.open(io.BytesIO(HOSTILE[name]())).load()  # negative control: so Pillow takes it
    with pytest.raises(NotTaken):
        taken(HOSTILE[name]())


def test_a_plain_form_field_would_take_some_of_them():
    """Negative control: what Django's own field says to the same files."""

    class Plain(forms.Form):
        picture = forms.ImageField()

    accepted = [
        name
        for name in ("2,000 frames", "picture and page", "picture and archive", "moving WebP", "TIFF", "long and thin")
        if Plain({}, {"picture": SimpleUploadedFile("a.jpg", HOSTILE[name]())}).is_valid()
    ]
    print("a plain field takes:", ", ".join(accepted))
    assert len(accepted) >= 4


_PEAK = """
import io, re, sys
from pathlib import Path
import django
django.setup()
from PIL import Image
from django.core.exceptions import ValidationError
from guides.media import picture
data = open(sys.argv[1], "rb").read()
def peak_kb():  # of this process alone: what getrusage says begins with the highest of the one that started it
    return int(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1])
before = peak_kb()
if sys.argv[2] == "guarded":
    try:
        picture.opened(io.BytesIO(data), len(data))
    except ValidationError:
        pass
else:
    Image.MAX_IMAGE_PIXELS = None
    Image.open(io.BytesIO(data)).convert("RGB").load()
print((peak_kb() - before) // 1024)
"""


def peak_mb(file, how) -> int:
    done = subprocess.run([sys.executable, "-c", _PEAK, str(file), how], capture_output=True, text=True, check=True)
    return int(done.stdout.split()[-1])


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="reads the peak where Linux keeps it")
def test_memory_stays_bounded(tmp_path):
    """A bomb costs nothing, the largest picture allowed its pixels once; unguarded the bomb unfolds."""
    small = tmp_path / "bomb.png"
    small.write_bytes(bomb(12_000))
    large = tmp_path / "large.png"
    large.write_bytes(encoded(Image.new("RGB", (5000, 5000), "brown"), "PNG"))
    found = {
        "bomb": peak_mb(small, "guarded"),
        "25 megapixels": peak_mb(large, "guarded"),
        "unguarded": peak_mb(small, ""),
    }
    print(f"a bomb of {small.stat().st_size // 1024} kB; peak in MB: {found}")
    assert found["bomb"] < 16
    assert found["25 megapixels"] < 250
    assert found["unguarded"] > 300


def test_place_camera_and_comment_are_gone_and_it_stands_upright():
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter (Exif 2.32, Orientation)
    exif[0x010F] = "Some maker"
    exif.get_ifd(0x8825)[1] = "N"
    sent = encoded(drawn(900, 600), exif=exif, comment=b"my kitchen")
    found = taken(sent)
    assert found.size == (600, 900)
    assert not found.getexif()
    assert not found.info
    assert b"Some maker" in sent
    assert b"my kitchen" not in encoded(found)


def test_clear_parts_become_white_and_large_ones_small():
    clear = Image.new("RGBA", (3000, 1000), (0, 0, 0, 0))
    found = taken(encoded(clear, "PNG"))
    assert found.size == (1600, 533)
    assert found.getpixel((5, 5)) == (255, 255, 255)


def test_colours_stay_what_they_were_meant_to_be():
    """Outside check: littlecms converts one colour of another space the same way."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("XYZ"))
    assert taken(encoded(drawn(), icc_profile=profile.tobytes())).mode == "RGB"  # a profile that does not fit
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    found = taken(encoded(Image.new("RGB", (300, 300), (180, 60, 30)), "PNG", icc_profile=srgb))
    assert all(abs(one - other) <= 2 for one, other in zip(found.getpixel((9, 9)), (180, 60, 30), strict=True))


def test_greys_palettes_and_cmyk_are_taken():
    for mode, form in (("L", "JPEG"), ("P", "PNG"), ("CMYK", "JPEG"), ("LA", "PNG"), ("I;16", "PNG"), ("1", "PNG")):
        assert taken(encoded(drawn().convert("L" if mode == "I;16" else mode).convert(mode), form)).mode == "RGB"


def test_a_second_picture_behind_the_first_is_left_out():
    """Phones write MPO files, which say they are JPEG."""
    assert taken(encoded(drawn(), "MPO", save_all=True, append_images=[drawn(seed=50)])).size == (640, 420)


@pytest.mark.django_db
def test_kept_in_every_width_and_both_formats_under_a_name_of_its_own(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    data = encoded(drawn(2400, 1200))
    kept = keep_picture(io.BytesIO(data), len(data))
    assert (kept.width, kept.height, kept.widths) == (1600, 800, (480, 960, 1600))
    files = {file.name: file for file in (tmp_path / "pictures").iterdir()}
    assert set(files) == {f"{kept.name}-{width}.{form}" for width in kept.widths for form in ("jpg", "webp")}
    for name, file in files.items():
        with Image.open(file) as edition:
            assert edition.width == int(name.rpartition("-")[2].partition(".")[0])
            assert edition.width == 2 * edition.height
            assert not edition.getexif()
    before = {name: file.stat().st_mtime_ns for name, file in files.items()}
    assert keep_picture(io.BytesIO(data), len(data)) == kept
    assert {name: file.stat().st_mtime_ns for name, file in files.items()} == before
