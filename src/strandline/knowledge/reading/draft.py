"""What a reader of one column holds while it reads."""

from __future__ import annotations

from dataclasses import dataclass, field

from strandline.knowledge.reading.lexicon import Name
from strandline.knowledge.reading.match import Item


@dataclass(slots=True, eq=False)
class Draft:
    """A part being read.  ``start``/``end`` bound its span; ``items`` are the items its span is made of."""

    material: str
    family: str
    species: str
    start: int
    end: int
    items: list[Item]
    name: str = ""
    features: list[str] = field(default_factory=list)
    could_be: tuple[str, ...] = ()
    flags: frozenset[str] = frozenset()
    assumed: bool = False
    strong_name: bool = False
    always: bool = False

    def add(self, keys: tuple[str, ...]) -> None:
        """Take on features, each once."""
        self.features.extend(key for key in keys if key and key not in self.features)

    def stretch(self, item: Item) -> None:
        """Take an item into the span."""
        self.start, self.end = min(self.start, item.start), max(self.end, item.end)
        self.items.append(item)


@dataclass(slots=True)
class Said:
    """A feature said of the whole object."""

    key: str
    item: Item


@dataclass(slots=True, eq=False)
class Link:
    """A join between two drafts, or a preposition that may turn out to be one (kind '')."""

    kind: str
    body: Draft
    added: Draft
    items: list[Item]


@dataclass(slots=True)
class Implied:
    """A noun for a whole thing that named no material: what it would be made of."""

    item: Item
    name: Name
    alone: bool


@dataclass(slots=True)
class Column:
    """What one column says."""

    column: str
    text: str
    parts: list[Draft] = field(default_factory=list)
    said: list[Said] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    implied: list[Implied] = field(default_factory=list)
    words: list[tuple[Item, str]] = field(default_factory=list)
    """Items that are no part of a part, feature or join, with their kind."""
