import io
import struct
import tracemalloc
import zlib
from contextlib import suppress
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

from tapewright.ground.errors import BadInput, MissingExtra
from tapewright.photograph import picture as room
from tapewright.photograph.picture import jpeg_bytes, read_picture, reduced

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
    assert (seen.wide, seen.high, seen.reduced) == (400, 360, 1)
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


def test_heic_without_colours_is_read(monkeypatch):
    """As the library shows a file of brightness alone; nothing here can write one."""
    grey = Image.linear_gradient("L").resize((400, 512), 0)  # from black on top to white
    shown = SimpleNamespace(size=grey.size, mode="L", to_pillow=lambda: grey)
    monkeypatch.setattr("pi_heif.open_heif", lambda _file: shown)
    pixels = read_picture(HEIC.read_bytes(), "p.heic").pixels
    assert pixels.shape == (512, 400, 3)
    assert pixels[34, 66].tolist() == [17, 17, 17]
    assert pixels[511, 399].tolist() == [255, 255, 255]


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


def many_passes(scans):
    """A JPEG whose last scan stands there again and again, as nothing that a camera makes."""
    content = saved(picture(), "JPEG", progressive=True)
    last = content.rindex(b"\xff\xda")
    return content[:last] + content[last:-2] * scans + b"\xff\xd9"


def box(kind, content, version=None):
    """A box of the ISO base media file format (ISO/IEC 14496-12, 4.2)."""
    content = (b"" if version is None else struct.pack(">I", version)) + content
    return struct.pack(">I4s", len(content) + 8, kind) + content


def grid_of(rows, columns):
    """The small HEIC picture, side by side as one large one, as telephones store theirs.

    ISO/IEC 23008-12, 6.6.2.3: the tiles are items of their own, here all of the same bytes.
    """
    small = HEIC.read_bytes()
    wide, high, tiles = 400 * columns, 360 * rows, rows * columns
    at = small.index(b"hvcC") - 4
    coder = small[at : at + struct.unpack(">I", small[at : at + 4])[0]]
    coded = small[small.index(b"mdat") + 4 :]
    own = range(1, tiles + 1)
    sizes = [box(b"ispe", struct.pack(">II", *size), 0) for size in ((400, 360), (wide, high))]
    kinds = [box(b"infe", struct.pack(">HH4sB", one, 0, b"hvc1", 0), 0x02000001) for one in own]
    kinds.append(box(b"infe", struct.pack(">HH4sB", tiles + 1, 0, b"grid", 0), 0x02000000))
    told = [struct.pack(">HBBBB", one, 3, 0x81, 2, 3) for one in own]
    told.append(struct.pack(">HBBB", tiles + 1, 2, 4, 3))
    facts = box(b"ipco", coder + sizes[0] + box(b"pixi", b"\x03\x08\x08\x08", 0) + sizes[1])
    facts += box(b"ipma", struct.pack(">I", tiles + 1) + b"".join(told), 0)
    parts = struct.pack(f">HH{tiles}H", tiles + 1, tiles, *own)
    grid = struct.pack(">BBBBII", 0, 1, rows - 1, columns - 1, wide, high)

    def meta(start):
        places = [struct.pack(">HHHII", one, 0, 1, start, len(coded)) for one in own]
        places.append(struct.pack(">HHHII", tiles + 1, 0, 1, start + len(coded), len(grid)))
        head = struct.pack(">BBH", 0x44, 0, tiles + 1)
        return box(
            b"meta",
            box(b"hdlr", b"\0\0\0\0pict" + bytes(13), 0)
            + box(b"pitm", struct.pack(">H", tiles + 1), 0)
            + box(b"iloc", head + b"".join(places), 0)
            + box(b"iinf", struct.pack(">H", tiles + 1) + b"".join(kinds), 0)
            + box(b"iprp", facts)
            + box(b"iref", box(b"dimg", parts), 0),
            0,
        )

    begin = box(b"ftyp", b"heic\0\0\0\0mif1heic")
    return begin + meta(len(begin) + len(meta(0)) + 8) + box(b"mdat", coded + grid)


def test_heic_of_many_tiles_is_read_reduced():
    seen = read_picture(grid_of(10, 11), "p.heic")  # 15.8 megapixels
    assert (seen.wide, seen.high, seen.reduced) == (2200, 1800, 2)
    # each tile of 200 by 180 is darker on its left
    for left in (0, 1000, 2000):
        assert seen.pixels[1700, left + 50].mean() < 100 < seen.pixels[1700, left + 150].mean()


@pytest.mark.parametrize(
    ("wide", "high", "times"),
    [(4000, 3000, 1), (4200, 3200, 2), (8000, 6500, 2), (9200, 6900, 3), (12_000, 9_000, 3)],
)
def test_what_a_camera_makes_is_read_at_thirteen_megapixels_or_less(wide, high, times):
    image = Image.new("L", (wide, high), 200)
    image.paste(40, (0, 0, wide // 2, high // 2))
    seen = read_picture(saved(image, "JPEG", quality=50))
    assert seen.reduced == times
    assert seen.wide * seen.high <= 13_000_000
    assert (seen.wide, seen.high) == (
        pytest.approx(wide / times, abs=1),
        pytest.approx(high / times, abs=1),
    )
    across = np.flatnonzero(np.diff((seen.pixels[0, :, 0] > 120).astype(int)))
    down = np.flatnonzero(np.diff((seen.pixels[:, 0, 0] > 120).astype(int)))
    # behind the last dark pixel; one that the edge runs through is dark or light as a whole
    assert across + 1 == pytest.approx(wide / 2 / times, abs=0.75)
    assert down + 1 == pytest.approx(high / 2 / times, abs=0.75)


def test_a_large_picture_of_few_colours_keeps_its_colours(monkeypatch):
    """A mean of numbers of colours would be another colour."""
    monkeypatch.setattr(room, "WORKING_PIXELS", 400 * 360 // 4)
    for mode in ("P", "1", "RGBA", "LA"):
        seen = read_picture(saved(picture().convert(mode), "PNG"))
        assert seen.reduced == 2
        assert seen.pixels[10:80, 10:90].mean() < 90, mode
        assert seen.pixels[100:170, 110:190].mean() > 120, mode


def test_odd_kinds_of_png_are_read_or_refused():
    deep = Image.fromarray(np.full((400, 400), 30_000, np.uint16))
    content = saved(deep, "PNG")
    with suppress(BadInput):
        assert read_picture(content).pixels.shape == (400, 400, 3)
    frames = [picture(), picture().rotate(180)]
    moving = io.BytesIO()
    frames[0].save(moving, "PNG", save_all=True, append_images=frames[1:])
    assert read_picture(moving.getvalue()).pixels[20, 20].mean() < 90
    several = io.BytesIO()
    frames[0].save(several, "MPO", save_all=True, append_images=frames[1:])
    assert read_picture(several.getvalue()).pixels[20, 20].mean() < 90


@pytest.mark.parametrize("kind", [b"zTXt", b"iCCP", b"iTXt"])
def test_words_in_a_png_that_swell_are_not_swollen(kind):
    """100 MB of zeros, packed into 100 kB, where a picture carries words or colours."""
    packed = zlib.compress(bytes(100_000_000), 9)
    head = {b"zTXt": b"a\0\0", b"iCCP": b"a\0\0", b"iTXt": b"a\0\1\0\0\0"}[kind]
    chunk = kind + head + packed
    whole = struct.pack(">I", len(chunk) - 4) + chunk + struct.pack(">I", zlib.crc32(chunk))
    plain = saved(picture(), "PNG")
    tracemalloc.start()
    with suppress(BadInput):  # or else read without those words
        read_picture(plain[:33] + whole + plain[33:])
    peak_bytes = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak_bytes < 20e6


@pytest.mark.parametrize("turn", [0, 9, 255, 65_535])
def test_a_turn_that_does_not_exist_turns_nothing(turn):
    exif = Image.Exif()
    exif[274] = turn
    seen = read_picture(saved(picture(), "JPEG", exif=exif))
    assert seen.pixels[20, 20].mean() < 90 < seen.pixels[340, 380].mean()


def test_large_pictures_are_reduced(monkeypatch):
    monkeypatch.setattr(room, "WORKING_PIXELS", 400 * 360 // 4)
    for kind in ("JPEG", "PNG"):
        seen = read_picture(saved(picture(), kind))
        assert (seen.wide, seen.high, seen.reduced) == (200, 180, 2)
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
        (png_of(10_000, 10_000), "100 megapixels are more than 30"),
        (png_of(6_200, 5_000), "31 megapixels are more than 30"),
        (png_of(60_000, 60_000), "megapixels are more than"),
        (saved(Image.new("L", (10_500, 10_500)), "JPEG", quality=30), "110 megapixels are more"),
        (saved(Image.new("L", (6_200, 5_000)), "JPEG", progressive=True), "31 mega.*passes"),
        (grid_of(25, 31), "112 megapixels are more than 109"),
        (many_passes(41), "too many passes"),
        (png_of(2_000, 1_000)[:60] + bytes(50), "damaged|no picture"),
        (bytes(55_000_001), "55 MB are more than 55 MB"),
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


def test_a_picture_to_keep_is_reduced_by_its_longer_side_and_keeps_its_colours():
    pixels = np.zeros((600, 1200, 3), np.uint8)
    pixels[:, :600] = (200, 40, 10)
    small = reduced(pixels, 300)
    assert small.shape == (150, 300, 3)
    assert small[75, 20].tolist() == [200, 40, 10]
    assert small[75, 280].tolist() == [0, 0, 0]
    assert reduced(pixels, 1200) is pixels
