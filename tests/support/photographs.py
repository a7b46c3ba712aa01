"""Photographs: pictures of printed targets, made by a camera that we know, with arrows in them.

A PDF is rasterised by pdftocairo, holes are torn into it, and a pinhole camera with one term of
lens distortion looks at it from aside; then come shafts, light, a shadow, a hand over one mark,
blur, noise and JPEG.  Nothing here is shared with the program that reads the picture.

How a hole looks is common practice, no source: paper springs back to 0.75 to 1 of the shaft, the
butt behind is darker than paper but seldom as dark as ink, and fibres of torn paper stand around.
"""

import subprocess
from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np

DPI = 200
PX_PER_MM = DPI / 25.4


@cache
def raster(pdf, page=1):
    """One page as reflectances from 0 to 1; ink reflects a little."""
    command = ["pdftocairo", "-png", "-gray", "-r", str(DPI), "-f", str(page), "-l", str(page)]
    png = subprocess.run(
        [*command, "-singlefile", "-", "-"], input=pdf, capture_output=True, check=True
    ).stdout
    grey = cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_GRAYSCALE)
    return (0.05 + 0.87 * grey.astype(np.float32) / 255.0).astype(np.float32)


@dataclass(frozen=True)
class Sheet:
    """What is photographed: reflectance, and where the aim is on it. [mm from its corner]"""

    reflectance: np.ndarray
    aim: tuple[float, float]

    @property
    def size(self):
        high, wide = self.reflectance.shape[:2]
        return wide / PX_PER_MM, high / PX_PER_MM


@dataclass(frozen=True)
class Scene:
    """Everything about one picture; made by `scene`."""

    seed: int
    holes: np.ndarray  # (n, 2) mm from the aim, right and down
    shafts: np.ndarray
    diameter: float  # mm
    tilt: float  # degrees
    cover: int | None  # corner of the sheet that is partly covered
    blur: float  # px
    motion: float  # px
    noise: float  # grey levels
    shadow: bool
    quality: int
    lens: float  # distortion at the picture's corner, share
    wide: int  # px of the long side
    curl: float = 0.0  # mm by which the sheet's middle stands off two of its sides
    level: bool = False  # whether these are the upper and the lower one
    taped: int = 0  # pieces of tape over old holes


def scene(seed, *, arrows=None, within=90.0, shafts=False, **fixed):
    """A scene by chance, inside what an archer would take a picture of."""
    rng = np.random.default_rng([31, seed])
    diameter = float(rng.choice([5.2, 5.9, 6.5, 7.4, 9.3]))
    count = int(rng.integers(3, 9)) if arrows is None else arrows
    places = scattered(rng, count, diameter, within)
    chance = {
        "holes": np.empty((0, 2)) if shafts else places,
        "shafts": places if shafts else np.empty((0, 2)),
        "diameter": diameter,
        "tilt": float(rng.uniform(0.0, 40.0)),
        "cover": int(rng.integers(0, 4)) if rng.random() < 0.3 else None,
        "blur": float(rng.uniform(0.0, 1.6)),
        "motion": float(rng.uniform(0.0, 4.0)) if rng.random() < 0.3 else 0.0,
        "noise": float(rng.uniform(1.0, 6.0)),
        "shadow": bool(rng.random() < 0.6),
        "quality": int(rng.integers(40, 96)),
        "lens": float(rng.uniform(-0.03, 0.03)),
        "wide": int(rng.choice([1600, 2000, 2400])),
    }
    if shafts:  # who photographs arrows steps aside and back
        chance |= {"tilt": float(rng.uniform(12.0, 40.0)), "wide": 2400}
    return Scene(seed, **(chance | fixed))


def scattered(rng, count, diameter, within):
    """Impacts of one group; two shafts never stand in the same place."""
    centre = rng.uniform(-0.35, 0.35, 2) * within
    spread = rng.uniform(0.15, 0.4) * within
    places = []
    while len(places) < count:
        place = centre + spread * rng.standard_normal(2)
        inside = np.all(np.abs(place) < [min(within, 75.0), within])
        if inside and all(np.hypot(*(place - one)) > 1.1 * diameter for one in places):
            places.append(place)
    return np.array(places)


class Camera:
    """A pinhole with one term of lens distortion; looks at the middle of a sheet."""

    def __init__(self, scene, sheet):
        rng = np.random.default_rng([32, scene.seed])
        self.shape = (scene.wide * 3 // 4, scene.wide)  # rows, columns
        if sheet.size[0] < sheet.size[1] and rng.random() < 0.8:
            self.shape = self.shape[::-1]
        self.lens, self.curl = scene.lens, scene.curl
        self.way = int(scene.level)  # along which the sheet is curled: 0 across, 1 down
        self.side = sheet.size[self.way] / 2.0
        across = np.linspace(-1.0, 1.0, 2001)
        slope = -2.0 * self.curl * across / self.side
        steps = np.sqrt(1.0 + slope[1:] ** 2) * self.side * np.diff(across)
        along = np.concatenate([[0.0], np.cumsum(steps)])
        self.across, self.along = across * self.side, along - along[1000]  # in space, on paper
        zoom = 2.0 if len(scene.shafts) else 1.0
        self.focal = scene.wide * zoom * rng.uniform(0.7, 0.95)
        self.middle = np.array([self.shape[1] - 1, self.shape[0] - 1]) / 2.0
        self.radius = float(np.hypot(*self.middle)) / self.focal
        axis, tilt = rng.uniform(0.0, 2.0 * np.pi), np.radians(scene.tilt)
        lean = cv2.Rodrigues(tilt * np.array([np.cos(axis), np.sin(axis), 0.0]))[0]
        roll = cv2.Rodrigues(np.array([0.0, 0.0, np.radians(rng.uniform(-25.0, 25.0))]))[0]
        self.turn = roll @ lean
        half = np.array(sheet.size) / 2.0
        self.half = half
        corners = np.array([[x, y] for x in (-half[0], half[0]) for y in (-half[1], half[1])])
        self.away = 100.0
        fill = rng.uniform(0.55, 0.85) if len(scene.shafts) else rng.uniform(0.78, 0.95)
        for away in np.linspace(150.0, 4000.0, 400):  # as near as the whole sheet is seen
            self.away = float(away)
            seen = (self.pixel(corners - half * 0.0, centred=True) - self.middle) / self.middle
            if np.all(self.depth(corners) > 0.0) and np.abs(seen).max() < fill:
                break

    def depth(self, places, height=0.0):
        return self.space(places, height)[:, 2]

    def space(self, places, height=0.0):
        places, off = np.array(places, np.float64), 0.0
        if self.curl:  # beyond the sheet it goes on level
            on_paper = np.clip(places[:, self.way], self.along[0], self.along[-1])
            across = np.interp(on_paper, self.along, self.across)
            places[:, self.way] += across - on_paper
            off = self.curl * (1.0 - (across / self.side) ** 2)
        flat = np.column_stack([places, np.full(len(places), -height) - off])
        return flat @ self.turn.T + [0.0, 0.0, self.away]

    def pixel(self, places, height=0.0, *, centred=False, aim=None):
        """Where places on the sheet (mm from the aim, right and down) are in the picture."""
        places = np.atleast_2d(places)
        if not centred:
            places = places + (np.array(aim) - self.half)
        x, y, z = self.space(places, height).T
        flat = np.column_stack([x / z, y / z])
        square = (flat**2).sum(1, keepdims=True) / self.radius**2
        return self.middle + self.focal * flat * (1.0 + self.lens * square)

    def look(self, reflectance):
        """The sheet as the picture shows it; −1 where there is none."""
        high, wide = self.shape
        step = 8  # places are worked out on a coarse grid; between they are straight to 0.002 mm
        grid = np.stack(
            np.meshgrid(step * np.arange(wide // step + 2), step * np.arange(high // step + 2)), -1
        ).astype(np.float64)
        bent = (grid - self.middle) / self.focal
        flat = bent.copy()
        for _ in range(8):
            square = (flat**2).sum(-1, keepdims=True) / self.radius**2
            flat = bent / (1.0 + self.lens * square)
        rays = np.concatenate([flat, np.ones((*flat.shape[:2], 1))], -1) @ self.turn
        origin = -self.away * self.turn[2]
        reach = -origin[2] / rays[..., 2]
        for _ in range(8 if self.curl else 0):  # where the ray meets the rolled sheet
            across = origin[self.way] + reach * rays[..., self.way]
            across = np.clip(across, -self.side, self.side)
            off = self.curl * (1.0 - (across / self.side) ** 2)
            reach = (-origin[2] - off) / rays[..., 2]
        places = origin[:2] + reach[..., None] * rays[..., :2]
        if self.curl:
            on_paper = np.interp(places[..., self.way], self.across, self.along)
            inside = np.abs(places[..., self.way]) <= self.side
            places[..., self.way] = np.where(inside, on_paper, -1e4)
        places = places + self.half
        places = np.where(reach[..., None] > 0.0, places, -1e4)
        coarse_at = (places * PX_PER_MM - 0.5).astype(np.float32)
        x = np.tile(np.arange(wide, dtype=np.float32) / step, (high, 1))
        y = np.tile(np.arange(high, dtype=np.float32)[:, None] / step, (1, wide))
        at = cv2.remap(coarse_at, x, y, cv2.INTER_LINEAR)
        coarse = PX_PER_MM / (self.focal / self.away)  # raster px on one of the picture
        soft = cv2.GaussianBlur(reflectance, (0, 0), max(0.45 * coarse, 0.3))
        border = {"borderMode": cv2.BORDER_CONSTANT, "borderValue": (-1.0, -1.0, -1.0)}
        return cv2.remap(soft, at, None, cv2.INTER_LINEAR, **border)


def torn(scene, sheet):
    """The sheet in colours, with its holes."""
    rng = np.random.default_rng([33, scene.seed])
    paper = np.array([0.97, 0.99, 1.0], np.float32)  # blue, green, red
    colours = sheet.reflectance[..., None] * paper
    _tape_over(np.random.default_rng([35, scene.seed]), colours, scene, sheet)
    for place in scene.holes:
        butt = rng.uniform(0.08, 0.25) * np.array([rng.uniform(0.6, 1.0), 0.9, 1.0])
        _tear(rng, colours, (place + sheet.aim) * PX_PER_MM, scene.diameter, butt)
    return colours


TAPES = ((0.9, 0.93, 0.95), (0.93, 0.93, 0.93), (0.5, 0.68, 0.78), (0.06, 0.06, 0.06))


def _tape_over(rng, colours, scene, sheet):
    """Pieces of tape as archers close old holes with: white, clear of gloss, brown or black.

    Square pieces of 15 to 25 mm, strips twice as long as wide; common practice, no source.
    """
    for _ in range(scene.taped):
        middle = (rng.uniform(-0.8, 0.8, 2) * 75.0 + sheet.aim) * PX_PER_MM
        wide = rng.uniform(15.0, 25.0) * PX_PER_MM
        size = (wide, wide * rng.choice([1.0, 2.0]))
        box = cv2.boxPoints((tuple(middle), size, float(rng.uniform(0.0, 180.0))))
        tone = np.array(TAPES[rng.integers(len(TAPES))]) * rng.uniform(0.9, 1.05)
        _paint(colours, (box,), tone)


def _tear(rng, colours, middle, diameter, butt):
    """One hole: a ragged disc of butt inside fibres of paper, on part of its rim."""
    radius = 0.5 * diameter * rng.uniform(0.75, 1.0) * PX_PER_MM
    reach = int(2.0 * radius) + 4
    left, top = np.floor(middle - reach).astype(int)
    part = colours[top : top + 2 * reach, left : left + 2 * reach]
    y, x = np.mgrid[top : top + part.shape[0], left : left + part.shape[1]] + 0.5
    away, angle = np.hypot(x - middle[0], y - middle[1]), np.arctan2(y - middle[1], x - middle[0])
    ragged = radius * (
        1.0
        + sum(rng.uniform(-0.05, 0.05) * np.cos(k * angle + rng.uniform(0, 6)) for k in (2, 3, 5))
    )
    fibres = rng.uniform(0.3, 0.9) * PX_PER_MM * (0.6 + 0.4 * np.cos(angle + rng.uniform(0, 6)))
    rim = np.clip(ragged + fibres - away, 0.0, 1.0)[..., None] * rng.uniform(0.5, 0.9)
    part[:] = part * (1.0 - rim) + rim * rng.uniform(0.7, 0.9)
    hole = np.clip(ragged - away + 0.5, 0.0, 1.0)[..., None]
    part[:] = part * (1.0 - hole) + hole * butt * (1.0 + 0.25 * rng.standard_normal(1))


SHAFTS = (
    (0.04, 0.04, 0.04),
    (0.08, 0.08, 0.09),
    (0.1, 0.35, 0.08),
    (0.07, 0.1, 0.5),
    (0.3, 0.3, 0.3),
)


def _stuck(rng, scene, camera, picture, sheet):
    """Shafts in the butt: tubes that end in the air, with a nock and three vanes."""
    for place in scene.shafts:
        colour = np.array(SHAFTS[rng.integers(len(SHAFTS))])
        long, lean = rng.uniform(500.0, 700.0), np.radians(rng.uniform(-1.5, 1.5, 2))
        heights = np.linspace(0.0, min(long, 0.8 * camera.away), 40)
        line = np.concatenate(
            [camera.pixel(place + h * np.tan(lean), h, aim=sheet.aim) for h in heights]
        )
        centre = place + (np.array(sheet.aim) - camera.half)
        depths = np.concatenate([camera.depth(centre[None], h) for h in heights])
        half = 0.5 * scene.diameter * camera.focal / depths
        side = np.gradient(line, axis=0)
        side = side[:, ::-1] * [-1.0, 1.0] / np.maximum(np.hypot(*side.T), 1e-9)[:, None]
        tube = np.concatenate([line + side * half[:, None], (line - side * half[:, None])[::-1]])
        angles = np.linspace(0.0, 2.0 * np.pi, 32)
        end = line[0] + half[0] * np.column_stack([np.cos(angles), np.sin(angles)])
        shine = np.concatenate(
            [line + 0.3 * side * half[:, None], (line - 0.1 * side * half[:, None])[::-1]]
        )
        _paint(picture, (tube, end), colour)
        _paint(picture, (shine,), np.minimum(colour * 1.6 + 0.04, 0.9))


def _paint(picture, outlines, colour):
    """Areas inside outlines in one colour, with soft edges."""
    mask = np.zeros(picture.shape[:2], np.uint8)
    for outline in outlines:
        cv2.fillPoly(mask, [np.round(outline * 16.0).astype(np.int32)], 255, cv2.LINE_AA, 4)
    left, top, wide, high = cv2.boundingRect(mask)
    part = (slice(top, top + high), slice(left, left + wide))
    share = mask[part][..., None] / np.float32(255.0)
    picture[part] = picture[part] * (1.0 - share) + share * colour.astype(np.float32)


def _hand(rng, camera, picture, sheet, corners):
    """Something skin-coloured over part of one mark."""
    outer, inner = corners
    place = inner + rng.uniform(0.55, 0.95) * (outer - inner)
    angles = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    radii = rng.uniform(7.0, 11.0) * (1.0 + 0.15 * rng.standard_normal(24))
    blob = place + radii[:, None] * np.column_stack([np.cos(angles), np.sin(angles)])
    _paint(picture, (camera.pixel(blob, aim=sheet.aim),), np.array([0.35, 0.45, 0.62]))


def photograph(scene, sheet, corners=None):
    """A picture as JPEG bytes, and the camera that took it.

    `corners`: outer and inner corner of each mark, mm from the aim, for what covers one.
    """
    rng = np.random.default_rng([34, scene.seed])
    camera = Camera(scene, sheet)
    seen = camera.look(torn(scene, sheet))
    high, wide = camera.shape
    straw = cv2.resize(
        rng.uniform(0.2, 0.5, (high // 6, wide // 6, 1)).astype(np.float32), (wide, high)
    )
    butt = straw[..., None] * np.array([0.5, 0.8, 1.0], np.float32)
    picture = np.where(seen.min(-1, keepdims=True) < 0.0, butt, np.maximum(seen, 0.0)).astype(
        np.float32
    )
    _stuck(rng, scene, camera, picture, sheet)
    if scene.cover is not None and corners is not None:
        _hand(rng, camera, picture, sheet, corners[scene.cover])
    picture *= _light(rng, scene, camera).astype(np.float32)[..., None]
    return finished(rng, scene, picture), camera


def _light(rng, scene, camera):
    """Uneven light over the picture, and a shadow with one soft straight edge or two."""
    high, wide = camera.shape
    y, x = np.mgrid[0:high, 0:wide].astype(np.float32)
    x, y = x / wide - 0.5, y / high - 0.5
    slope = rng.uniform(0.0, 0.6)
    angle = rng.uniform(0.0, 2.0 * np.pi)
    light = (
        1.0 + slope * (x * np.cos(angle) + y * np.sin(angle)) - rng.uniform(0, 0.4) * (x**2 + y**2)
    )
    if scene.shadow:
        edge = rng.uniform(0.0, 2.0 * np.pi)
        along = x * np.cos(edge) + y * np.sin(edge) - rng.uniform(-0.3, 0.3)
        soft = 10.0 ** rng.uniform(-2.7, -0.9)
        dark = 1.0 / (1.0 + np.exp(np.clip(-along / soft, -50, 50)))
        if rng.random() < 0.4:  # a post's or a bow's: as narrow as this
            dark *= 1.0 - 1.0 / (
                1.0 + np.exp(np.clip(-(along - rng.uniform(0.02, 0.2)) / soft, -50, 50))
            )
        light *= 1.0 - rng.uniform(0.3, 0.6) * dark
    return light / light.max()


def finished(rng, scene, picture):
    """Blur, exposure, noise and JPEG."""
    if scene.blur > 0.05:
        picture = cv2.GaussianBlur(picture, (0, 0), scene.blur)
    if scene.motion > 1.0:
        size = 2 * int(np.ceil(scene.motion / 2.0)) + 3
        kernel = np.zeros((size * 8, size * 8), np.uint8)
        angle, half = rng.uniform(0.0, np.pi), 4.0 * scene.motion
        step = np.array([np.cos(angle), np.sin(angle)]) * half
        ends = [tuple(int(v) for v in np.round(size * 4.0 + sign * step)) for sign in (-1, 1)]
        cv2.line(kernel, *ends, 255, 8)
        kernel = cv2.resize(kernel, (size, size), interpolation=cv2.INTER_AREA).astype(np.float64)
        picture = cv2.filter2D(picture, -1, kernel / kernel.sum())
    exposure = rng.uniform(0.75, 1.02)
    grey = 255.0 * cv2.pow(np.clip(picture * np.float32(exposure), 0.0, 1.0), 1.0 / 2.2)
    grey += np.float32(scene.noise) * rng.standard_normal(grey.shape, np.float32)
    ready = np.clip(np.round(grey), 0, 255).astype(np.uint8)
    return cv2.imencode(".jpg", ready, [cv2.IMWRITE_JPEG_QUALITY, scene.quality])[1].tobytes()
