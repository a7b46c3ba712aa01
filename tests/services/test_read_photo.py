import shutil
import subprocess
import sys

import numpy as np
import pytest
from photographs import PX_PER_MM, Sheet, photograph, raster, scene

from tapewright.ground.errors import BadInput
from tapewright.services.print_target import (
    TargetOrder,
    TargetWords,
    order_of_code,
    plan_target,
    print_target,
    target_code,
)
from tapewright.services.read_photo import propose_impacts

FIRST_OF_TILES = 16  # after four marks for each of four single sheets

WORDS = TargetWords("Heron", "inches from the aim")
needs_rasteriser = pytest.mark.skipif(
    not shutil.which("pdftocairo"), reason="pdftocairo is missing: apt-get install poppler-utils"
)


def sheet(paper="A4", unit="in", **wishes):
    plan = plan_target(TargetOrder(unit=unit, paper=paper, **wishes))
    ((_, pdf),) = print_target(plan, WORDS, ("pdf",))
    page = raster(pdf, 3 if plan.is_tiled else 1)
    return plan, Sheet(page, (page.shape[1] / PX_PER_MM / 2.0, page.shape[0] / PX_PER_MM / 2.0))


def taken(printed, seed=7, **fixed):
    usual = {"cover": None, "tilt": 12.0, "blur": 0.4, "motion": 0.0, "wide": 1600, "lens": 0.0}
    one = scene(seed, arrows=2, **(usual | fixed))
    content, camera = photograph(one, printed)
    return one, content, camera


@needs_rasteriser
@pytest.mark.parametrize(("paper", "unit"), [("A4", "cm"), ("Letter", "in")])
def test_the_marks_tell_which_sheet_it_is(paper, unit):
    one, content, _ = taken(sheet(paper, unit)[1])
    reading = propose_impacts(content, one.diameter / 1e3)
    words = "inches" if unit == "in" else "centimetres"
    assert reading.sheet == f"{paper}, {words}"
    found = np.array([(p.right_m, -p.up_m) for p in reading.proposals]) * 1e3
    assert len(found) == 2
    for place in one.holes:
        assert np.hypot(*(found - place).T).min() < 2.0


@needs_rasteriser
def test_four_taps_do_instead_of_marks():
    _, printed = sheet()
    page = printed.reflectance.copy()
    page[: int(34 * PX_PER_MM)] = page[-int(34 * PX_PER_MM) :] = 0.9
    blank = Sheet(page, printed.aim)
    one, content, camera = taken(blank)
    corners = camera.pixel(np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * [60, 90], aim=blank.aim)
    reading = propose_impacts(
        content, one.diameter / 1e3, corners=tuple(map(tuple, corners)), size_m=(0.12, 0.18)
    )
    assert reading.marks == 0
    found = np.array([(p.right_m, -p.up_m) for p in reading.proposals]) * 1e3
    for place in one.holes:
        if np.all(np.abs(place) < [50, 80]):
            assert np.hypot(*(found - place).T).min() < 2.0


@needs_rasteriser
def test_a_tile_is_read_by_the_code_of_its_target():
    plan, tile = sheet("A4", "cm", size_mm=(300.0, 300.0))
    _, content, _ = taken(tile)
    code = target_code(plan)
    reading = propose_impacts(content, code=code)
    assert reading.sheet == "2 rows by 3 columns of A4"
    with pytest.raises(BadInput, match="several sheets"):
        propose_impacts(content)
    _, single, _ = taken(sheet()[1])
    with pytest.raises(BadInput, match="another target"):
        propose_impacts(single, code=code)
    same = target_code(plan_target(TargetOrder(unit="in")))
    assert propose_impacts(single, code=same).sheet == "A4, inches"


@needs_rasteriser
def test_blur_and_too_few_marks_are_refused():
    _, printed = sheet()
    with pytest.raises(BadInput, match="blurred"):
        propose_impacts(taken(printed, blur=9.0)[1])
    page = printed.reflectance.copy()
    page[: int(34 * PX_PER_MM)] = 0.9
    with pytest.raises(BadInput, match="only two marks can be read"):
        propose_impacts(taken(Sheet(page, printed.aim))[1])


@pytest.mark.parametrize(
    ("said", "wrong"),
    [
        ({"corners": ((0, 0),) * 4}, "go together"),
        ({"size_m": (0.4, 0.4)}, "go together"),
        ({"corners": ((0, 0),) * 3, "size_m": (0.4, 0.4)}, "3 places"),
        ({"corners": ((0, 0),) * 4, "size_m": (0.4, 0.4)}, "do not go round"),
        ({"corners": ((0, 0), (9e3, 0), (9, 9), (0, 9)), "size_m": (0.4, 0.4)}, "outside"),
        ({"corners": ((0, 0),) * 4, "size_m": (0.4, 40.0)}, "not the size"),
        ({"shaft_diameter_m": 0.05}, "no arrow"),
        ({"code": "A5-in-3x3"}, "is no code of a target"),
    ],
)
def test_wrong_wishes_are_refused_with_a_reason(said, wrong):
    import io

    from PIL import Image

    file = io.BytesIO()
    Image.new("RGB", (400, 400), (200, 200, 200)).save(file, "PNG")
    with pytest.raises(BadInput, match=wrong):
        propose_impacts(file.getvalue(), **said)


@pytest.mark.parametrize(
    "order",
    [
        TargetOrder(),
        TargetOrder(unit="cm", size_mm=(600.0, 900.0), paper="Letter"),
        TargetOrder(size_mm=(609.6, 914.4), distance_m=54.864, proof_mm=(99.5, 100.2)),
    ],
)
def test_a_code_plans_the_same_target_again(order):
    plan = plan_target(order)
    again = plan_target(order_of_code(target_code(plan)))
    assert (again.rows, again.columns, again.order.paper) == (plan.rows, plan.columns, order.paper)
    assert again.target.width_mm == pytest.approx(plan.target.width_mm)
    assert again.target.aiming_mark_mm == pytest.approx(plan.target.aiming_mark_mm)
    assert again.order.proof_mm == order.proof_mm


def test_numbers_of_tiles_begin_behind_those_of_single_sheets():
    assert FIRST_OF_TILES == 16


HOSTILE = """
import io, struct, zlib
from tapewright.ground.errors import BadInput
from tapewright.services.read_photo import propose_impacts
from PIL import Image

def png(wide, high):
    def chunk(name, content):
        check = zlib.crc32(name + content)
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", check)
    head = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    squeeze = zlib.compressobj(9)
    body = b"".join(squeeze.compress(bytes(1 + 3 * wide)) for _ in range(high)) + squeeze.flush()
    whole = chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")
    return b"\\x89PNG\\r\\n\\x1a\\n" + whole

for content in (png(10000, 10000), png(30000, 30), png(6000, 5000), b"\\xff\\xd8" + bytes(10**6)):
    try:
        propose_impacts(content)
    except BadInput as refused:
        print(refused)
with open("/proc/self/status") as status:  # what getrusage says is the parent's, too
    (peak,) = [line for line in status if line.startswith("VmHWM")]
print("MB", int(peak.split()[1]) / 1024)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="memory as Linux tells it")
def test_hostile_pictures_stay_under_500_mb():
    """A hundred megapixels, a ribbon, the largest picture that is read, and rubbish."""
    done = subprocess.run(
        [sys.executable, "-c", HOSTILE], capture_output=True, text=True, check=True
    )
    *refusals, memory = done.stdout.splitlines()
    assert len(refusals) == 4
    assert "megapixels are more than 30" in refusals[0]
    assert float(memory.split()[1]) < 500.0
