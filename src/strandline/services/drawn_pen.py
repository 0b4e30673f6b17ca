"""The pen that the drawn photographs of the demo are drawn with: plain shapes in units of the sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from PIL import ImageDraw

RGB = tuple[int, int, int]
Point = tuple[float, float]
FLOOR = 640
DARK: RGB = (46, 42, 40)
ROPE: RGB = (120, 98, 68)
BLUE: RGB = (72, 98, 142)
PALE = 560
"""Sum of red, green and blue above which a body is painted blue."""


def tone(colour: RGB, by: float) -> RGB:
    """A colour made lighter (above 1) or darker."""
    red, green, blue = (min(255, max(0, round(level * by))) for level in colour)
    return red, green, blue


@dataclass(slots=True)
class Pen:
    """Draws in units of the sheet, ``scale`` pixels each; ``main`` and ``second`` are the thing's colours."""

    on: ImageDraw.ImageDraw
    scale: float
    main: RGB
    second: RGB
    random: Random

    def poly(self, points: Sequence[Point], fill: RGB) -> None:
        """A filled outline."""
        self.on.polygon([(x * self.scale, y * self.scale) for x, y in points], fill=(*fill, 255))

    def rect(
        self, left: float, top: float, right: float, bottom: float, fill: RGB, round_by: float = 0
    ) -> None:
        """An upright rectangle."""
        box = [side * self.scale for side in (left, top, right, bottom)]
        self.on.rounded_rectangle(box, round_by * self.scale, fill=(*fill, 255))

    def oval(self, x: float, y: float, wide: float, high: float, fill: RGB) -> None:
        """An ellipse about a point, by its half axes."""
        box = [side * self.scale for side in (x - wide, y - high, x + wide, y + high)]
        self.on.ellipse(box, fill=(*fill, 255))

    def ring(self, x: float, y: float, wide: float, high: float, line: float, fill: RGB) -> None:
        """An ellipse's outline."""
        box = [side * self.scale for side in (x - wide, y - high, x + wide, y + high)]
        self.on.ellipse(box, outline=(*fill, 255), width=round(line * self.scale))

    def line(self, points: Sequence[Point], line: float, fill: RGB) -> None:
        """A line with round corners and ends."""
        wide = max(1, round(line * self.scale))
        scaled = [(x * self.scale, y * self.scale) for x, y in points]
        self.on.line(scaled, fill=(*fill, 255), width=wide, joint="curve")
        for x, y in (scaled[0], scaled[-1]):
            self.on.ellipse([x - wide / 2, y - wide / 2, x + wide / 2, y + wide / 2], fill=(*fill, 255))

    def turned(self, profile: Sequence[Point], x: float, fill: RGB) -> None:
        """Something turned on a wheel: half widths and heights, the same left and right, smooth between."""
        smooth = curve(profile)
        self.poly(
            [(x + wide, y) for wide, y in smooth] + [(x - wide, y) for wide, y in reversed(smooth)], fill
        )

    def off(self, most: float) -> float:
        """A small amount either way."""
        return self.random.uniform(-most, most)


def curve(points: Sequence[Point], steps: int = 8) -> list[Point]:
    """A smooth line through points."""
    line = [points[0], *points, points[-1]]
    found: list[Point] = []
    for (x0, y0), (x1, y1), (x2, y2), (x3, y3) in zip(line, line[1:], line[2:], line[3:], strict=False):
        for step in range(steps):
            t = step / steps
            found.append((_between(x0, x1, x2, x3, t), _between(y0, y1, y2, y3, t)))
    return [*found, points[-1]]


def _between(a: float, b: float, c: float, d: float, t: float) -> float:
    return b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)))
