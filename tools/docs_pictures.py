"""Makes every paper from the demo's list and draws its first side into docs/images/ (see page_images.py).

made.json holds a hash of what the look of a paper depends on (templates, fonts, the code of the papers, what
the command line gives them, the demo's files); the text on them also depends on the knowledge, which is not
in it.
"""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Iterator
from typing import Any

import pypdfium2  # type: ignore[import-untyped]  # ships no types
from PIL import Image

from docs_env import ROOT
from strandline.cli.demo import AS_OF
from strandline.cli.papers import make_batch
from strandline.cli.shared import UserError, open_work
from strandline.papers.compile import PaperError
from strandline.papers.registry import PAPERS
from strandline.pipeline.lists import Tally
from strandline.services.given import Batch, GivenError, given_for

IMAGES = ROOT / "docs" / "images"
SOURCE = ROOT / "src" / "strandline"
DEMO = SOURCE / "demo_data"
LOOKS = ("papers", "services/given.py", "services/classes.toml", "cli/papers.py", "demo_data")
"""What the look of a paper depends on, under src/strandline."""

DPI = 110
GREYS = 4
MOST_BYTES = 120_000
LEAST_INK = 0.002
"""Share of a side that must not be white."""

MM = 72 / 25.4


class Fault(Exception):
    """A picture that cannot be right; says which and why."""


def looks_hash() -> str:
    """Hash of everything the look of the papers depends on."""
    digest = hashlib.sha256()
    for name in LOOKS:
        path = SOURCE / name
        files = sorted(path.rglob("*")) if path.is_dir() else [path]
        for file in files:
            if file.is_file() and "__pycache__" not in file.parts:
                digest.update(f"{file.relative_to(SOURCE).as_posix()}\0".encode())
                digest.update(file.read_bytes())
    return digest.hexdigest()


def demo_batch() -> Batch:
    """Plans and order of the demo's list."""
    work = open_work(DEMO / "list.csv", AS_OF, DEMO / "site.toml", (), None)
    return make_batch(work, Tally(problems=work.opened.problems))


def sides(pdf: bytes, count: int) -> Iterator[Image.Image]:
    """The first sides of a PDF, in grey."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        for number in range(min(count, len(document))):
            yield document[number].render(scale=DPI / 72, grayscale=True).to_pil().convert("L")
    finally:
        document.close()


def sheet(pdf: bytes) -> str:
    """Width and height of the first side in mm."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        width, height = document[0].get_size()
    finally:
        document.close()
    return f"{round(width / MM)} × {round(height / MM)}"


def ink(side: Image.Image) -> float:
    """Share of a side's points that are darker than light grey."""
    counts = side.histogram()
    return sum(counts[:200]) / max(sum(counts), 1)


def png(side: Image.Image) -> bytes:
    """A small PNG with a palette of a few greys."""
    step = 255 / (GREYS - 1)
    levels = [round(round(value / step) * step) for value in range(256)]
    held = io.BytesIO()
    side.point(levels).quantize(GREYS).save(held, "PNG", optimize=True)
    return held.getvalue()


def pictures(name: str, pdf: bytes) -> dict[str, bytes]:
    """File name and PNG of the sides shown of a paper.  Raises Fault for a blank or too large one."""
    stem = name.replace("_", "-")
    made = {}
    for number, side in enumerate(sides(pdf, 2 if name == "care_card" else 1), start=1):
        if ink(side) < LEAST_INK:
            raise Fault(f"{name}: side {number} is blank ({ink(side):.4%} ink)")
        data = png(side)
        if len(data) > MOST_BYTES:
            raise Fault(f"{name}: the picture of side {number} has {len(data)} bytes; at most {MOST_BYTES}")
        made[f"paper-{stem}{'' if number == 1 else f'-{number}'}.png"] = data
    return made


def make() -> tuple[dict[str, bytes], dict[str, Any]]:
    """All pictures by file name, and what made.json holds."""
    batch = demo_batch()
    files: dict[str, bytes] = {}
    told: dict[str, Any] = {}
    for name, (_, maker) in PAPERS.items():
        try:
            paper = maker(batch.head, given_for(name, batch))
        except (PaperError, GivenError, UserError, KeyError) as error:
            raise Fault(f"{name}: cannot be made: {error}") from error
        own = pictures(name, paper.pdf)
        files |= own
        told[name] = {"images": list(own), "size_mm": sheet(paper.pdf), "sides": paper.pages}
    return files, {"looks_sha256": looks_hash(), "dpi": DPI, "papers": told}


def faults() -> list[str]:
    """What is wrong with the pictures that are there: missing, strange, or older than the papers."""
    path = IMAGES / "made.json"
    if not path.is_file():
        return ["docs/images/made.json:1: is not there; run python tools/page_images.py"]
    told = json.loads(path.read_text(encoding="utf-8"))
    found = []
    if told["looks_sha256"] != looks_hash():
        found.append(
            "docs/images/made.json:1: the papers have changed since the pictures were made; "
            "run python tools/page_images.py, then python tools/docs_build.py"
        )
    wanted = {image for paper in told["papers"].values() for image in paper["images"]}
    found += [
        f"docs/images/made.json:1: no picture of the paper {name}"
        for name in PAPERS
        if name not in told["papers"]
    ]
    there = {one.name for one in IMAGES.glob("paper-*.png")}
    found += [f"docs/images/{name}:1: named in made.json and not there" for name in sorted(wanted - there)]
    found += [f"docs/images/{name}:1: belongs to no paper; remove it" for name in sorted(there - wanted)]
    return found


def write() -> str:
    """Make all pictures and made.json; returns a sentence about them.  Raises Fault."""
    files, told = make()
    IMAGES.mkdir(parents=True, exist_ok=True)
    for old in IMAGES.glob("paper-*.png"):
        if old.name not in files:
            old.unlink()
    for name, data in files.items():
        (IMAGES / name).write_bytes(data)
    (IMAGES / "made.json").write_text(json.dumps(told, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
    return f"{len(files)} pictures, {sum(map(len, files.values())) // 1000} kB, in docs/images"
