"""Reading one column: items in, parts, features and joins out.

The text is a row of groups with marks and small words between them.  In a group, words of finish belong
to the body that follows them, or, when none follows, to the one before; neighbouring names of one family are
one body ("silk velvet"); a name of a part ends its body ("iron bands").
"""

from __future__ import annotations

from collections.abc import Callable

from strandline.knowledge.reading.draft import Column, Draft, Implied, Said
from strandline.knowledge.reading.finishes import Finishes
from strandline.knowledge.reading.lexicon import Lexicon
from strandline.knowledge.reading.match import Item
from strandline.knowledge.reading.pictures import picture_at

_BREAKS = frozenset({",", "and", "or", "/", "with", "on", "in", "of", "because", "("})
_TOLD = frozenset({"feature", "join"})
_ENDS = frozenset({";", ":", ")"})
_COUNTS = frozenset({"pair", "set of", "set", "case of", "box", "one", "two", "three", "lot", "group"})


class Walker(Finishes):
    """Reads one column.  Use :func:`read_column`."""

    def __init__(self, text: str, column: str, lexicon: Lexicon) -> None:
        super().__init__(text, column, lexicon)
        self.take: dict[str, Callable[[Item], None]] = {
            "material": self.take_material,
            "feature": self.take_feature,
            "art": self.take_art,
            "join": self.take_join,
            "part": self.take_part,
            "object": self.take_object,
            "harmless": self.take_harmless,
            "unread": self.take_unread,
            "grammar": self.take_grammar,
            "mark": self.take_mark,
        }

    def walk(self) -> Column:
        """Read the whole row."""
        fresh = True
        while self.at < len(self.row):
            item = self.row[self.at]
            picture = picture_at(self.row, self.at, self.lexicon) if fresh else None
            if picture:
                self.take_picture(*picture)
                fresh = False
                continue
            if item.name is not None and "or_paint" in item.name.flags and self.among_paints():
                item = self.as_paint(item)
            self.take[item.kind](item)
            self.at += 1
            fresh = item.key in _ENDS or (fresh and item.kind in ("harmless", "object"))
        self.end_group("end")
        self.end_clause()
        return self.out

    def take_part(self, item: Item) -> None:
        """A part's name."""
        name = item.name
        assert name is not None
        self.group.append(item)
        if self.denied or self.gone_after() or self.mixing:
            return self.note(item, "absent")
        if "finish" in name.flags:
            return self.finish_noun(item)
        if self.open is not None and self.out.column == "title" and self.unread_since(self.open):
            return self.note(item, "part_name")  # "Net Loft band": the word between may be the owner
        if self.open is not None:
            if not self.open.name or not self.open.strong_name:
                self.open.name = item.phrase
            self.open.strong_name |= "weak" not in name.flags
            self.open.stretch(item)
            self.open.add(name.keys)
            return None
        if name.keys:
            self.out.said.extend(Said(key, item) for key in name.keys)
        else:
            self.note(item, "part_name")
        self.named = item
        return None

    def finish_noun(self, item: Item) -> None:
        """'Decoration' and its like: what stands before it in the group lies on the body before."""
        earlier = [part for part in self.in_clause() if part is not self.open]
        if self.open is not None and earlier and self.open.material == "gold":
            body, gold = earlier[-1], self.open
            if body.family in ("ceramic", "glass"):  # gold decoration on porcelain is gilding
                self.out.parts.remove(gold)
                self.unlink(gold)
                body.add(("gilded", *gold.features))
                for part_item in gold.items:
                    body.stretch(part_item)
                self.open = None
        elif self.open is None and earlier:
            self.flush_adjectives(earlier[-1])
        self.note(item, "technique")

    def unlink(self, draft: Draft) -> None:
        """Forget the joins of a body that turned out to be none."""
        gone = [link for link in self.out.links if draft in (link.body, link.added)]
        for item in {item for link in gone for item in link.items if item.kind == "join"}:
            self.note(item, "join")
        self.out.links = [link for link in self.out.links if link not in gone]

    def take_object(self, item: Item) -> None:
        """A noun for a whole thing."""
        name = item.name
        assert name is not None
        if self.denied:
            return self.note(item, "absent")
        after = self.row[self.at + 1].key if self.at + 1 < len(self.row) else ""
        alone = self.open is None and not self.body_follows() and not self.shares_material()
        if after in (":", "of", "(") and self.at + 2 < len(self.row):
            alone = alone and self.row[self.at + 2].kind not in ("material", "art")
        if "not_as_subject" in name.flags and self.as_subject():
            return self.note(item, "subject")
        self.group.append(item)
        self.out.said.extend(Said(key, item) for key in name.keys)
        if "always" in name.flags or ("working" in name.flags and self.is_the_thing()):
            family = self.lexicon.family(name.key)
            draft = Draft(name.key, family, name.phrase, item.start, item.end, [item], flags=name.flags)
            draft.always = draft.strong_name = True
            draft.name = item.phrase
            self.out.parts.append(draft)
            return None
        self.out.implied.append(Implied(item, name, alone))
        if self.open is not None and not self.open.name:
            self.open.name = item.phrase
            self.open.stretch(item)
        elif not name.keys:
            self.note(item, "thing")
        return None

    def shares_material(self) -> bool:
        """'Silver stand and basket': the second noun is of the material of the first."""
        before = [
            item
            for item in self.row[max(0, self.at - 4) : self.at]
            if item.kind not in ("harmless", "unread")
        ]
        if not before or before[-1].key not in ("and", "/"):
            return False
        return len(before) < 2 or before[-2].kind in ("material", "part", "object")

    def is_the_thing(self) -> bool:
        """Whether a noun in a title or class names the thing itself, not what is shown or held by it."""
        if self.out.column not in ("title", "class"):
            return False
        after = self.row[self.at + 1] if self.at + 1 < len(self.row) else None
        if after is not None and (after.kind in ("part", "object") or after.key == "thing"):
            return False
        before = [item for item in self.row[: self.at] if item.kind != "mark"]
        told = {item.phrase for item in before} & {"model", "toy", "miniature", "part", "parts", "model of"}
        if told:
            return False
        return not self.as_subject() or all(
            item.kind == "grammar" or item.phrase in _COUNTS for item in before
        )

    def as_subject(self) -> bool:
        """Whether the noun stands after 'with', 'of' or 'holding': what a picture shows."""
        return any(
            item.key in ("with", "of") or item.phrase in ("holding", "depicting", "showing", "representing")
            for item in self.row[: self.at]
        )

    def take_harmless(self, item: Item) -> None:
        """A word that says nothing of a body or a finish; a thing's name also names the body before it."""
        if item.key == "thing":
            self.group.append(item)
            if self.open is not None and not self.open.name:
                self.open.name = item.phrase
                self.open.stretch(item)
        self.note(item, "ingredient" if self.mixing and item.key not in ("grammar", "count") else item.key)

    def take_unread(self, item: Item) -> None:
        """A word nobody knows; a word of likeness has been looked at by the name before it."""
        self.note(item, "grammar" if self.lexicon.steer.get(item.phrase) == "style" else "")

    def take_grammar(self, item: Item) -> None:
        """A small word that steers."""
        role = item.key
        if role == "not" and self.is_number_sign(item):
            return self.note(item, "count")
        self.note_small(item, role)
        if role == "not":
            self.denied = True
        elif role == "maybe":
            self.doubted = True
        elif role == "imitation":
            self.imitated = True
            self.simulated = item.phrase.endswith("to simulate") and bool(
                self.open or self.in_clause() or self.group
            )
            if item.phrase.startswith("painted") or self.simulated:
                self.simulated = True
                self.out.said.append(Said("painted", item))
                self.out.words.pop()
        elif role in _BREAKS:
            self.end_group(role)
            if role == "or":
                self.choice = bool(self.in_clause())
            if role == "because" and self.out.parts and "made_of" in self.out.parts[-1].flags:
                self.mixing = self.out.parts[-1]
            if role in ("on", "in", "with") and self.in_clause() and self.join is None:
                self.prep, self.prep_body = item, self.in_clause()[-1]
        return None

    def note_small(self, item: Item, role: str) -> None:
        """Small words are harmless grammar."""
        self.note(item, "absent" if role == "gone" else "grammar")

    def is_number_sign(self, item: Item) -> bool:
        """'No. 5' and 'no 12' number a thing."""
        after = self.out.text[item.end : item.end + 6].lstrip(". #")
        return item.phrase == "no" and after[:1].isdigit()

    def take_mark(self, item: Item) -> None:
        """A comma, a bracket, a full stop."""
        mark = item.key
        if mark == "?":
            if self.out.parts:
                self.out.parts[-1].assumed = True
            return
        if mark in ("and", ",", "/"):
            self.end_group(mark)
            if mark == "," and self.brackets == 0:
                self.denied = self.simulated = False
            return
        if mark == "(":
            self.brackets += 1
            body = next(reversed(self.in_clause()), None)
            self.end_group("(")
            if body is not None and "made_of" in body.flags:
                self.mixing = body
            return
        if not (mark == ";" and self.simulated and self.row[self.at - 1].key == "imitation"):
            self.end_group(mark)
        if mark == ")":
            self.brackets = max(0, self.brackets - 1)
            self.mixing = None
            self.denied = False
        if mark == ";" and self.simulated and self.row[self.at - 1].key == "imitation":
            return  # a stop typed after "to simulate"
        if mark in (";", ":"):
            named = self.named if mark == ":" else None  # "lid: oak"
            self.end_clause()
            self.named = named

    def end_group(self, role: str) -> None:
        """A group is over: settle finishes that found no body in it."""
        has_body = any(item.kind in ("material", "art") for item in self.group)
        nouns = any(item.kind in ("part", "object") or item.key == "thing" for item in self.group)
        named_only = nouns and not has_body
        earlier = self.in_clause()
        if self.adjectives and self.open is None:
            if named_only and not self.told_by_finish():
                self.flush_adjectives(None)
            elif role == "with" and not earlier and self.group and self.group[-1].kind in _TOLD:
                self.body_of_finish()
            elif role in (",", ")", "with", "(") and earlier and not self.carries_on(role):
                self.flush_adjectives(earlier[-1])
        if self.named is not None and role not in ("of", "in", ":", "("):
            self.named = None
        if role not in ("and", "or", "/"):
            if self.join is not None and any(self.join in link.items for link in self.out.links):
                self.join = self.join_body = None
            if role == "," and self.join is not None:
                self.drop_join()
        if role not in ("in", "of") and any(item.kind == "material" for item in self.group):
            self.prep = self.prep_body = None
        if role in ("with", ";", "end", ":"):
            self.denied = self.simulated = False
        self.open = None
        self.group = []

    def body_of_finish(self) -> None:
        """'Enamelled with gems': the finish before 'with' is all that is told of the body."""
        for item in self.adjectives:
            if item.kind == "feature" and item.name is not None and item.name.could_be:
                return self.stand_alone(item, item.name)

    def carries_on(self, role: str) -> bool:
        """Whether finishes before a comma wait for a body: 'painted with ...' at the end."""
        if role != "with":
            return False
        return self.next_small() == "end"

    def end_clause(self) -> None:
        """A clause is over: nothing waits longer."""
        earlier = self.in_clause()
        alone = [item for item in self.adjectives if item.name and item.name.could_be]
        if alone and not self.out.parts:
            first = alone[0]
            assert first.name is not None
            self.stand_alone(first, first.name)
            earlier = self.in_clause()
        self.flush_adjectives(earlier[-1] if earlier else None)
        self.drop_join()
        self.open = self.prep = self.prep_body = self.mixing = self.named = None
        self.denied = self.simulated = self.imitated = self.choice = self.doubted = False
        self.clause_from = len(self.out.parts)


def read_column(text: str, column: str, lexicon: Lexicon) -> Column:
    """Read one column by itself."""
    return Walker(text, column, lexicon).walk()
