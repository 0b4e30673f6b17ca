"""Finding "medium on support": a whole work of art that is read as one part.

The phrase must open its clause, so that the gouache on one leaf of a table does not make the table a picture.
"""

from __future__ import annotations

from strandline.knowledge.reading.lexicon import Lexicon
from strandline.knowledge.reading.match import Item

_LINKS = frozenset({",", "and", "or", "with", "/"})
_BESIDE = frozenset(
    {"mixed media", "gold leaf", "silver leaf", "collage", "varnish", "lacquer", "metal leaf"}
)
_PAPER = frozenset({"paper", "work_on_paper", "photograph"})


def picture_at(row: tuple[Item, ...], at: int, lexicon: Lexicon) -> tuple[int, str] | None:
    """If a picture phrase opens at item ``at``: the item after it, and its material key."""
    media, after = media_run(row, at, lexicon)
    if not media or after >= len(row) or row[after].key != "on":
        return None
    support, stop = _support(row, after + 1, lexicon)
    if support is None:
        return None
    beyond = support
    while stop < len(row) and row[stop].key in ("on", "mounted"):
        further, after_it = _support(row, stop + 1, lexicon)
        if further is None:
            break
        beyond, stop = further, after_it
    on_paper = _is_paper(support) and _is_paper(beyond)
    if "paint" not in media:
        return (stop, "paper") if on_paper else _drawn_on_cloth(support, stop)
    return stop, "work_on_paper" if on_paper else "easel_painting"


def _drawn_on_cloth(support: Item, stop: int) -> tuple[int, str] | None:
    """Ink on silk or canvas is a work of art; ink on a printing block is not."""
    return (stop, "easel_painting") if support.phrase in ("silk", "canvas", "linen") else None


def _is_paper(item: Item) -> bool:
    return item.key in _PAPER and "board" not in item.phrase


def media_run(row: tuple[Item, ...], at: int, lexicon: Lexicon) -> tuple[set[str], int]:
    """Roles of the media in a run of media, and the item after the run."""
    roles: set[str] = set()
    while at < len(row):
        item = row[at]
        role = lexicon.art.get(item.phrase, frozenset()) & {"paint", "draw"}
        if role:
            roles |= role
        elif not (item.kind == "harmless" or (roles and (item.key in _LINKS or item.phrase in _BESIDE))):
            break
        at += 1
    return roles, at


def _support(row: tuple[Item, ...], at: int, lexicon: Lexicon) -> tuple[Item | None, int]:
    """The support named from item ``at`` on, past words that only describe it, and the item after it."""
    while at < len(row) and not _carries(row[at], lexicon) and _passes(row[at]):
        at += 1
    if at < len(row) and _carries(row[at], lexicon):
        item = row[at]
        at += 1
        while at < len(row) and row[at].phrase in ("board", "panel", "support", "sheet", "mount"):
            at += 1
        return item, at
    return None, at


def _passes(item: Item) -> bool:
    return item.kind == "harmless" or item.key in ("adj", "on")


def _carries(item: Item, lexicon: Lexicon) -> bool:
    if "support" in lexicon.art.get(item.phrase, ()):
        return True
    return item.name is not None and item.kind == "material" and "support" in item.name.flags
