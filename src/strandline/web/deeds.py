"""Every deed there is, by page."""

from __future__ import annotations

from strandline.web import site, taking_in, things, together, work
from strandline.web.pages import Deed

DEEDS: tuple[Deed, ...] = (*site.DEEDS, *taking_in.DEEDS, *things.DEEDS, *together.DEEDS, *work.DEEDS)


def deeds_of(page: str) -> dict[str, Deed]:
    """The deeds of one page by name."""
    return {deed.do: deed for deed in DEEDS if deed.page == page}
