"""Hollow and round things as plain shapes.

Each draws itself on a sheet of 1200 by 900 units with its middle at about (600, 400), standing on ``FLOOR``
or lying flat; light and mud come later.
"""

from __future__ import annotations

import math

from strandline.services.drawn_pen import BLUE, DARK, FLOOR, PALE, RGB, ROPE, Pen, curve, tone

WHITE: RGB = (234, 232, 226)


def chest(pen: Pen) -> None:
    """A chest with a painted lid, bands and rope beckets."""
    for side in (-1, 1):
        x = 600 + side * 352
        pen.line(curve([(x, 420), (x + side * 46, 470), (x, 520)]), 15, ROPE)
    pen.rect(250, 370, 950, FLOOR, pen.main, 6)
    for y in (440, 508, 574):
        pen.line([(252, y + pen.off(3)), (948, y + pen.off(3))], 3, tone(pen.main, 0.66))
    pen.poly([(236, 372), (270, 262), (930, 262), (964, 372)], tone(pen.main, 1.18))
    pen.poly([(330, 356), (352, 282), (848, 282), (870, 356)], (70, 96, 92))
    pen.poly([(600, 292), (650, 318), (600, 346), (550, 318)], (196, 170, 104))
    pen.rect(236, 366, 964, 386, tone(pen.main, 0.74), 4)
    for x in (340, 600, 860):
        pen.rect(x - 20, 372, x + 20, FLOOR, pen.second)
        for y in (410, 500, 600):
            pen.oval(x, y, 7, 7, tone(pen.second, 0.6))
    pen.rect(572, 384, 628, 456, tone(pen.second, 1.2), 8)
    pen.oval(600, 424, 8, 12, DARK)


def box(pen: Pen) -> None:
    """A small box seen from the front, its lid a little open."""
    pen.poly([(380, 400), (452, 318), (872, 318), (820, 400)], tone(pen.main, 1.2))
    pen.poly([(820, 400), (872, 318), (872, 548), (820, FLOOR)], tone(pen.main, 0.72))
    pen.rect(380, 400, 820, FLOOR, pen.main, 4)
    pen.poly([(380, 420), (820, 420), (872, 336), (872, 346), (820, 434), (380, 434)], DARK)
    pen.rect(408, 462, 792, 612, tone(pen.main, 0.86), 8)
    pen.rect(420, 474, 780, 600, tone(pen.main, 1.06), 6)
    pen.rect(578, 414, 622, 462, pen.second, 6)
    for x in (380, 794):
        for y in (436, 614):
            pen.rect(x, y, x + 26, y + 26, pen.second)


def jar(pen: Pen) -> None:
    """A jar with shoulders."""
    pen.turned(
        [(88, 170), (96, 186), (82, 214), (168, 290), (196, 400), (176, 540), (140, FLOOR)], 600, pen.main
    )
    pen.turned([(176, 300), (197, 372), (197, 404)], 600, pen.second)
    pen.oval(600, 172, 90, 20, tone(pen.main, 1.15))
    pen.oval(600, 174, 70, 13, DARK)
    pen.line(curve([(690, 300), (676, 380), (720, 440)]), 2, tone(pen.main, 0.5))


def jug(pen: Pen) -> None:
    """A jug with handle, lip and a printed picture."""
    paint = BLUE if sum(pen.main) > PALE else pen.second
    pen.line(curve([(716, 262), (846, 268), (838, 430), (744, 500)]), 30, tone(pen.main, 0.92))
    pen.turned([(112, 210), (100, 260), (150, 360), (176, 460), (150, 580), (112, FLOOR)], 590, pen.main)
    pen.poly([(478, 208), (430, 196), (486, 268)], pen.main)
    pen.oval(590, 210, 112, 22, tone(pen.main, 1.06))
    pen.oval(588, 212, 92, 14, DARK)
    pen.oval(580, 450, 96, 78, tone(paint, 0.9))
    pen.oval(580, 450, 86, 68, pen.main)
    pen.poly([(512, 470), (650, 470), (626, 496), (534, 496)], paint)
    pen.poly([(576, 398), (576, 462), (528, 462)], paint)
    pen.poly([(586, 404), (586, 462), (636, 462)], paint)


def bottle(pen: Pen) -> None:
    """A bottle with its stopper."""
    pen.rect(574, 120, 626, 186, (150, 116, 78), 6)
    pen.turned(
        [(40, 170), (42, 250), (60, 296), (128, 356), (136, 420), (136, 560), (128, FLOOR)], 600, pen.main
    )
    pen.turned([(122, 440), (126, 520), (118, 630)], 600, tone(pen.main, 0.8))
    pen.rect(560, 166, 640, 188, tone(pen.main, 1.15), 8)
    pen.line(curve([(500, 380), (490, 470), (502, 590)]), 9, tone(pen.main, 1.5))


def bell(pen: Pen) -> None:
    """A bell with its crown and clapper."""
    pen.line([(600, 540), (600, 622)], 24, (104, 74, 58))
    pen.oval(600, 626, 36, 26, (104, 74, 58))
    pen.ring(600, 142, 40, 36, 18, tone(pen.main, 0.8))
    pen.turned([(40, 168), (118, 200), (146, 270), (164, 400), (208, 500), (272, 580)], 600, pen.main)
    pen.turned([(150, 286), (152, 300)], 600, tone(pen.main, 0.7))
    pen.turned([(210, 502), (222, 520)], 600, tone(pen.main, 0.72))
    pen.oval(600, 580, 272, 20, tone(pen.main, 0.62))


def bird_case(pen: Pen) -> None:
    """A white sea bird on a rock under glass."""
    pen.rect(300, 130, 900, FLOOR, (70, 50, 36), 6)
    pen.rect(330, 156, 870, 590, (156, 176, 180))
    pen.poly(curve([(360, 590), (430, 520), (560, 540), (700, 500), (840, 590)]), (104, 100, 92))
    pen.poly(
        curve([(470, 330), (560, 300), (690, 340), (800, 470), (690, 470), (560, 490), (480, 430)]), WHITE
    )
    pen.poly([(640, 400), (836, 500), (800, 512), (640, 450)], (54, 52, 54))
    pen.poly(curve([(476, 380), (470, 280), (452, 222), (500, 190), (552, 230), (560, 320)]), WHITE)
    pen.oval(486, 222, 40, 38, (226, 204, 148))
    pen.poly([(452, 212), (372, 240), (456, 238)], (150, 158, 164))
    pen.oval(474, 216, 7, 7, DARK)
    for x in (570, 626):
        pen.line([(x, 474), (x - 6, 524)], 12, (70, 68, 66))
    pen.line([(360, 560), (520, 176)], 5, (214, 226, 228))
    pen.line([(400, 566), (560, 180)], 3, (206, 220, 222))


def dial(pen: Pen) -> None:
    """A round instrument with needle and rose."""
    pen.oval(600, 400, 262, 262, tone(pen.main, 0.75))
    pen.oval(600, 396, 252, 252, pen.main)
    pen.oval(600, 398, 212, 212, tone(pen.main, 0.6))
    pen.oval(600, 398, 204, 204, (228, 220, 198))
    for n in range(32):
        angle, near = n / 32 * math.tau, 170 if n % 4 else 150
        edge = (600 + 194 * math.cos(angle), 398 + 194 * math.sin(angle))
        pen.line(
            [edge, (600 + near * math.cos(angle), 398 + near * math.sin(angle))], 3 if n % 4 else 6, DARK
        )
    for n in range(8):
        angle, reach = n / 8 * math.tau, 136 if n % 2 == 0 else 84
        tip = (600 + reach * math.cos(angle), 398 + reach * math.sin(angle))
        for side, fill in ((-0.39, DARK), (0.39, (158, 120, 70))):
            foot = (600 + 36 * math.cos(angle + side), 398 + 36 * math.sin(angle + side))
            pen.poly([(600, 398), foot, tip], fill)
    turn = pen.random.uniform(0, math.tau)
    pen.line([(600 - 120 * math.cos(turn), 398 - 120 * math.sin(turn)),
              (600 + 150 * math.cos(turn), 398 + 150 * math.sin(turn))], 7, (124, 56, 46))  # fmt: skip
    pen.oval(600, 398, 15, 15, pen.main)


def helmet(pen: Pen) -> None:
    """A diving helmet with its windows."""
    pen.poly(curve([(390, 520), (330, 600), (350, FLOOR), (850, FLOOR), (870, 600), (810, 520)]), pen.main)
    pen.oval(600, 350, 226, 222, pen.main)
    pen.rect(420, 500, 780, 556, pen.second, 12)
    for x, wide in ((600, 86), (414, 46), (786, 46)):
        pen.oval(x, 360, wide + 16, 102, pen.second)
        pen.oval(x, 360, wide - 8, 78, (64, 78, 82))
    for x in (560, 600, 640):
        pen.line([(x, 284), (x, 436)], 7, pen.second)
    pen.oval(600, 190, 66, 42, pen.second)
    pen.oval(600, 188, 46, 27, (64, 78, 82))
    for n in range(8):
        pen.oval(396 + n * 58, 606, 13, 11, pen.second)


def floats(pen: Pen) -> None:
    """Round floats in a net."""
    for x, y, wide in ((450, 480, 158), (760, 492, 148), (604, 330, 160)):
        pen.oval(x, y, wide, wide, pen.main)
        pen.oval(x - wide * 0.3, y - wide * 0.4, wide * 0.26, wide * 0.17, tone(pen.main, 1.45))
        for n in range(-3, 4):
            bend = n * wide * 0.3
            reach = math.sqrt(max(0.0, wide**2 - bend**2))
            pen.line(
                curve([(x + bend - 10, y - reach), (x + bend * 1.12, y), (x + bend - 10, y + reach)]), 5, ROPE
            )
            pen.line(curve([(x - reach, y + bend), (x, y + bend * 1.12), (x + reach, y + bend)]), 5, ROPE)


def sphere(pen: Pen) -> None:
    """One float."""
    pen.oval(600, 420, 220, 220, pen.main)
    pen.oval(530, 320, 58, 36, tone(pen.main, 1.5))
    pen.oval(676, 304, 44, 34, tone(pen.main, 0.85))
    pen.ring(676, 304, 44, 34, 5, tone(pen.main, 0.66))


def lamp(pen: Pen) -> None:
    """A lantern with its glass."""
    pen.ring(600, 176, 96, 96, 10, DARK)
    pen.poly([(520, 250), (560, 184), (640, 184), (680, 250)], pen.main)
    pen.rect(492, 246, 708, 276, tone(pen.main, 0.8), 8)
    pen.turned([(96, 276), (116, 360), (116, 440), (96, 530)], 600, pen.second)
    pen.line(curve([(540, 300), (524, 400), (540, 510)]), 12, tone(pen.second, 1.3))
    for x in (484, 600, 716):
        pen.line([(x, 270), (x, 536)], 10, tone(pen.main, 0.8))
    pen.rect(480, 526, 720, 556, tone(pen.main, 0.8), 8)
    pen.poly([(500, 556), (700, 556), (734, FLOOR), (466, FLOOR)], pen.main)


def basket(pen: Pen) -> None:
    """Woven willow."""
    pen.ring(600, 300, 200, 150, 18, tone(pen.main, 0.8))
    pen.poly(
        curve([(330, 330), (350, 500), (410, FLOOR), (790, FLOOR), (850, 500), (870, 330)]),
        tone(pen.main, 0.6),
    )
    for row in range(11):
        y = 346 + row * 28
        half = 266 - row * 6.5
        for n in range(13):
            x = 600 - half + (n + (row % 2) / 2) * half * 2 / 13
            pen.line(
                curve([(x, y + 8), (x + half / 13, y - 6), (x + half * 1.7 / 13, y + 8)]),
                15,
                tone(pen.main, 0.9 + pen.off(0.1)),
            )
    pen.ring(600, 332, 272, 34, 20, pen.main)


def barrel(pen: Pen) -> None:
    """A barrel, bucket or drum with its hoops."""
    pen.turned([(176, 190), (206, 300), (216, 410), (206, 530), (176, FLOOR)], 600, pen.main)
    for n in range(-4, 5):
        pen.line(
            curve([(600 + n * 40, 200), (600 + n * 49, 410), (600 + n * 40, 636)]), 3, tone(pen.main, 0.62)
        )
    for y, half in ((240, 196), (330, 212), (500, 212), (590, 196)):
        pen.turned([(half, y - 15), (half, y + 15)], 600, pen.second)
    pen.oval(600, 192, 176, 34, tone(pen.main, 0.8))
    pen.oval(600, 194, 152, 24, tone(pen.main, 0.55))


def buoy(pen: Pen) -> None:
    """A ring that floats, banded, with its line."""
    pen.ring(600, 400, 288, 288, 8, ROPE)
    pen.ring(600, 400, 266, 266, 124, pen.main)
    for n in range(4):
        angle = n / 4 * math.tau + 0.7
        near = (600 + 150 * math.cos(angle), 400 + 150 * math.sin(angle))
        pen.line([near, (600 + 258 * math.cos(angle), 400 + 258 * math.sin(angle))], 64, (150, 66, 54))


def wheel(pen: Pen) -> None:
    """A wheel or ring from above, with spokes."""
    for n in range(8):
        angle = n / 8 * math.tau + 0.2
        pen.line(
            [(600, 400), (600 + 268 * math.cos(angle), 400 + 268 * math.sin(angle))], 24, tone(pen.main, 0.9)
        )
    pen.ring(600, 400, 218, 218, 46, pen.main)
    pen.ring(600, 400, 202, 202, 12, pen.second)
    pen.oval(600, 400, 66, 66, pen.second)
    pen.oval(600, 400, 22, 22, DARK)
