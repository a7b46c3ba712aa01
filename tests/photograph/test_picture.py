import io
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from tapewright.ground.errors import BadInput, MissingExtra
from tapewright.photograph import picture as room
from tapewright.photograph.picture import jpeg_bytes, read_picture

HEIC = Path(__file__).parent / "grey.heic"  # 400 × 360, left half darker; made by libheif


def picture(wide=400, high=360, mode="RGB"):
    image = Image.new("RGB", (wide, high), (200, 180, 160))
    image.paste((20, 40, 60), (0, 0, wide // 2, high // 2))  # upper left is dark
    return image.convert(mode)


def saved(image, kind, **said):
    file = io.BytesIO()
    image.save(file, kind, **said)
    return file.getvalue()


def png_of(wide, high):
    """A PNG whose header claims a size and whose pixels compress to nothing."""

    def chunk(name, content):
        check = zlib.crc32(name + content)
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", check)

    header = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    row = zlib.compress(bytes(min(3 * wide * high, 3_000_000)))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", row) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("kind", "mode"),
    [("JPEG", "RGB"), ("JPEG", "L"), ("JPEG", "CMYK"), ("PNG", "RGBA"), ("PNG", "P"), ("PNG", "1")],
)
def test_every_kind_comes_out_in_colours(kind, mode):
    seen = read_picture(saved(picture(mode=mode), kind))
    assert seen.pixels.shape == (360, 400, 3)
    assert (seen.wide, seen.high, seen.halved) == (400, 360, 1)
    assert seen.pixels[:90, :90].mean() < 90 < seen.pixels[270:, 300:].mean()


@pytest.mark.parametrize("turn", range(1, 9))
def test_pictures_stand_upright_whatever_way_the_camera_was_held(turn):
    """Exif 2.32, tag 274: which side of the stored rows is up; undone, the dark part is where
    Pillow's own inverse puts it."""
    exif = Image.Exif()
    exif[274] = turn
    undone = {
        1: None, 2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM, 5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90, 7: Image.Transpose.TRANSVERSE, 8: Image.Transpose.ROTATE_270,
    }[turn]  # fmt: skip
    stored = picture() if undone is None else picture().transpose(undone)
    seen = read_picture(saved(stored, "JPEG", exif=exif, quality=95))
    assert seen.pixels.shape == (360, 400, 3)
    assert seen.pixels[20, 20].mean() < 90 < seen.pixels[340, 380].mean()


def test_heic_is_read():
    seen = read_picture(HEIC.read_bytes(), "p.heic")
    assert seen.pixels.shape == (360, 400, 3)
    assert seen.pixels[100, 50].mean() < 100 < seen.pixels[100, 350].mean()


def test_heic_without_its_library_names_the_extra(monkeypatch):
    def missing(name="cv2"):
        raise MissingExtra(name, "photo")

    monkeypatch.setattr(room, "vision", missing)
    with pytest.raises(MissingExtra):
        read_picture(HEIC.read_bytes())


def test_where_it_was_taken_goes_nowhere():
    exif = Image.Exif()
    exif[271] = "Camera of somebody"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (47.0, 30.0, 15.0)
    content = saved(picture(), "JPEG", exif=exif, comment=b"at the old oak")
    assert b"somebody" in content
    written = jpeg_bytes(read_picture(content).pixels)
    with Image.open(io.BytesIO(written)) as image:
        assert not image.getexif()
        assert not {"exif", "comment", "xmp", "photoshop"} & set(image.info)
    assert b"somebody" not in written
    assert b"oak" not in written


def test_large_pictures_are_halved(monkeypatch):
    monkeypatch.setattr(room, "WORKING_PIXELS", 400 * 360 // 4)
    for kind in ("JPEG", "PNG"):
        seen = read_picture(saved(picture(), kind))
        assert (seen.wide, seen.high, seen.halved) == (200, 180, 2)
        assert seen.pixels[10, 10].mean() < 90 < seen.pixels[170, 190].mean()


@pytest.mark.parametrize(
    ("content", "wrong"),
    [
        (b"", "no picture"),
        (b"hello, this is no picture", "no picture"),
        (b"\xff\xd8\xff" + bytes(200), "no picture"),
        (saved(picture(), "GIF"), "no picture"),
        (saved(picture(), "JPEG")[:-900], "damaged"),
        (saved(picture(), "PNG")[:-300], "damaged"),
        (saved(picture(), "PNG")[:20], "no picture|damaged"),
        (HEIC.read_bytes()[:200], "no picture|damaged"),
        (HEIC.read_bytes()[:-40], "no picture|damaged"),
        (saved(picture(300, 2000), "PNG"), "too few"),
        (png_of(10_000, 10_000), "megapixels are more than 51"),
        (png_of(9_000, 6_000), "54 megapixels are more than 51"),
        (png_of(60_000, 60_000), "megapixels are more than 51"),
        (saved(Image.new("L", (10_000, 10_000)), "JPEG", quality=30), "megapixels are more than"),
        (png_of(2_000, 1_000)[:60] + bytes(50), "damaged|no picture"),
        (bytes(40_000_001), "40 MB are more than 40 MB"),
    ],
)
def test_what_cannot_be_used_is_refused_with_a_reason(content, wrong):
    with pytest.raises(BadInput, match=wrong) as refused:
        read_picture(content, "p1.jpg")
    assert refused.value.place == "p1.jpg"
    assert refused.value.mend


def test_whatever_a_decoder_stumbles_over_is_a_damaged_picture(monkeypatch):
    def stumbling(*_, **__):
        raise ZeroDivisionError

    monkeypatch.setattr(Image, "open", stumbling)
    with pytest.raises(BadInput, match="damaged"):
        read_picture(b"anything")
