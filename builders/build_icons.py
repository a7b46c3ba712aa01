"""Build the app's icon: a strip with ticks of several lengths, drawn here, as SVG and PNG.

Run it from the repository's root; it rewrites the icons in src/tapewright/faces/web/static/.

Holds:  the drawing, once; its sizes.
Never:  anybody else's drawing.
"""

from pathlib import Path

from PIL import Image, ImageDraw

STATIC = Path("src/tapewright/faces/web/static")
SIDE, GROUND, INK = 32, "#0d4f44", "#fdf9ee"
STROKE, CORNER, FINER = 2.4, 7, 8  # the last: drawn so many times larger, then reduced
SPINE = ((9, 5), (9, 27))
TICKS = ((7, 17), (11, 14), (15, 20), (19, 14), (23, 23))  # height, end
INNER = 0.78  # of a drawing that a phone may cut round: its safe middle is 0.8 of the width


def svg():
    """The icon for browsers."""
    spine = f"M{SPINE[0][0]} {SPINE[0][1]}v{SPINE[1][1] - SPINE[0][1]}"
    ticks = "".join(f"M{SPINE[0][0]} {high}h{end - SPINE[0][0]}" for high, end in TICKS)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIDE} {SIDE}">'
        f'<rect width="{SIDE}" height="{SIDE}" rx="{CORNER}" fill="{GROUND}"/>'
        f'<path d="{spine}{ticks}" stroke="{INK}" stroke-width="{STROKE}" stroke-linecap="round"'
        ' fill="none"/></svg>\n'
    )


def png(pixels, *, whole):
    """The icon in pixels; ``whole`` fills its square and keeps the drawing in the middle."""
    large = pixels * FINER
    image = Image.new("RGBA", (large, large), GROUND if whole else (0, 0, 0, 0))
    pen, scale = ImageDraw.Draw(image), large / SIDE
    if not whole:
        pen.rounded_rectangle((0, 0, large - 1, large - 1), CORNER * scale, fill=GROUND)
    lines = [SPINE, *(((SPINE[0][0], high), (end, high)) for high, end in TICKS)]
    shrunk = INNER if whole else 1.0
    for line in lines:
        ends = [
            tuple((SIDE / 2 + shrunk * (one - SIDE / 2)) * scale for one in end) for end in line
        ]
        half = shrunk * STROKE * scale / 2
        pen.line(ends, fill=INK, width=round(2 * half))
        for x, y in ends:
            pen.ellipse((x - half, y - half, x + half, y + half), fill=INK)
    return image.resize((pixels, pixels), Image.Resampling.LANCZOS)


def main():
    """Write all of them."""
    (STATIC / "icon.svg").write_text(svg(), encoding="utf-8")
    for pixels in (192, 512):
        png(pixels, whole=False).save(STATIC / f"icon-{pixels}.png", optimize=True)
    png(512, whole=True).save(STATIC / "icon-whole-512.png", optimize=True)
    png(180, whole=True).convert("RGB").save(STATIC / "icon-180.png", optimize=True)


if __name__ == "__main__":
    main()
