"""Names of materials: which belong to one body, which are only colours, imitations or ingredients."""

from __future__ import annotations

from dataclasses import replace

from strandline.knowledge.reading.draft import Draft
from strandline.knowledge.reading.lexicon import Name
from strandline.knowledge.reading.match import Item
from strandline.knowledge.reading.pictures import media_run
from strandline.knowledge.reading.state import WalkState

_COLOURED = frozenset({"glass", "textile", "ceramic", "plastic", "skin", "paper", "plant"})
_COLOUR_STYLE = frozenset({"coloured", "colour", "tone", "toned", "hued", "tinted"})
_LIKENESS = frozenset(
    {"style", "effect", "look", "lookalike", "look alike", "like", "textured", "substitute", "simulation"}
)
ENAMEL_BODIES = frozenset({"metal", "glass", "ceramic"})


class Bodies(WalkState):
    """Reads bodies."""

    def take_picture(self, stop: int, key: str) -> None:
        """Take the items of a picture phrase as one part."""
        run = list(self.row[self.at : stop])
        while run and run[0].kind == "harmless":
            self.note(run.pop(0), run[0].key if run else "grammar")
        draft = Draft(key, self.lexicon.family(key), "", run[0].start, run[-1].end, run)
        untold = [item for item in run if item.kind == "material" and item.key == "unknown"]
        for item in run:
            if item.kind == "harmless":
                self.note(item, item.key)
        self.out.parts.append(draft)
        for item in untold:  # "oil and mixed media on paper": something more is there
            self.out.parts.append(Draft("unknown", "unknown", "", item.start, item.end, [item]))
        self.open = None
        self.at = stop

    def take_material(self, item: Item) -> None:
        """A material's name."""
        name = item.name
        assert name is not None
        self.group.append(item)
        if self.denied or self.simulated:
            return self.note(item, "absent")
        if self.mixing:
            return self.note(item, "ingredient")
        if self.only_names(name):
            return self.name_open(item)
        style = self.style_after()
        if style == "trace":
            return self.note(item, "absent")
        if style in _COLOUR_STYLE or self.is_colour(name):
            return self.note(item, "colour_word")
        if style and style not in _LIKENESS:
            return self.note(item, "absent")
        imitation = self.imitated or style in _LIKENESS
        if imitation and style and self.body_follows():
            return self.note(item, "absent")
        if "after_glass" in name.flags and self.only_glass():
            return self.note(item, "ingredient")
        if not imitation and self.merge(item, name):
            return None
        draft = self.new_part(item, name)
        if imitation:
            self.make_imitation(draft)
        return None

    def style_after(self) -> str:
        """The word of likeness right behind this item ('style', 'coloured'), 'trace' or ''."""
        if self.at + 1 < len(self.row):
            phrase = self.row[self.at + 1].phrase
            role = self.lexicon.steer.get(phrase)
            if role == "trace":
                return role
            if role == "style":
                return phrase
        return ""

    def only_names(self, name: Name) -> bool:
        """'Brass button', 'leather washer', 'sinew thread': the name only tells the form of the body."""
        if self.open is None or self.join is not None or self.imitated:
            return False
        other = self.open.family != self.lexicon.family(name.key)
        return other and bool(name.flags & {"nameable", "form"})

    def name_open(self, item: Item) -> None:
        """Take a noun as the name of the open body."""
        assert self.open is not None
        if not self.open.strong_name:
            self.open.name, self.open.strong_name = item.phrase, True
        self.open.stretch(item)

    def is_colour(self, name: Name) -> bool:
        """Whether a body of another kind follows at once, so that this name only tells its colour."""
        if "colour" not in name.flags or self.join:
            return False
        after = self.following()
        if after is None or after.name is None:
            return False
        if after.kind == "feature":
            return after.name.key == "adj" and after.name.keys[0] in ("glazed", "painted")
        family = self.lexicon.family(after.name.key)
        if "nameable" in after.name.flags and family != "textile":
            return False  # "brass reed", "silver shell": the form of a body, not a body of that colour
        return after.kind == "material" and family in _COLOURED and family != self.lexicon.family(name.key)

    def among_paints(self) -> bool:
        """Whether 'acrylic' is paint here: other media beside it, paper under it, or 'on' after it."""
        _, after = media_run(self.row, self.at, self.lexicon)
        if after < len(self.row) and self.row[after].key == "on" and not self.in_clause():
            return True
        phrases = {item.phrase for item in self.row} - {"acrylic", "acrylics"}
        media = any(self.lexicon.art.get(phrase, frozenset()) & {"paint", "draw"} for phrase in phrases)
        paper = (item.kind == "material" and self.lexicon.family(item.key) == "paper" for item in self.row)
        return media or any(paper) or any(part.family == "picture" for part in self.out.parts)

    @staticmethod
    def as_paint(item: Item) -> Item:
        """The item read as a paint instead of a plastic."""
        paint = Name("art", item.name.words if item.name else (), "noun", ("painted",))
        return replace(item, kind="art", name=paint, key="noun")

    def only_glass(self) -> bool:
        """Whether all bodies so far are glass: then a cane is a rod of glass."""
        return bool(self.in_clause()) and all(part.family == "glass" for part in self.in_clause())

    def merge(self, item: Item, name: Name) -> bool:
        """Join a material's name to the body open beside it, if both name one body."""
        body = self.open
        family = self.lexicon.family(name.key)
        if "restates" in name.flags:
            earlier = self.out.parts[-1] if self.in_clause() else None
            if earlier and earlier.family == family:
                earlier.stretch(item)
                earlier.flags |= name.flags
                self.open = earlier
                return True
        if "made_up" in name.flags and body is not None and not self.join:
            body.stretch(item)
            body.add(name.keys)
            body.name = body.name or item.phrase
            return True
        if body is None or body.name or body.family != family or self.join:
            return False
        generic = "generic" in name.flags or name.key.endswith("unknown")
        vague = "generic" in body.flags or body.material.endswith("unknown")
        body.stretch(item)
        body.add(name.keys)
        if "form" in name.flags:
            body.name, body.strong_name = name.phrase, True
        if not generic or vague:
            if not generic and not vague and body.species:
                body.species = f"{body.species} {name.phrase}"
            elif not generic:
                body.species = name.phrase
            body.material, body.could_be = name.key, name.could_be or (body.could_be if generic else ())
            body.flags = name.flags
        elif "generic" not in body.flags or not body.species:
            body.flags -= {"generic"}
        return True

    def new_part(self, item: Item, name: Name) -> Draft:
        """Begin a part, with the finishes waiting for it and the join that led to it."""
        family = self.lexicon.family(name.key)
        species = "" if "generic" in name.flags else name.phrase
        draft = Draft(name.key, family, species, item.start, item.end, [item], flags=name.flags)
        draft.could_be = name.could_be
        draft.add(name.keys)
        for adjective in self.adjectives:
            if adjective.name:
                enamel = adjective.name.keys[:1] == ("enamelled",) and adjective.name.key == "noun"
                paint = enamel and family not in ENAMEL_BODIES
                draft.add(("painted",) if paint else adjective.name.keys)
            draft.stretch(adjective)
            told = adjective.name.could_be if adjective.name and adjective.kind == "feature" else ()
            if told and draft.material == f"{family}_unknown" and self.lexicon.family(told[0]) == family:
                draft.material = told[0]
        self.adjectives.clear()
        draft.assumed = self.doubted
        self.doubted = False
        if self.named:
            draft.name, draft.strong_name = self.named.phrase, "weak" not in self.flags(self.named)
            if self.named.name:
                draft.add(self.named.name.keys)
        if self.choice and self.out.parts and self.choose(draft):
            return self.out.parts[-1]
        self.out.parts.append(draft)
        self.link(draft)
        self.open = draft
        self.drop_owner()
        return draft

    def choose(self, draft: Draft) -> bool:
        """'A or B' of one family is one part that may be either."""
        other = self.out.parts[-1]
        self.choice = False
        other.assumed = draft.assumed = True
        if other.family != draft.family or other.family == "unknown":
            return False
        pool = (*(other.could_be or (other.material,)), *(draft.could_be or (draft.material,)))
        other.could_be = tuple(dict.fromkeys(key for key in pool if not key.endswith("unknown")))
        if len(other.could_be) == 1:
            other.could_be = ()
        if other.material != draft.material:
            other.material, other.species = f"{other.family}_unknown", ""
        other.add(tuple(draft.features))
        other.start, other.end = min(other.start, draft.start), max(other.end, draft.end)
        other.items.extend(draft.items)
        self.open = other
        return True

    def make_imitation(self, draft: Draft) -> None:
        """An imitation may be any of the bodies such things are made of."""
        draft.could_be = self.lexicon.imitation_of.get(draft.material, (draft.material,))
        if draft.material.endswith("unknown") and draft.family in ("unknown", "plastic"):
            draft.could_be = ()
        draft.material, draft.family, draft.species = "unknown", "unknown", ""
        draft.features = [key for key in draft.features if key != "protected_species"]
        self.imitated = False

    def drop_owner(self) -> None:
        """A thing whose material is told right after it ('jar of stoneware') needs no assumed one."""
        if self.prep is None and self.out.implied and self.out.implied[-1].alone:
            before = [i for i in self.row[: self.at] if i.kind not in ("harmless", "unread")][-2:]
            last = self.out.implied[-1].item
            if last in before and any(i.key in ("of", ":", "(") for i in before):
                self.out.implied.pop()

    def told_by_finish(self) -> bool:
        """'Chrome-plated base', 'tin-glazed plate': the finish tells the body, though none is named."""
        nouns = (one for one in reversed(self.group) if one.kind in ("part", "object") or one.key == "thing")
        noun = next(nouns)
        for item in self.adjectives:
            material = self.body_told(item, noun)
            if item.kind == "feature" and item.name is not None and material:
                made = Name("material", (), material, item.name.keys, (), frozenset({"generic"}))
                self.adjectives.remove(item)
                draft = self.new_part(item, made)
                draft.assumed, draft.name = True, noun.phrase
                if self.out.implied and self.out.implied[-1].item is noun:
                    self.out.implied[-1].alone = False
                return True
        return False

    def body_told(self, item: Item, noun: Item) -> str:
        """The material a finish before a noun lets take for its body, or ''."""
        keys, told = (item.name.keys, item.name.could_be) if item.name else ((), ())
        if told and ("body" in self.flags(item) or not self.in_clause()):
            return told[0]
        if keys == ("plated",):
            return "plated_metal"
        gilt = {"gilded", "silvered", "lacquered", "enamelled"}.intersection(keys)
        return "metal_unknown" if gilt and "metal" in self.flags(noun) else ""
