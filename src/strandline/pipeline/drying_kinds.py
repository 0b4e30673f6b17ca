"""Which kind of body a text or a part of an object is, for the drying forecast."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches

from strandline.knowledge import bodies, timbers
from strandline.knowledge.reading.read import read_texts
from strandline.things.facts import Part

WOOD = "timber"
"""The material that stands for wood of no known kind."""

REFINED = ("horn", "cotton_linen", "soft_stone")
"""Materials that hold kinds which dry differently and are told apart by what the list says of them."""

NOT_SOUND = (
    "what is waterlogged, dug up, dredged or burnt does not dry like sound material; "
    "it is kept wet, or as it is, until a conservator has seen it; no drying of it is forecast"
)
NOT_SOUND_WORDS = frozenset(
    """
    archaeological archaeology bog burned burnt charred dredged dredging dug excavated excavation shipwreck
    subfossil waterlogged wreck
    """.split()
)
ASBESTOS = (
    "nobody touches, moves, dries or blows on it; leave the room, shut the door, and call a licensed firm"
)
TAKE_UP_NOTHING = ("metal", "glass")
SUGGESTED = 3


@dataclass(frozen=True, slots=True)
class Kind:
    """What dries: its key, the words it was known by, and how it is known (stated, assumed, family)."""

    key: str
    words: str
    known_by: str
    family: str
    film: bool = False
    """Whether only the wet surface dries, so that the thickness does not matter."""


class NoKind(ValueError):
    """No forecast can be made of this; ``why`` is a key, the text a sentence."""

    def __init__(self, why: str, say: str) -> None:
        super().__init__(say)
        self.why = why


def kind_of_words(words: str) -> Kind:
    """The kind that words name: a key, the name of a wood or of another body, or a material as in a list.

    Raises NoKind, with names that are like it where there are any.
    """
    text = " ".join(words.split())
    key = text.lower().replace(" ", "_").replace("-", "_")
    if "asbestos" in text.lower():
        raise NoKind("asbestos", f"{text}: {ASBESTOS}")
    if not_sound(text):
        raise NoKind("not_dried", f"{text}: {NOT_SOUND}")
    found = _by_key(key, text) or _wood(text) or _body(text) or _as_read(text)
    if found is not None:
        return found
    like = get_close_matches(text.lower(), known_names(), SUGGESTED)
    told = f"; near it are: {', '.join(like)}" if like else ""
    raise NoKind("kind", f"'{text}' is no wood, material or body that drying is known of{told}")


def not_sound(text: str) -> bool:
    """Whether words say that a thing is waterlogged, dug up or burnt."""
    return not NOT_SOUND_WORDS.isdisjoint(re.findall(r"[a-z]+", text.lower()))


def kind_of_part(part: Part) -> Kind:
    """The kind of a part of an object.  Raises NoKind where there is no forecast for it."""
    if part.family == "wood" and part.material.endswith("_unknown"):
        return Kind(WOOD, part.span or "wood", "family", "wood")
    if part.material not in bodies.standings():
        if part.family in TAKE_UP_NOTHING:
            raise NoKind("dry", f"{part.family}: takes up no water to speak of")
        say = f"only its family is known, {part.family}, whose kinds dry too differently; say which it is"
        raise NoKind("kind", say)
    known_by = "assumed" if part.known_by == "assumed" or part.could_be else "stated"
    if part.material in timbers.wood_materials() and not timbers.law_fails(part.material):
        wood = _wood(part.species) if part.species else None
        if wood is not None:
            return wood if known_by == "stated" else Kind(wood.key, wood.words, known_by, "wood")
    if part.material in REFINED and (closer := bodies.find(f"{part.species} {part.name}")):
        one = closer[0]
        return Kind(one.key, part.span or part.species, known_by, part.family, one.model == "film")
    return _material(part.material, part.span or part.material.replace("_", " "), known_by, part.family)


def known_names() -> tuple[str, ...]:
    """Every name a kind may be called by, for suggestions."""
    names = [name.lower() for one in timbers.timbers() for name in one.names]
    names += [name.lower() for group in timbers.groups() for name in group.names]
    names += [name.lower() for one in bodies.bodies().values() for name in one.names]
    return tuple(dict.fromkeys(names))


def _by_key(key: str, text: str) -> Kind | None:
    """A kind called by its very key."""
    if key in bodies.bodies():
        one = bodies.body(key)
        return Kind(key, text, "stated", one.family, one.model == "film")
    if key in bodies.standings():
        return _material(key, text, "stated", "wood" if key in timbers.wood_materials() else "")
    if key in (one.key for one in timbers.timbers()):
        return Kind(key, text, "stated", "wood")
    return None


def _wood(text: str) -> Kind | None:
    """A wood that a text names; a name that fits several gives the key of the group."""
    found = timbers.find(text)
    if found is None:
        return None
    if not found.members:
        return Kind(found.key, text, "stated", "wood")
    if found.key == f"envelope:{found.family}":
        return Kind(found.family, text, "family", "wood")
    group = next(one.key for one in timbers.groups() if one.members == found.members)
    return Kind(group, text, "family", "wood")


def _body(text: str) -> Kind | None:
    """Another body that a text names."""
    found = bodies.find(text)
    return Kind(found[0].key, text, "stated", found[0].family, found[0].model == "film") if found else None


def _as_read(text: str) -> Kind | None:
    """The one material that a list would be read to say with this text."""
    reading = read_texts({"materials": text})
    materials = {part.material for part in reading.parts}
    if len(materials) > 1:
        raise NoKind("kind", f"'{text}' names several materials; ask for one body at a time")
    for part in reading.parts:
        if part.material in bodies.standings():
            return _material(part.material, text, "stated", part.family)
    return None


def _material(material: str, words: str, known_by: str, family: str) -> Kind:
    """The body that stands for a material; raises NoKind where none does."""
    standing = bodies.for_material(material)
    if material in timbers.wood_materials() and standing.why == "timber":
        return Kind(material, words, "family" if known_by == "stated" else known_by, "wood")
    if standing.body is None:
        name = words if words else material.replace("_", " ")
        raise NoKind(standing.why, f"{name}: {standing.because}")
    return Kind(material, words, known_by, family or standing.body.family, standing.body.model == "film")
