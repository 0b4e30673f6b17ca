"""Reading papers back: text, sizes, type, colours, tags, codes."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from typing import Any

import pypdf
import pypdfium2
import zxingcpp
from pypdf.generic import ContentStream

MM = 72 / 25.4
"""Points in a millimetre."""


def reader(pdf: bytes) -> pypdf.PdfReader:
    """The file, opened."""
    return pypdf.PdfReader(io.BytesIO(pdf))


def pages(pdf: bytes) -> list[str]:
    """Text of each page, runs of blanks made one."""
    return [re.sub(r"\s+", " ", page.extract_text()) for page in reader(pdf).pages]


def text(pdf: bytes) -> str:
    """Text of all pages."""
    return " ".join(pages(pdf))


def size_mm(pdf: bytes) -> set[tuple[int, int]]:
    """Page sizes in whole millimetres."""
    boxes = [page.mediabox for page in reader(pdf).pages]
    return {(round(float(box.width) / MM), round(float(box.height) / MM)) for box in boxes}


def sizes_pt(pdf: bytes, page: int = 0) -> list[tuple[str, float]]:
    """Runs of text on a page with their type size in points."""
    found: list[tuple[str, float]] = []

    def visit(run: str, _cm: Any, _tm: Any, _font: Any, size: float) -> None:
        if run.strip():
            found.append((re.sub(r"\s+", " ", run).strip(), float(size)))

    reader(pdf).pages[page].extract_text(visitor_text=visit)
    return found


def size_of(pdf: bytes, words: str, page: int = 0) -> float:
    """Type size in points of the largest run that holds ``words``; ValueError if there is none."""
    return max(size for run, size in sizes_pt(pdf, page) if words in run)


def heights(pdf: bytes, words: tuple[str, ...], page: int = 0) -> list[float]:
    """Height on the page, in points from its foot, at which each of ``words`` first stands."""
    text_page = pypdfium2.PdfDocument(pdf)[page].get_textpage()
    found = []
    for one in words:
        at = text_page.search(one, match_case=True).get_next()
        if at is None:
            raise ValueError(f"'{one}' is not on the page")
        found.append(round(float(text_page.get_charbox(at[0])[1]), 1))
    return found


def shades(pdf: bytes) -> set[float]:
    """Every value that sets a colour of letters, lines or faces; 0 and 1 are black and white."""
    found = set()
    file = reader(pdf)
    for page in file.pages:
        stream = ContentStream(page.get_contents(), file)
        for operands, operator in stream.operations:
            if operator in {b"g", b"G", b"rg", b"RG", b"k", b"K", b"sc", b"SC", b"scn", b"SCN"}:
                found |= {float(value) for value in operands if not isinstance(value, str)}
    return found


def structure(pdf: bytes) -> list[dict[str, Any]]:
    """Every element of the structure tree, top first."""
    return list(_walk(reader(pdf).trailer["/Root"]["/StructTreeRoot"]))


def _walk(node: Any) -> Iterator[dict[str, Any]]:
    node = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(node, dict):
        if "/S" in node:
            yield node
        kids = node.get("/K", [])
        kids = kids.get_object() if hasattr(kids, "get_object") else kids
        for kid in kids if isinstance(kids, list) else [kids]:
            yield from _walk(kid)


def codes(pdf: bytes, page: int = 0, dots_per_inch: int = 200) -> list[str]:
    """What the codes on a page say, read from its picture."""
    image = pypdfium2.PdfDocument(pdf)[page].render(scale=dots_per_inch / 72).to_pil()
    return sorted(code.text for code in zxingcpp.read_barcodes(image))
