"""Drawn photographs for the demo: an invented thing on a table, a scale, its tag, the word 'drawn'.

Nothing is photographed or taken from anywhere.  The same words and seed give the same bytes with one version
of the drawing library.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

from strandline.papers.glyphs import FONTS, printable
from strandline.services import drawn_shapes as flat
from strandline.services import drawn_vessels as hollow
from strandline.services.drawn_pen import RGB, Pen, tone

WIDE, HIGH = 1200, 900
OVER = 2
"""Shapes are drawn so many times larger and made smaller, for smooth edges."""

QUALITY = 84
INK: RGB = (34, 34, 36)
CARD: RGB = (244, 240, 228)
Shape = Callable[[Pen], None]

KINDS: tuple[tuple[str, Shape, float], ...] = (
    ("label|swollen|bottle|decanter|tankard|prism|trumpet", hollow.bottle, 12),
    ("chest", hollow.chest, 92),
    ("figurehead", flat.figurehead, 70),
    ("compass|barometer|chronometer|sextant|octant|porthole|scale, hang", hollow.dial, 20),
    ("helmet|cowl", hollow.helmet, 40),
    ("bell", hollow.bell, 30),
    ("lifebuoy", hollow.buoy, 75),
    ("wheel|bobbin|propeller", hollow.wheel, 60),
    ("rope|coil|cord", flat.coil, 55),
    ("gannet|stuffed|bird", hollow.bird_case, 60),
    ("floats", hollow.floats, 42),
    ("float", hollow.sphere, 15),
    ("pouch|bag$", flat.pouch, 22),
    ("jersey|coat|jacket|wester|epaulette", flat.garment, 90),
    ("sail$|sail |hammock|flag|sampler", flat.cloth, 70),
    ("lamp|lantern|lighthouse", hollow.lamp, 22),
    ("tooth", flat.tooth, 16),
    ("model|ship in", flat.ship, 60),
    ("bust|doorstop|relief", flat.bust, 38),
    ("plate|dish|boss|lid,", flat.plate, 34),
    ("jug|cup", hollow.jug, 20),
    ("jar|pot,|pot$|caddy|pipefish", hollow.jar, 22),
    ("basket|trap|lobster|rush", hollow.basket, 45),
    ("barrel|bucket|drum", hollow.barrel, 34),
    ("boots|boot", flat.boots, 55),
    ("ledger|album|photographs|book", flat.paper, 44),
    ("sign|nameboard|painting|board", flat.sign, 80),
    ("bench|stock|wedge|rudder", flat.board, 150),
    ("oar|paddle|rolling|stick|telescope|rulers", flat.oar, 180),
    ("harpoon|adze|auger|spike|fid|mallet|plane|irons|pistol|knife|tool", flat.tool, 40),
    ("accordion|concertina|bellows", flat.bellows, 38),
    ("lead|post|pump|capstan|weights|block and", flat.weight, 30),
    ("sieve|sherds|sinkers|pieces|shells|pipes|needles", flat.pieces, 40),
    ("comb|needle|busk|palm|brooch|brush", flat.small, 14),
    ("box|fog horn|wireless|radio|stand|slope|tin can|case|desk", hollow.box, 30),
)
"""Words of a title, the shape they call for, and how wide (cm) such a thing is about; the first that fits."""

COLOURS: tuple[tuple[str, RGB], ...] = (
    ("unglazed|earthenware_low|terracotta", (186, 116, 78)),
    ("stoneware|sandstone|clay", (180, 148, 106)),
    ("tin-glazed|transfer|porcelain|glazed|earthenware", (228, 226, 212)),
    ("mahogany|teak|lignum|rosewood|veneer", (122, 72, 46)),
    ("oak|elm|ash |ash$|beech|boxwood", (156, 116, 74)),
    ("pine|spruce|timber|wood|plywood|board", (186, 146, 96)),
    ("willow|hazel|rush|malacca|split", (178, 140, 86)),
    ("ebony|phenolic|lacquer|rubber|baleen|jet|papier", (66, 54, 50)),
    ("brass|gilt|gold", (192, 154, 78)),
    ("bronze", (136, 116, 72)),
    ("copper", (158, 102, 76)),
    ("lead|pewter|spelter|slate|shale", (122, 126, 132)),
    ("steel|tin|silver|alumin", (156, 158, 160)),
    ("enamel", (64, 96, 140)),
    ("iron|metal", (104, 86, 76)),
    ("plaster|marble|alabaster|polystyrene", (232, 228, 218)),
    ("ivory|bone|tooth|whale", (232, 218, 184)),
    ("glass", (122, 164, 146)),
    ("tortoise|horn|celluloid", (176, 122, 58)),
    ("leather|skin|fur", (98, 66, 46)),
    ("wool|bunting", (52, 62, 92)),
    ("oiled", (196, 160, 72)),
    ("canvas|flax|cotton|linen|silk|calf", (210, 198, 168)),
    ("tarred|hemp|rope|net|twine|cord|thread", (112, 88, 58)),
    ("cork", (188, 150, 104)),
    ("paper|card|gelatine|oil on", (226, 216, 190)),
    ("feather|bird", (232, 230, 224)),
    ("paint", (76, 104, 98)),
)
"""Words of a list of materials and the colour they have here."""

PLAIN: tuple[RGB, RGB] = ((150, 130, 104), (98, 90, 84))


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing cut out: its picture, and where its upper left corner lies on the sheet."""

    image: Image.Image
    left: int
    top: int

    @property
    def shape(self) -> Image.Image:
        """Where it is, in grey."""
        return self.image.getchannel("A")


def draw(
    title: str, tag: str, materials: str, seed: int, size: tuple[int, int] = (WIDE, HIGH), wide_cm: float = 0
) -> bytes:
    """A drawn photograph as JPEG.  ``wide_cm`` is how wide the thing is, nought for what its kind has."""
    random = Random(f"{seed}:{tag}")
    shape, usual_cm = shape_of(title)
    thing = _thing(shape, colours_of(materials.strip() or title), random)
    sheet = _table().copy()
    _shade_below(sheet, thing)
    lit = _lit(thing, random)
    _mud(lit, thing, random)
    sheet.paste(lit, (thing.left, thing.top), thing.shape)
    _scale(sheet, thing.image.width / (wide_cm or usual_cm))
    _card(sheet, title, tag, random)
    if size != sheet.size:
        sheet = sheet.resize(size, Image.Resampling.LANCZOS)
    stream = BytesIO()
    sheet.save(stream, "JPEG", quality=QUALITY)
    return stream.getvalue()


def shape_of(title: str) -> tuple[Shape, float]:
    """The shape a title calls for, and its usual width in cm."""
    text = title.lower()
    for words, shape, cm in KINDS:
        if re.search(rf"\b(?:{words})", text):
            return shape, cm
    return flat.lump, 20


def colours_of(materials: str) -> tuple[RGB, RGB]:
    """Colours of the first two materials named; of several words for one, the first in the list counts."""
    named: list[RGB] = []
    for phrase in re.split(r"[,;:/]", materials.lower()):
        named += [colour for words, colour in COLOURS if re.search(rf"\b(?:{words})", phrase)][:1]
    first = named[0] if named else PLAIN[0]
    return first, named[1] if len(named) > 1 else PLAIN[1]


def _thing(shape: Shape, colours: tuple[RGB, RGB], random: Random) -> Thing:
    big = Image.new("RGBA", (WIDE * OVER, HIGH * OVER))
    main, second = (tone(colour, random.uniform(0.94, 1.08)) for colour in colours)
    shape(Pen(ImageDraw.Draw(big), OVER, main, second, random))
    left, top, right, bottom = (side // OVER for side in big.getbbox() or (0, 0, *big.size))
    cut = big.crop((left * OVER, top * OVER, (right + 1) * OVER, (bottom + 1) * OVER))
    return Thing(cut.reduce(OVER), left, top)


def _grain(random: Random, size: tuple[int, int], least: int, steps: tuple[float, float]) -> Image.Image:
    """Soft noise in grey from ``least`` to white; a spot every so many units across and down."""
    across, down = (max(2, int(side / step)) for side, step in zip(size, steps, strict=True))
    spots = Image.frombytes("L", (across, down), random.randbytes(across * down))
    levels = [least + level * (255 - least) // 255 for level in range(256)]
    return spots.point(levels).resize(size, Image.Resampling.BILINEAR)


@lru_cache(maxsize=1)
def _table() -> Image.Image:
    """A grey sheet, light from the upper left: one table for all."""
    small = Image.new("L", (24, 18))
    for x in range(24):
        for y in range(18):
            small.putpixel((x, y), round(192 - ((x - 9) ** 2 + (y - 6) ** 2 * 1.4) ** 0.5 * 2.7))
    level = small.resize((WIDE, HIGH), Image.Resampling.BICUBIC)
    level = ImageChops.multiply(level, _grain(Random(1), (WIDE, HIGH), 244, (3, 3)))
    blue = level.point([min(255, round(n * 1.02)) for n in range(256)])
    return Image.merge("RGB", (level, level, blue))


def _shade_below(sheet: Image.Image, thing: Thing) -> None:
    """A soft shadow to the lower right, and a darker one where the thing stands."""
    alpha = thing.shape.reduce(4)
    edge = 24
    dark = Image.new("L", (alpha.width + 2 * edge, alpha.height + 2 * edge))
    dark.paste(alpha, (edge + 5, edge + 4))
    soft = dark.filter(ImageFilter.GaussianBlur(7)).point([n * 110 // 255 for n in range(256)])
    foot = Image.new("L", soft.size)
    base = edge + alpha.height
    ImageDraw.Draw(foot).ellipse((edge + 2, base - 7, edge + alpha.width + 8, base + 6), fill=150)
    both = ImageChops.lighter(soft, foot.filter(ImageFilter.GaussianBlur(4)))
    both = both.resize((both.width * 4, both.height * 4), Image.Resampling.BILINEAR)
    sheet.paste((24, 24, 30), (thing.left - edge * 4, thing.top - edge * 4), both)


def _lit(thing: Thing, random: Random) -> Image.Image:
    """The thing rounded: light from the left, darker towards its edges, with a grain."""
    size = thing.image.size
    alpha = Image.new("L", (size[0] // 8 + 12, size[1] // 8 + 12))
    alpha.paste(thing.shape.resize((size[0] // 8, size[1] // 8)), (6, 6))
    rim = alpha.filter(ImageFilter.GaussianBlur(4)).point([min(255, 96 + n * 184 // 255) for n in range(256)])
    rim = rim.crop((6, 6, rim.width - 6, rim.height - 6))
    side = Image.new("L", (12, 9))
    for x in range(12):
        for y in range(9):
            side.putpixel((x, y), round(255 - max(0, x - 4) * 8 - y * 2))
    light = ImageChops.multiply(rim, side.resize(rim.size, Image.Resampling.BICUBIC))
    light = light.resize(size, Image.Resampling.BICUBIC)
    light = ImageChops.multiply(light, _grain(random, size, 226, (8, 3)))
    return ImageChops.multiply(thing.image.convert("RGB"), Image.merge("RGB", (light, light, light)))


def _mud(lit: Image.Image, thing: Thing, random: Random) -> None:
    """Silt up to a wavering line, and splashes above it."""
    wide, high = lit.size
    level = high * (1 - random.uniform(0.14, 0.3))
    veil = Image.new("L", (wide // 2 + 1, high // 2 + 1))
    pen = ImageDraw.Draw(veil)
    edge = [(x / 2, (level + random.uniform(-13, 13)) / 2) for x in range(-20, wide + 60, 38)]
    pen.polygon([*edge, (wide / 2 + 30, high / 2 + 9), (-10, high / 2 + 9)], fill=150)
    pen.line(edge, fill=210, width=4, joint="curve")
    for _ in range(60):
        x, y = random.uniform(0, wide) / 2, (level - random.expovariate(1 / 40)) / 2
        size = random.uniform(0.5, 2.8)
        pen.ellipse((x - size, y - size, x + size, y + size), fill=180)
    veil = veil.filter(ImageFilter.GaussianBlur(1.1)).resize(lit.size, Image.Resampling.BILINEAR)
    veil = ImageChops.multiply(veil, _grain(random, lit.size, 120, (13, 13)))
    lit.paste((122, 104, 80), mask=veil)


@lru_cache(maxsize=16)
def _font(bold: bool, size: int) -> ImageFont.FreeTypeFont:
    name = "NotoSans-Bold.ttf" if bold else "NotoSans-Regular.ttf"
    return ImageFont.truetype(str(FONTS / name), size, layout_engine=ImageFont.Layout.BASIC)


def _scale(sheet: Image.Image, pixels_per_cm: float) -> None:
    """Five blocks black and white, of so many cm that they are seen."""
    step = next((cm for cm in (1, 2, 5, 10, 20, 50) if cm * pixels_per_cm >= 38), 100)
    block = step * pixels_per_cm
    pen = ImageDraw.Draw(sheet)
    left, top = 70, 786
    pen.rectangle((left - 18, top - 16, left + 5 * block + 62, top + 62), fill=(250, 250, 248))
    for n in range(5):
        box = (left + n * block, top, left + (n + 1) * block, top + 22)
        pen.rectangle(box, fill=INK if n % 2 == 0 else (250, 250, 248), outline=INK, width=2)
    for n in (0, 5):
        text = str(n * step) if n == 0 else f"{n * step} cm"
        pen.text((left + n * block, top + 26), text, INK, _font(False, 22), anchor="ma")
    pen.text((left + 2.5 * block, top + 26), "drawn", (120, 60, 50), _font(True, 22), anchor="ma")


def _card(sheet: Image.Image, title: str, tag: str, random: Random) -> None:
    """The thing's tag on a card of 370 by 150, laid down a little askew, its string beside it."""
    card = Image.new("RGBA", (370, 150))
    pen = ImageDraw.Draw(card)
    pen.polygon(
        [(30, 0), (369, 0), (369, 149), (30, 149), (0, 112), (0, 37)], fill=CARD, outline=(176, 168, 150)
    )
    pen.ellipse((14, 65, 34, 85), fill=(128, 130, 134), outline=(150, 140, 120))
    pen.text((52, 6), tag, INK, _font(True, 54))
    for n, line in enumerate(_lines(title)):
        pen.text((54, 82 + n * 29), line, INK, _font(False, 23))
    turned = card.rotate(random.uniform(-4, 4), Image.Resampling.BICUBIC, expand=True)
    at = (772, 716 + random.randrange(-4, 5))
    shade = Image.new("L", turned.size)
    shade.paste(turned.getchannel("A").point([n * 70 // 255 for n in range(256)]))
    sheet.paste((30, 30, 34), (at[0] + 6, at[1] + 7), shade)
    sheet.paste(turned, at, turned)
    string = [(at[0] + 28, at[1] + turned.height // 2), (at[0] - 40, at[1] + 30), (at[0] - 70, at[1] - 30)]
    ImageDraw.Draw(sheet).line(string, fill=(214, 206, 186), width=4, joint="curve")


def _lines(title: str) -> Iterator[str]:
    """The title on two lines at most, as the font can print it."""
    words = printable(title)[0].split()
    font, used = _font(False, 23), 0
    for last in (False, True):
        line = ""
        while used < len(words) and font.getlength(f"{line} {words[used]}".strip()) <= 296:
            line, used = f"{line} {words[used]}".strip(), used + 1
        if last and used < len(words):
            line = f"{line} ..."
        yield line
