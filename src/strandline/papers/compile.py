"""One way from a template and plain data to a PDF: archival (PDF/A-2a), accessible (PDF/UA-1), our fonts."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

import typst

from strandline.papers.glyphs import FONTS, Unprintable, printable_data

TEMPLATES = Path(__file__).resolve().parent / "templates"
STANDARDS: list[Literal["a-2a", "ua-1"]] = ["a-2a", "ua-1"]
PAGES = "<pages-in-all>"


class PaperError(ValueError):
    """A paper that cannot be made from what was given; says what is wrong."""


@dataclass(frozen=True, slots=True)
class CompiledPaper:
    """A finished paper.  ``unprintable`` lists every run that became ``[see screen]``."""

    pdf: bytes
    pages: int
    unprintable: tuple[Unprintable, ...]


@lru_cache(maxsize=1)
def fonts() -> typst.Fonts:
    """The shipped fonts and no others, read once."""
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)])


def compile_paper(template: str, data: Mapping[str, Any]) -> CompiledPaper:
    """Make the paper ``templates/<template>.typ`` from ``data``.

    ``data`` reaches the template as one JSON text and is never read as source.  It needs ``title``,
    ``lang`` and ``as_of`` (ISO time; the date of the document, so that equal data gives equal bytes).
    Raises PaperError where data is missing or the template refuses it.
    """
    for key in ("title", "lang", "as_of"):
        if not data.get(key):
            raise PaperError(f"a paper needs '{key}'")
    made, lost = printable_data(data)
    source = TEMPLATES / f"{template}.typ"
    if not source.is_file():
        raise PaperError(f"there is no template '{template}'")
    as_of = datetime.fromisoformat(str(data["as_of"]))
    if as_of.tzinfo is None:
        raise PaperError("as_of needs a time zone")
    made["date"] = _date(as_of)
    try:
        compiler = typst.Compiler(
            str(source), root=str(TEMPLATES), font_paths=fonts(), sys_inputs={"data": json.dumps(made)}
        )
        pdf = compiler.compile(
            format="pdf", pdf_standards=[*STANDARDS], timestamp=int(as_of.timestamp()), pdf_tags=True
        )
        told = json.loads(compiler.query(PAGES, field="value", one=True))
    except RuntimeError as error:
        raise PaperError(f"{template}: {error}") from error
    if not isinstance(pdf, bytes):
        raise PaperError(f"{template}: no single PDF came out")
    return CompiledPaper(pdf, int(told), tuple(lost))


def _date(as_of: datetime) -> list[int]:
    utc = as_of.astimezone(UTC)
    return [utc.year, utc.month, utc.day, utc.hour, utc.minute, utc.second]
