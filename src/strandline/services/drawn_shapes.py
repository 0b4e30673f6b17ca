"""Carved, flat and long things as plain shapes.

Each draws itself on a sheet of 1200 by 900 units with its middle at about (600, 400), standing on ``FLOOR``
or lying flat; light and mud come later.
"""

from __future__ import annotations

import math

from strandline.services.drawn_pen import BLUE, DARK, FLOOR, PALE, RGB, ROPE, Pen, curve, tone

LEAF: RGB = (230, 222, 200)


def figurehead(pen: Pen) -> None:
    """A carved woman, half length, a hand off, on a scroll."""
    spots = [
        (560, 330), (470, 390), (440, 520), (474, FLOOR), (740, FLOOR), (724, 500), (684, 380),
        (640, 330),
    ]  # fmt: skip
    pen.poly(curve(spots), pen.second)
    pen.poly(
        curve([(468, 560), (520, 600), (600, 590), (740, 560), (742, FLOOR), (470, FLOOR)]), (176, 146, 78)
    )
    pen.line(curve([(500, 404), (450, 480), (520, 540), (590, 500)]), 46, pen.main)
    pen.line(curve([(690, 400), (752, 470), (770, 520)]), 46, pen.main)
    pen.oval(774, 532, 23, 20, (214, 190, 150))
    pen.rect(572, 280, 634, 350, pen.main, 20)
    pen.oval(606, 208, 86, 98, (92, 62, 42))
    pen.oval(596, 222, 63, 82, pen.main)
    for y in (166, 200, 236, 272, 308):
        pen.oval(676 + pen.off(8), y, 24, 21, (92, 62, 42))
    for x in (572, 618):
        pen.oval(x, 214, 8, 5, DARK)
    pen.line([(594, 214), (586, 246), (598, 248)], 4, tone(pen.main, 0.7))
    pen.line([(576, 272), (612, 270)], 6, (150, 74, 62))
    pen.poly(curve([(566, 480), (604, 452), (644, 484), (630, 530), (578, 528)]), (222, 206, 176))
    for x in (584, 604, 624):
        pen.line([(604, 526), (x, 476)], 3, (170, 148, 112))


def coil(pen: Pen) -> None:
    """A coil of rope lying flat, an end loose."""
    for layer in range(5, 0, -1):
        y = 560 - 44 * (5 - layer)
        for turn in range(2):
            wide = 310 - 10 * (5 - layer) - 40 * turn + pen.off(6)
            pen.ring(600, y, wide, wide * 0.36, 40, tone(pen.main, 0.8 + 0.08 * (layer % 3)))
            for n in range(54):
                angle = n / 54 * math.tau
                x, at = 600 + (wide - 20) * math.cos(angle), y + (wide * 0.36 - 19) * math.sin(angle)
                pen.line([(x - 9, at + 11), (x + 9, at - 11)], 3, tone(pen.main, 0.55))
    pen.line(curve([(880, 560), (960, 600), (930, 650), (1010, 664)]), 34, pen.main)


def plate(pen: Pen) -> None:
    """A plate from above, dashes at the rim, a crack with rivets."""
    paint = BLUE if sum(pen.main) > PALE else pen.second
    pen.oval(600, 400, 284, 284, tone(pen.main, 0.92))
    pen.oval(600, 398, 276, 276, pen.main)
    for n in range(36):
        angle = n / 36 * math.tau
        near = (600 + 236 * math.cos(angle), 398 + 236 * math.sin(angle))
        pen.line(
            [near, (600 + 266 * math.cos(angle + 0.06), 398 + 266 * math.sin(angle + 0.06))], 11, pen.second
        )
    pen.ring(600, 398, 190, 190, 6, tone(pen.main, 0.85))
    pen.ring(600, 398, 176, 176, 4, paint)
    pen.poly([(520, 440), (690, 440), (660, 478), (548, 478)], paint)
    pen.poly([(596, 316), (596, 430), (528, 430)], tone(paint, 1.3))
    pen.poly([(608, 326), (608, 430), (672, 430)], tone(paint, 1.3))
    crack = [(452, 160), (500, 260), (486, 360), (540, 500), (520, 668)]
    pen.line(crack, 3, (104, 84, 66))
    for x, y in crack[1:4]:
        pen.line([(x - 20, y - 8), (x + 20, y - 2)], 9, (112, 72, 50))


def tool(pen: Pen) -> None:
    """A long tool lying aslant, haft and head."""
    pen.line([(220, 590), (820, 290)], 36, pen.second)
    pen.line([(226, 582), (812, 288)], 7, tone(pen.second, 1.25))
    pen.line([(756, 322), (842, 280)], 48, tone(pen.main, 0.85))
    pen.poly([(806, 268), (990, 176), (1000, 196), (924, 306), (900, 262), (836, 320)], pen.main)
    pen.line([(832, 292), (980, 192)], 5, tone(pen.main, 1.35))
    for n in range(4):
        x = 690 - 24 * n
        pen.line([(x - 12, 346 + 12 * n - 16), (x + 12, 346 + 12 * n + 20)], 9, ROPE)


def oar(pen: Pen) -> None:
    """An oar, paddle or spar lying aslant."""
    pen.line([(180, 610), (860, 274)], 26, pen.main)
    pen.line([(186, 602), (850, 272)], 5, tone(pen.main, 1.3))
    pen.poly(
        curve([(780, 296), (860, 226), (1020, 146), (1060, 176), (1000, 232), (860, 296), (800, 318)]),
        pen.main,
    )
    pen.line([(840, 282), (1040, 172)], 4, tone(pen.main, 0.7))
    pen.line([(560, 422), (640, 382)], 40, pen.second)


def boots(pen: Pen) -> None:
    """A pair of sea boots, the tops fallen over."""
    for x, lean in ((380, -18), (650, 14)):
        top = x + lean
        spots = [
            (top, 210), (top + 150, 200), (x + 160, 420), (x + 190, 520), (x + 290, 566),
            (x + 300, 622), (x - 10, 622), (x + 6, 430),
        ]  # fmt: skip
        pen.poly(curve(spots), pen.main)
        spots = [
            (x - 14, 616), (x + 304, 616), (x + 300, FLOOR), (x + 90, FLOOR), (x + 84, 628),
            (x - 12, FLOOR),
        ]  # fmt: skip
        pen.poly(spots, tone(pen.main, 0.5))
        pen.oval(top + 74, 210, 76, 24, tone(pen.main, 0.45))
        pen.line(curve([(x + 8, 300), (x + 80, 322), (x + 158, 300)]), 4, tone(pen.main, 0.6))
        pen.line(curve([(x + 4, 500), (x + 90, 470), (x + 176, 500)]), 6, tone(pen.main, 0.66))
        pen.line(curve([(x + 10, 528), (x + 90, 500), (x + 186, 530)]), 4, tone(pen.main, 1.35))
        for n in range(7):
            pen.oval(x + 6 + 46 * n, 630, 4, 4, pen.second)


def garment(pen: Pen) -> None:
    """A jersey or coat laid flat."""
    spots = [
        (430, 180), (520, 150), (680, 150), (770, 180), (960, 440), (890, 500), (760, 360), (770, 660),
        (430, 660), (440, 360), (310, 500), (240, 440),
    ]  # fmt: skip
    pen.poly(spots, pen.main)
    pen.oval(600, 156, 84, 34, tone(pen.main, 0.55))
    pen.rect(430, 624, 770, 660, tone(pen.main, 0.8))
    pen.line(curve([(446, 360), (470, 460), (450, 600)]), 5, tone(pen.main, 0.72))
    pen.line(curve([(756, 360), (730, 470), (752, 600)]), 5, tone(pen.main, 0.72))
    for n in range(9):
        y = 250 + n * 40
        pen.line(curve([(470, y), (600, y + 10 + pen.off(8)), (730, y)]), 2, tone(pen.main, 0.86))
    pen.rect(520, 420, 590, 490, tone(pen.main, 1.16), 6)


def cloth(pen: Pen) -> None:
    """Cloth folded wet, the folds towards us."""
    for n in range(7):
        y, side = 624 - n * 17, 216 + n * 4 + pen.off(7)
        spots = curve([(side, y), (430, y + 8 + pen.off(3)), (770, y + 6 + pen.off(3)), (1200 - side, y)])
        pen.line(spots, 22, tone(pen.main, 0.9))
        pen.line([(x, up + 9) for x, up in spots], 3, tone(pen.main, 0.52))
    top = [
        (252, 520),
        (300, 350),
        (420, 322),
        (620, 334),
        (820, 318),
        (900, 346),
        (950, 520),
        (780, 536),
        (430, 538),
    ]
    pen.poly(curve([*top, top[0]]), tone(pen.main, 1.04))
    for n in range(5):
        x = 350 + n * 116 + pen.off(20)
        pen.line(
            curve([(x, 344), (x + 36 + pen.off(24), 420), (x + pen.off(20), 524)]), 4, tone(pen.main, 0.8)
        )
        pen.line(curve([(x + 14, 350), (x + 50, 424), (x + 16, 516)]), 5, tone(pen.main, 1.16))
    pen.line(curve([(306, 356), (420, 330), (620, 342), (820, 326), (892, 352)]), 9, ROPE)
    for x in (330, 600, 868):
        pen.ring(x, 372, 17, 12, 7, pen.second)


def pouch(pen: Pen) -> None:
    """A pouch with its flap and cord."""
    pen.line(curve([(460, 330), (420, 200), (600, 130), (780, 200), (740, 330)]), 9, ROPE)
    spots = curve(
        [(440, 330), (380, 480), (420, 600), (600, 636), (780, 600), (820, 480), (760, 330), (600, 306)]
    )
    pen.poly(spots, pen.main)
    spots = curve([(430, 330), (440, 440), (600, 520), (760, 440), (770, 330), (600, 300)])
    pen.poly(spots, tone(pen.main, 0.8))
    pen.line(curve([(440, 446), (600, 524), (760, 446)]), 4, tone(pen.main, 0.5))
    pen.oval(600, 496, 30, 15, (226, 214, 184))


def tooth(pen: Pen) -> None:
    """A tooth with a brig engraved."""
    spots = [
        (280, 560), (300, 470), (420, 380), (600, 300), (800, 250), (930, 260), (940, 290), (840, 350),
        (740, 450), (600, 560), (440, 620), (320, 610),
    ]  # fmt: skip
    pen.poly(curve(spots), pen.main)
    pen.oval(318, 570, 40, 52, tone(pen.main, 0.7))
    ink = (62, 54, 48)
    pen.poly([(486, 494), (690, 432), (664, 470), (514, 522)], ink)
    for x, y in ((540, 480), (604, 458), (656, 440)):
        pen.line([(x, y), (x - 36, y - 122)], 5, ink)
        pen.poly(
            [(x - 62, y - 54), (x + 12, y - 74), (x + 2, y - 30), (x - 50, y - 14)], tone(pen.main, 0.78)
        )
        pen.line([(x - 66, y - 54), (x + 16, y - 76)], 4, ink)


def ship(pen: Pen) -> None:
    """A model of a ship on its cradle."""
    for x in (460, 740):
        pen.rect(x - 16, 560, x + 16, FLOOR, (96, 68, 46))
    pen.rect(400, 620, 800, FLOOR, (96, 68, 46), 4)
    pen.poly(curve([(240, 446), (330, 560), (600, 598), (850, 560), (930, 440), (600, 476)]), pen.main)
    pen.line(curve([(250, 462), (600, 496), (916, 456)]), 10, pen.second)
    pen.line([(860, 452), (1010, 396)], 7, (120, 90, 60))
    for x, high in ((430, 200), (640, 140), (800, 236)):
        pen.line([(x, 470), (x - 8, high)], 8, (120, 90, 60))
        pen.poly([(x - 14, high + 40), (x - 120, 400), (x - 16, 436)], (222, 212, 190))
        pen.line([(x - 8, high), (x + 96, 468)], 2, DARK)
        pen.line([(x - 8, high), (x - 130, 462)], 2, DARK)


def bust(pen: Pen) -> None:
    """A bust on its socle."""
    pen.poly(
        curve(
            [(540, 380), (440, 430), (410, 540), (500, 570), (700, 570), (790, 540), (760, 430), (660, 380)]
        ),
        pen.main,
    )
    pen.rect(550, 310, 650, 420, tone(pen.main, 0.9), 30)
    pen.oval(600, 240, 92, 118, pen.main)
    pen.poly(
        curve([(506, 230), (520, 140), (600, 106), (684, 142), (696, 240), (660, 176), (560, 170)]),
        tone(pen.main, 0.82),
    )
    for x in (568, 632):
        pen.oval(x, 236, 14, 8, tone(pen.main, 0.6))
    pen.poly([(598, 230), (586, 286), (612, 288)], tone(pen.main, 0.8))
    pen.line([(574, 318), (626, 318)], 5, tone(pen.main, 0.6))
    pen.poly([(540, 400), (600, 500), (660, 400), (700, 430), (610, 560), (500, 430)], tone(pen.main, 0.86))
    pen.rect(520, 566, 680, 590, pen.second)
    pen.rect(490, 590, 710, FLOOR, pen.second, 4)


def board(pen: Pen) -> None:
    """A long board or bench, aslant."""
    pen.poly([(190, 420), (1000, 330), (1020, 420), (206, 524)], pen.main)
    pen.poly([(206, 524), (1020, 420), (1020, 452), (208, 560)], tone(pen.main, 0.6))
    for n in range(6):
        y = 434 + n * 15
        pen.line(
            curve([(200, y), (480, y - 26 + pen.off(8)), (760, y - 64 + pen.off(8)), (1008, y - 92)]),
            2,
            tone(pen.main, 0.8),
        )
    pen.oval(470 + pen.off(60), 450, 20, 9, tone(pen.main, 0.62))


def sign(pen: Pen) -> None:
    """A painted board or picture in its frame."""
    pen.rect(240, 210, 960, 600, pen.second, 4)
    pen.rect(276, 246, 924, 564, pen.main)
    pen.poly([(276, 450), (924, 430), (924, 564), (276, 564)], tone(pen.main, 0.68))
    pen.poly([(480, 470), (720, 470), (684, 510), (516, 510)], DARK)
    pen.poly([(594, 290), (594, 456), (492, 456)], (226, 214, 186))
    pen.poly([(606, 310), (606, 456), (690, 456)], (226, 214, 186))


def paper(pen: Pen) -> None:
    """A ledger lying open, its leaves cockled."""
    pen.poly([(220, 300), (980, 300), (1010, 620), (190, 620)], tone(pen.main, 0.9))
    for side in (-1, 1):
        edge = curve([(600, 310), (600 + side * 180, 268 + pen.off(8)), (600 + side * 356, 306)])
        foot = curve([(600 + side * 376, 596), (600 + side * 190, 566 + pen.off(8)), (600, 604)])
        pen.poly([*edge, *foot], tone(LEAF, 1 if side < 0 else 0.95))
        for n in range(9):
            y, wide = 346 + n * 25, 300 + n * 2
            pen.line(
                curve([(600 + side * 40, y), (600 + side * wide / 2, y - 17), (600 + side * wide, y)]),
                3,
                (116, 108, 116),
            )
    pen.line([(600, 306), (600, 606)], 5, tone(LEAF, 0.6))


def weight(pen: Pen) -> None:
    """A long heavy thing with an eye: a lead, a head, a block."""
    pen.line(curve([(600, 200), (540, 120), (660, 116), (602, 196)]), 14, ROPE)
    pen.turned([(44, 180), (58, 200), (78, 400), (98, 600), (92, FLOOR)], 600, pen.main)
    pen.oval(600, 214, 22, 18, DARK)
    pen.turned([(90, 520), (94, 536)], 600, tone(pen.main, 0.8))


def small(pen: Pen) -> None:
    """Something small and flat: comb, needle, brooch, palm."""
    pen.poly(
        curve([(330, 330), (480, 260), (720, 262), (870, 334), (852, 400), (600, 420), (348, 400)]), pen.main
    )
    for n in range(22):
        x = 362 + n * 22
        if n not in {9, 10, 17}:
            pen.poly(
                [(x, 396), (x + 13, 396), (x + 9, 566 - abs(n - 11) * 4), (x + 4, 566 - abs(n - 11) * 4)],
                pen.main,
            )
    pen.line(curve([(380, 344), (600, 292), (820, 346)]), 7, tone(pen.main, 1.3))


def bellows(pen: Pen) -> None:
    """An accordion, half drawn out."""
    for n in range(15):
        x = 400 + n * 27
        pen.poly(
            [(x, 250), (x + 15, 230), (x + 30, 250), (x + 30, 630), (x, 630)],
            tone(pen.second, 0.8 if n % 2 else 1.15),
        )
    for x in (260, 800):
        pen.rect(x, 220, x + 150, FLOOR, pen.main, 14)
        pen.rect(x + 22, 246, x + 128, 600, tone(pen.main, 1.25), 8)
    for n in range(9):
        pen.rect(282, 262 + n * 37, 372, 290 + n * 37, (226, 220, 204), 5)
        pen.oval(850, 276 + n * 36, 10, 10, (226, 220, 204))
        pen.oval(888, 276 + n * 36, 10, 10, (226, 220, 204))


def pieces(pen: Pen) -> None:
    """Sherds and bits in a shallow tray."""
    pen.poly([(270, 270), (930, 270), (1000, 620), (200, 620)], (206, 206, 202))
    pen.poly([(300, 292), (900, 292), (956, 596), (244, 596)], (226, 226, 222))
    for row in range(4):
        for n in range(6):
            x, y = 340 + n * 104 + pen.off(20), 336 + row * 68 + pen.off(12)
            wide = pen.random.uniform(22, 46)
            corners = sorted(pen.random.uniform(0, math.tau) for _ in range(6))
            fill = tone(pen.main if pen.random.random() < 0.6 else pen.second, pen.random.uniform(0.75, 1.2))
            pen.poly([(x + wide * math.cos(a), y + wide * 0.62 * math.sin(a)) for a in corners], fill)


def lump(pen: Pen) -> None:
    """Something nobody can name."""
    spots = [
        (
            600 + (230 + pen.off(44)) * math.cos(n / 11 * math.tau),
            440 + (176 + pen.off(36)) * math.sin(n / 11 * math.tau),
        )
        for n in range(11)
    ]
    pen.poly(curve([*spots, spots[0]]), pen.main)
    for _ in range(9):
        x, y = 600 + pen.off(150), 440 + pen.off(110)
        pen.oval(
            x,
            y,
            pen.random.uniform(10, 38),
            pen.random.uniform(8, 26),
            tone(pen.main, pen.random.uniform(0.75, 1.15)),
        )
