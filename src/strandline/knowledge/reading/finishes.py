"""Words for finishes, states and joins: which body they belong to."""

from __future__ import annotations

from strandline.knowledge.reading.bodies import ENAMEL_BODIES, Bodies
from strandline.knowledge.reading.draft import Draft, Link, Said
from strandline.knowledge.reading.lexicon import Name
from strandline.knowledge.reading.match import Item

_INLAYS = frozenset({"metal", "bone", "stone"})


class Finishes(Bodies):
    """Reads finishes, features and joins."""

    def take_art(self, item: Item) -> None:
        """A painter's medium outside a picture: paint on something.

        Oil that a lamp holds is no paint; outside the materials the bare word says nothing.
        """
        if item.phrase in ("oil", "oils") and self.out.column != "materials":
            return self.note(item, "thing")
        if self.style_after() == "trace" and item.phrase != "ink":
            return self.note(item, "absent")
        self.take_feature(item)

    def take_feature(self, item: Item) -> None:
        """A word for a surface or a state."""
        name = item.name
        assert name is not None
        self.group.append(item)
        if self.denied:
            return self.deny(item, name)
        if self.simulated or self.mixing:
            return self.note(item, "ingredient" if self.mixing else "absent")
        if name.key == "object":
            return self.feature_of_object(item, name)
        if name.key == "noun":
            return self.finish_named(item, name)
        if self.open is not None and not self.body_follows():
            self.open.add(name.keys)
            self.open.stretch(item)
            return None
        self.adjectives.append(item)
        return None

    def deny(self, item: Item, name: Name) -> None:
        """'No paint' says the surface is bare; any other feature denied is just not there.

        A state of the surface ("no flaking paint") says nothing of whether there is paint.
        """
        finish = name.key != "object" and self.lexicon.surfaces.intersection(name.keys)
        if finish and "bare" not in name.keys:
            self.out.said.append(Said("bare", item))
        else:
            self.note(item, "absent")

    def feature_of_object(self, item: Item, name: Name) -> None:
        """A feature that counts for the whole object; some name a body besides."""
        if self.gone_after():
            return self.note(item, "absent")
        self.out.said.extend(Said(key, item) for key in name.keys)
        also = [key for key in name.could_be if key]
        if also:
            draft = self.new_part(item, Name("material", name.words, also[0]))
            draft.name, draft.strong_name, draft.species = name.words[-1], True, ""
        return None

    def finish_named(self, item: Item, name: Name) -> None:
        """A finish named as a thing: it lies on what was named before, or on what follows."""
        earlier = self.in_clause()
        if self.inlay_of_open(item, name):
            return
        if self.next_small() == "on" or (not earlier and not self.alone_as_body(name)):
            self.adjectives.append(item)
            return
        self.flush_adjectives(self.open)
        if not earlier:
            self.adjectives.append(item)
            self.stand_alone(item, name)
            return
        if name.keys[:1] == ("enamelled",):
            bodies = [part for part in earlier if part.family in ENAMEL_BODIES]
            keys = name.keys if bodies else ("painted",)
            self.put(item, keys, bodies[-1] if bodies else None)
        else:
            self.put(item, name.keys, earlier[-1] if self.open or len(earlier) == 1 or self.prep else None)

    def alone_as_body(self, name: Name) -> bool:
        """Whether a finish stands where a body would ('lacquer, gold, silver')."""
        return bool(name.could_be) and self.next_small() in (",", "end", ";", ")", "with")

    def stand_alone(self, item: Item, name: Name) -> None:
        """A finish that is the body itself."""
        self.adjectives.remove(item)
        made = Name("material", name.words, name.could_be[0], name.keys)
        self.new_part(item, made)

    def inlay_of_open(self, item: Item, name: Name) -> bool:
        """'Satinwood inlay': the body open in this group is let into the one before."""
        draft = self.open
        if name.keys != ("inlay_loose",) or draft is None or draft.name:
            return False
        draft.stretch(item)
        draft.name, draft.strong_name = "inlay", True
        bodies = [part for part in self.in_clause() if part is not draft and part.name != "inlay"]
        if bodies:
            self.drop_link(draft)
            self.out.links.append(Link("inlaid", bodies[0], draft, [item]))
            bodies[0].add(name.keys)
        else:
            draft.add(name.keys)
        return True

    def take_join(self, item: Item) -> None:
        """A word that tells how two bodies hold."""
        name = item.name
        assert name is not None
        self.group.append(item)
        if self.denied or self.simulated:
            return self.note(item, "absent")
        if "noun" in name.flags:
            return self.take_join_noun(item, name)
        if self.join is not None:
            self.drop_join()
        before = self.open or (self.in_clause()[-1] if self.in_clause() else None)
        strict = self.open is not None and self.body_follows()
        ahead = self.next_small() if not self.body_follows() else ""
        if before is None or (ahead in ("end", ";", ")", ".") or ahead == ","):
            return self.join_alone(item, name, before)
        if self.open is None and self.body_follows() and not self.inlays():
            self.adjectives.append(item)
            return None
        self.join, self.join_body, self.join_strict = item, before, strict and name.key == "mounted"
        self.flush_adjectives(before)
        if not strict:
            return None
        self.open = None
        return None

    def inlays(self) -> bool:
        """Whether the body that follows is of a family that is let into others."""
        after = self.following()
        return (
            after is not None
            and after.name is not None
            and after.kind == "material"
            and self.lexicon.family(after.name.key) in _INLAYS
        )

    def join_alone(self, item: Item, name: Name, before: Draft | None) -> None:
        """A join word without a second body: what it says of the body, or nothing."""
        if name.key == "veneered" and self.open is None and not self.body_follows():
            self.new_part(item, Name("material", name.words, "veneer", (), (), frozenset({"generic"})))
        elif before is not None and name.keys:
            before.add(name.keys)
            self.out.said.extend(Said(key, item) for key in name.keys[:1])
        elif self.body_follows():
            self.adjectives.append(item)
        elif name.keys:
            self.out.said.extend(Said(key, item) for key in name.keys)
        else:
            self.note(item, "join")

    def take_join_noun(self, item: Item, name: Name) -> None:
        """'Silver mounts', 'ebony frame': the body before the noun is the addition."""
        draft = self.open
        if draft is None and self.adjectives:
            words = item.name.words if item.name else ()
            made = Name("material", words, self.mount_material(item), (), (), frozenset({"generic"}))
            draft = self.new_part(item, made)
            draft.assumed = True
        if draft is None:
            return self.note(item, "part_name")
        draft.stretch(item)
        draft.name, draft.strong_name = item.phrase, True
        earlier = [part for part in self.in_clause() if part is not draft]
        if earlier:
            self.drop_link(draft)
            body = earlier[-1] if name.key != "mounted" else earlier[0]
            self.out.links.append(Link(name.key, body, draft, [item]))
            body.add(name.keys)
        return None

    def mount_material(self, item: Item) -> str:
        """What a mount is of when only its finish is told: a gilt frame is of wood, the rest metal."""
        keys = {key for one in self.adjectives if one.name for key in one.name.keys}
        metal = keys & {"plated", "enamelled", "silvered", "japanned"}
        return "wood_unknown" if item.phrase == "frame" and not metal else "metal_unknown"
