"""QR codes as small SVG pictures, black on white, one path."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import segno

from strandline.papers.wording import _
from strandline.things.tags import is_tag, qr_text

QUIET = 4
"""White modules round the code, as ISO/IEC 18004 asks."""


MASK = 3
"""Every reader takes any of the eight masks; trying all of them for the fairest costs 15 ms a code."""


@lru_cache(maxsize=4096)
def qr_svg(text: str) -> str:
    """The code of ``text`` with a quarter of it to spare against dirt (level Q)."""
    code = segno.make(text, error="q", micro=False, boost_error=False, mask=MASK)
    rows = [list(row) for row in code.matrix]
    size = len(rows) + 2 * QUIET
    path = []
    for y, row in enumerate(rows, start=QUIET):
        x = 0
        while x < len(row):
            run = x
            while run < len(row) and row[run]:
                run += 1
            if run > x:
                path.append(f"M{x + QUIET} {y}h{run - x}v1h{x - run}z")
            x = max(run, x + 1)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}">'
        f'<rect width="{size}" height="{size}" fill="#fff"/><path d="{"".join(path)}"/></svg>'
    )


def tag_qr(incident: str, tag: str) -> dict[str, Any]:
    """The code of a tag for a template: picture, what it says, and its check character."""
    text = qr_text(incident, tag)
    return {"svg": qr_svg(text), "text": text, "check": text[-1]}


def object_qr(incident: str, tag: str) -> dict[str, Any] | None:
    """The code of an object's tag with words for it; None where the tag is not one of ours (A12).

    A code holds digits whose check character readers compare; a list's own tag is printed as text alone.
    """
    if not is_tag(tag):
        return None
    code = tag_qr(incident, tag)
    return {**code, "alt": _("Code of tag {tag}: {text}").format(tag=tag, text=code["text"])}
