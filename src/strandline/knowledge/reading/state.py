"""What a reader of one column knows at each step, and the moves every part of it needs."""

from __future__ import annotations

from strandline.knowledge.reading.draft import Column, Draft, Link, Said
from strandline.knowledge.reading.lexicon import Lexicon
from strandline.knowledge.reading.match import Item, items


class WalkState:
    """State of the walk along a row of items."""

    def __init__(self, text: str, column: str, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.row = items(text, column, lexicon)
        self.out = Column(column, text)
        self.at = 0
        self.open: Draft | None = None
        self.clause_from = 0
        self.adjectives: list[Item] = []
        self.join: Item | None = None
        self.join_body: Draft | None = None
        self.join_strict = False
        self.prep: Item | None = None
        self.prep_body: Draft | None = None
        self.denied = self.doubted = self.imitated = self.simulated = self.choice = False
        self.mixing: Draft | None = None
        self.named: Item | None = None
        self.group: list[Item] = []
        self.brackets = 0

    def note(self, item: Item, kind: str) -> None:
        """Record what became of a word that is in no part, feature or join."""
        if item.words:
            self.out.words.append((item, kind))

    def following(self) -> Item | None:
        """The next item that is not merely harmless, if no mark or small word comes first."""
        for item in self.row[self.at + 1 :]:
            if item.kind in ("mark", "grammar"):
                return None
            if item.kind not in ("harmless", "unread"):
                return item
        return None

    def next_small(self) -> str:
        """The role of the mark or small word that comes next, past words of the same group."""
        for item in self.row[self.at + 1 :]:
            if item.kind in ("mark", "grammar"):
                return item.key
            if item.kind not in ("harmless", "unread"):
                return ""
        return "end"

    def body_follows(self) -> bool:
        """Whether a material comes later in this group."""
        for item in self.row[self.at + 1 :]:
            if item.kind in ("mark", "grammar", "part"):
                return False
            if item.kind == "material":
                return True
        return False

    def in_clause(self) -> list[Draft]:
        """The bodies read since the clause began; a working thing the title names carries no finish."""
        return [part for part in self.out.parts[self.clause_from :] if "working" not in part.flags]

    @staticmethod
    def flags(item: Item) -> frozenset[str]:
        """Flags of an item's name."""
        return item.name.flags if item.name else frozenset()

    def put(self, item: Item, keys: tuple[str, ...], body: Draft | None) -> None:
        """Give features to a body if the item can lie in its span, else to the object."""
        if body is not None and body is self.out.parts[-1] and not self.unread_since(body):
            body.add(keys)
            body.stretch(item)
        else:
            if body is not None:
                body.add(keys)
            self.out.said.extend(Said(key, item) for key in keys)

    def unread_since(self, body: Draft) -> bool:
        """Whether a word nobody knows came after the body: it may name the body that is meant."""
        return any(kind == "" and item.start >= body.end for item, kind in self.out.words)

    def flush_adjectives(self, body: Draft | None) -> None:
        """Give finishes that found no body after them to the one before, or to the object."""
        for item in self.adjectives:
            keys = item.name.keys if item.name else ()
            if keys:
                self.put(item, keys, body)
            else:
                self.note(item, "join" if item.kind == "join" else "technique")
        self.adjectives.clear()

    def link(self, draft: Draft) -> None:
        """Close the join or preposition that led to this part."""
        if self.join is not None and self.join.name is not None:
            body, added = self.join_body, draft
            if body is not None and body is not draft:
                if self.join_strict:  # "silver mounted ivory": the second is the body
                    body, added = draft, body
                self.out.links.append(Link(self.join.key, body, added, [self.join]))
                body.add(self.join.name.keys)
            else:
                draft.add(self.join.name.keys)
                draft.stretch(self.join)
                self.join = None
        elif self.prep is not None and self.prep_body is not None:
            self.out.links.append(Link("", self.prep_body, draft, [self.prep]))

    def drop_link(self, draft: Draft) -> None:
        """Forget a mere preposition that led to a part whose join is now told."""
        for link in self.out.links:
            if link.added is draft and not link.kind:
                for item in link.items:
                    self.note(item, "grammar")
        self.out.links = [link for link in self.out.links if link.added is not draft or link.kind]

    def drop_join(self) -> None:
        """Give up a join that found no second body."""
        item = self.join
        self.join = self.join_body = None
        if item is None or item.name is None or any(item in link.items for link in self.out.links):
            return
        if item.name.keys:
            self.out.said.extend(Said(key, item) for key in item.name.keys)
        else:
            self.note(item, "join")

    def gone_after(self) -> bool:
        """Whether the next words say that this is missing."""
        for item in self.row[self.at + 1 : self.at + 4]:
            if item.key == "gone":
                return True
            if item.kind not in ("harmless", "grammar"):
                return False
        return False
