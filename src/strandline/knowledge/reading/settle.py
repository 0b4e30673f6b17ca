"""Putting the columns together: which bodies count, which only repeat or portray.

The materials column states bodies.  Title, class and condition may only add a body when the materials name
none, or when they tell of a part ("iron bands"); otherwise "Ivory Coast" would make a map of ivory.  What
they say of surfaces and dangers always counts, because it can only make a plan stricter.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from strandline.knowledge.reading.draft import Column, Draft, Implied, Link, Said
from strandline.knowledge.reading.lexicon import Lexicon
from strandline.knowledge.reading.match import Item
from strandline.knowledge.reading.result import (
    FeatureReading,
    JoinReading,
    PartReading,
    TextReading,
    WordReading,
)
from strandline.knowledge.reading.tokens import WORD, plain

_METALS_IN = frozenset({"wood", "plant", "skin"})
_DANGERS = frozenset(
    "asbestos mains battery_inside luminous mercury_inside sealed_contents pesticide".split()
)
_CARRIERS = frozenset("base stand pedestal plinth socle frame mount mounts setting".split())
_ADDING = frozenset({"features"})


@dataclass(slots=True)
class Settled:
    """The columns put together so far."""

    parts: list[tuple[Draft, str]] = field(default_factory=list)
    said: list[tuple[Said, str]] = field(default_factory=list)
    links: list[tuple[Link, str]] = field(default_factory=list)
    words: list[tuple[Item, str, str]] = field(default_factory=list)
    kept: set[int] = field(default_factory=set)
    has_container: bool = False

    def bodies(self) -> list[Draft]:
        """Parts that are bodies of a known or unknown material, working kinds that always count left out."""
        return [draft for draft, _ in self.parts if not draft.always]


def settle(columns: list[Column], lexicon: Lexicon) -> Settled:
    """Combine the columns in their order."""
    result = Settled()
    said = {plain(word[0]) for column in columns for word in WORD.finditer(column.text)}
    result.has_container = bool(said & lexicon.containers)
    for column in columns:
        free = all(draft.assumed for draft in result.bodies()) and column.column != "condition"
        empty = not result.bodies()
        bodies = _take_bodies(result, column, lexicon, free)
        _take_rest(result, column, bodies)
        if empty or column.column == "materials":
            _take_implied(result, column, lexicon)
    if not result.bodies():
        _last_resort(result, columns, lexicon)
    return result


def _take_bodies(result: Settled, column: Column, lexicon: Lexicon, free: bool) -> set[int]:
    """Keep or set aside each body of a column; returns the ids of the drafts kept."""
    kept: set[int] = set()
    for draft in column.parts:
        if _counts(result, column, draft, free):
            kept.add(id(draft))
            result.parts.append((draft, column.column))
        else:
            _set_aside(result, column, draft, lexicon)
    result.kept |= kept
    return kept


def _counts(result: Settled, column: Column, draft: Draft, free: bool) -> bool:
    if draft.always:
        return not any(other.material == draft.material for other, _ in result.parts)
    same = [
        other
        for other in result.bodies()
        if other.material == draft.material and (not draft.species or other.species == draft.species)
    ]
    if same and not draft.strong_name:
        return False
    if any(other.name == draft.name for other in same):
        return False
    if free or column.column == "materials":
        return True
    if column.column in _ADDING:
        return not any(other.material == draft.material for other in result.bodies()) or draft.strong_name
    return draft.strong_name and draft.family != "picture"


def _set_aside(result: Settled, column: Column, draft: Draft, lexicon: Lexicon) -> None:
    """A body that does not count: its finishes still do, its name repeats a family or stays unread."""
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
        danger = _DANGERS.intersection(name.keys)
        if danger and name.phrase != "mercury":  # in a title more often the god or the planet
            result.said.extend((Said(key, item), column.column) for key in sorted(danger))
            continue
        if (item.kind in ("feature", "art") and column.column != "materials") or (
            item.kind == "feature" and twin is not None
        ):
            result.said.extend((Said(key, item), column.column) for key in name.keys)
        elif item.kind == "grammar":
            result.words.append((item, column.column, "grammar"))
        else:
            vague = draft.family == "unknown" and bool(result.bodies())  # "mixed media" adds nothing
            result.words.append((item, column.column, "repeats" if twin is not None or vague else ""))


def _take_rest(result: Settled, column: Column, kept: set[int]) -> None:
    """Features, joins between kept bodies, and words."""
    for said in column.said:
        if said.item.name is not None and "container" in said.item.name.flags and not result.has_container:
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
