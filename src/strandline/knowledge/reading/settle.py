"""Putting the columns together: which bodies count, which only repeat or portray.

The materials column states bodies.  Title, class and condition may only add a body when the materials name
none, or when they tell of a part ("iron bands"); otherwise "Ivory Coast" would make a map of ivory.  What
they say of surfaces and dangers always counts, because it can only make a plan stricter.
"""

from __future__ import annotations

from strandline.knowledge.reading.counting import Settled, counts
from strandline.knowledge.reading.draft import Column, Draft, Implied, Link, Said
from strandline.knowledge.reading.lexicon import Lexicon
from strandline.knowledge.reading.match import DANGERS, Item
from strandline.knowledge.reading.refine import refine
from strandline.knowledge.reading.result import (
    FeatureReading,
    JoinReading,
    PartReading,
    TextReading,
    WordReading,
)
from strandline.knowledge.reading.tokens import WORD, plain

_METALS_IN = frozenset({"wood", "plant", "skin"})
_CARRIERS = frozenset("base stand pedestal plinth socle frame mount mounts setting".split())


def settle(columns: list[Column], lexicon: Lexicon) -> Settled:
    """Combine the columns in their order."""
    result = Settled()
    said = {plain(word[0]) for column in columns for word in WORD.finditer(column.text)}
    result.has_container = bool(said & lexicon.containers)
    result.has_fuel = bool(said & lexicon.fuels)
    for column in columns:
        free = all(draft.assumed for draft in result.bodies()) and column.column != "condition"
        empty = not result.bodies()
        bodies = _take_bodies(result, column, lexicon, free)
        _take_rest(result, column, bodies)
        if empty or column.column == "materials":
            _take_implied(result, column, lexicon)
    if not result.bodies():
        _last_resort(result, columns, lexicon)
    refine(result, columns, lexicon)
    return result


def _take_bodies(result: Settled, column: Column, lexicon: Lexicon, free: bool) -> set[int]:
    """Keep or set aside each body of a column; returns the ids of the drafts kept."""
    kept: set[int] = set()
    for draft in column.parts:
        if counts(result, column, draft, free, lexicon):
            kept.add(id(draft))
            result.parts.append((draft, column.column))
        else:
            _set_aside(result, column, draft, lexicon)
    result.kept |= kept
    return kept


def _set_aside(result: Settled, column: Column, draft: Draft, lexicon: Lexicon) -> None:
    """A body that does not count: its finishes still do, its name repeats a family or stays unread."""
    if draft.always:
        result.words.extend((item, column.column, "absent") for item in draft.items)
        return
    twin = next(
        (other for other in result.bodies() if other.material == draft.material),
        next((other for other in result.bodies() if other.family == draft.family), None),
    )
    if twin is not None and column.column == "materials":
        twin.add(tuple(draft.features))
    for item in draft.items:
        name = item.name
        if name is None or item.kind == "harmless":
            continue
        danger = DANGERS.intersection(name.keys)
        if danger and name.phrase != "mercury":  # in a title more often the god or the planet
            result.said.extend((Said(key, item), column.column) for key in sorted(danger))
            continue
        finish = item.kind in ("feature", "art") and column.column != "materials"
        if name.keys and (finish or (item.kind == "feature" and twin is not None)):
            result.said.extend((Said(key, item), column.column) for key in name.keys)
        elif item.kind == "grammar":
            result.words.append((item, column.column, "grammar"))
        else:
            result.words.append((item, column.column, _kind_aside(result, column.column, draft, item, twin)))


def _kind_aside(result: Settled, column: str, draft: Draft, item: Item, twin: Draft | None) -> str:
    """Why a word of a body that does not count was set aside; '' if it stays unread."""
    if twin is not None or any(draft.material in other.could_be for other in result.bodies()):
        return "repeats"
    if draft.family == "paper" and result.bodies():
        return "absent" if column in ("features", "condition") else ""  # what it lies in or is noted on
    if item.kind == "part" or "component" in draft.flags:
        return "part_name"
    if item.kind == "object":
        return "thing"
    return "repeats" if draft.family == "unknown" and result.bodies() else ""


def _take_rest(result: Settled, column: Column, kept: set[int]) -> None:
    """Features, joins between kept bodies, and words."""
    for said in column.said:
        flags = said.item.name.flags if said.item.name else frozenset()
        lacking = "container" in flags and not result.has_container
        if lacking or ("fuel" in flags and not result.has_fuel):
            result.words.append((said.item, column.column, "absent"))
        else:
            result.said.append((said, column.column))
    result.words.extend((item, column.column, kind) for item, kind in column.words)
    for link in column.links:
        kind = link.kind or _kind_of(link)
        if kind and id(link.body) in kept and id(link.added) in kept:
            result.links.append((Link(kind, link.body, link.added, link.items), column.column))
            continue
        for item in link.items:
            known = item.name is not None and item.kind == "join" and item.name.keys
            if known and item.name is not None:
                result.said.extend((Said(key, item), column.column) for key in item.name.keys)
            elif item.kind != "grammar":
                result.words.append((item, column.column, "join"))


def _kind_of(link: Link) -> str:
    """What a mere 'on', 'in' or 'with' means between these two bodies, or ''."""
    if link.items[0].key == "in" and link.body.family == "metal" and link.added.family in _METALS_IN:
        link.added.add(("metal_in_organic",))
        return "embedded"
    last = link.added.name.split()[-1:] if link.added.name else []
    if last and last[0] in _CARRIERS:
        return "mounted"
    if last and last[0] == "inlay":
        return "inlaid"
    return ""


def _take_implied(result: Settled, column: Column, lexicon: Lexicon) -> None:
    """What a noun lets assume where nothing is named: the first noun of a title, each of a materials list."""
    if column.column == "materials":
        for implied in column.implied:
            vague = implied.name.key == "unknown" and not implied.name.could_be
            if implied.alone and not vague:
                _assume(result, implied, column, lexicon)
        return
    first = next(iter(column.implied), None)
    if first is None or not first.alone or any(draft.always for draft in column.parts):
        return
    end = first.item.end
    leads = all(draft.start > end for draft in column.parts) and column.text[end:].lstrip().startswith(
        ("with ", "w/")
    )
    if leads or all(draft.strong_name for draft in column.parts):
        _assume(result, first, column, lexicon)


def _assume(result: Settled, implied: Implied, column: Column, lexicon: Lexicon) -> None:
    """Add the body a noun stands for, marked as assumed."""
    item, name = implied.item, implied.name
    draft = Draft(name.key, lexicon.family(name.key), "", item.start, item.end, [item])
    draft.could_be, draft.assumed, draft.name = name.could_be, True, item.phrase
    result.parts.append((draft, column.column))
    result.words = [one for one in result.words if one[0] is not item]


def _last_resort(result: Settled, columns: list[Column], lexicon: Lexicon) -> None:
    """Nothing named a body: take whatever noun there is, in the order of the columns."""
    for column in columns:
        for implied in column.implied:
            _assume(result, implied, column, lexicon)
            return


def reading(result: Settled, columns: list[Column], lexicon: Lexicon) -> TextReading:
    """The settled columns as a :class:`TextReading`."""
    texts = {column.column: column.text for column in columns}
    number = {id(draft): index for index, (draft, _) in enumerate(result.parts)}
    parts = tuple(_part(draft, name, texts[name], lexicon) for draft, name in result.parts)
    said = dict.fromkeys(
        FeatureReading(one.key, name, texts[name][one.item.start : one.item.end], one.item.start)
        for one, name in result.said
        if one.key
    )
    joins = tuple(_join(link, name, texts[name], number) for link, name in result.links)
    return TextReading(parts, tuple(said), joins, _words(result, texts, parts, tuple(said), joins))


def _part(draft: Draft, column: str, text: str, lexicon: Lexicon) -> PartReading:
    surfaces = any(key in lexicon.surfaces for key in draft.features)
    return PartReading(
        material=draft.material,
        family=draft.family,
        name=draft.name,
        species=draft.species,
        span=text[draft.start : draft.end],
        column=column,
        start=draft.start,
        features=tuple(draft.features),
        could_be=draft.could_be,
        surface="stated" if surfaces else "silent",
        known_by="assumed" if draft.assumed else "stated",
    )


def _join(link: Link, column: str, text: str, number: dict[int, int]) -> JoinReading:
    start, end = link.items[0].start, link.items[-1].end
    return JoinReading(
        link.kind, number[id(link.body)], number[id(link.added)], column, text[start:end], start
    )


def _words(
    result: Settled,
    texts: dict[str, str],
    parts: tuple[PartReading, ...],
    said: tuple[FeatureReading, ...],
    joins: tuple[JoinReading, ...],
) -> tuple[WordReading, ...]:
    """Words left over, each once.  A word that also lies in a feature's or join's span is understood."""
    read = {(one.column, one.start) for one in said} | {(one.column, one.start) for one in joins}
    found: dict[tuple[str, int], WordReading] = {}
    for item, column, kind in result.words:
        if (column, item.start) in read:
            continue
        for start, end in item.words:
            found.setdefault((column, start), WordReading(texts[column][start:end], column, kind, start))
    return tuple(found.values())
