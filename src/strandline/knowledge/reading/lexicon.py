"""The words known, read once from ``data/words/*.toml``.

A file holds blocks of names with a comma between them; the README of that folder tells which block
means what.  Names are looked up by their first word, the longest name wins.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from strandline.knowledge.reading.compounds import Compounds
from strandline.knowledge.reading.tokens import plain

FOLDER = Path(__file__).parent.parent / "data" / "words"
PLURALS: tuple[tuple[str, str], ...] = (
    ("ies", "y"),
    ("ves", "f"),
    ("es", ""),
    ("s", ""),
    ("'s", ""),
    ("s'", ""),
)


class Name(NamedTuple):
    """What a name means.  ``kind``: material, feature, join, part, object, grammar, art, harmless."""

    kind: str
    words: tuple[str, ...]
    key: str = ""
    """Material key; how a feature word stands (adj, noun, object); kind of join; class of a harmless word."""
    keys: tuple[str, ...] = ()
    """Features it says."""
    could_be: tuple[str, ...] = ()
    flags: frozenset[str] = frozenset()

    @property
    def phrase(self) -> str:
        """The name in plain words."""
        return " ".join(self.words)


@dataclass(slots=True, eq=False)
class Lexicon:
    """All names by first word, and the small tables beside them."""

    by_first: dict[str, list[Name]] = field(default_factory=dict)
    vocabulary: set[str] = field(default_factory=set)
    family_of: dict[str, str] = field(default_factory=dict)
    feature_keys: frozenset[str] = frozenset()
    surfaces: frozenset[str] = frozenset()
    spelling: dict[str, str] = field(default_factory=dict)
    foreign: dict[str, str] = field(default_factory=dict)
    everywhere: dict[str, str] = field(default_factory=dict)
    compounds: Compounds = field(default_factory=Compounds)
    art: dict[str, frozenset[str]] = field(default_factory=dict)
    steer: dict[str, str] = field(default_factory=dict)
    imitation_of: dict[str, tuple[str, ...]] = field(default_factory=dict)
    containers: frozenset[str] = frozenset()
    fuels: frozenset[str] = frozenset()
    products: frozenset[str] = frozenset()
    animals: frozenset[str] = frozenset()
    clashes: list[tuple[Name, Name]] = field(default_factory=list)
    forms: dict[tuple[str, bool], tuple[str, ...]] = field(default_factory=dict)

    def family(self, material: str) -> str:
        """Family of a material key or envelope."""
        return self.family_of.get(material) or material.removesuffix("_unknown")

    def forms_of(self, word: str, foreign: bool) -> tuple[str, ...]:
        """Under which forms a plain word may stand in a name: itself, respelt, singular, translated."""
        known = self.forms.get((word, foreign))
        if known is None:
            known = self.forms[(word, foreign)] = tuple(dict.fromkeys(self._forms(word, foreign)))
            if len(self.forms) > 50_000:  # a long run of made-up words must not fill the memory
                self.forms.clear()
        return known

    def _forms(self, word: str, foreign: bool) -> Iterator[str]:
        yield word
        spelt = self.spelling.get(word, word)
        yield spelt
        for end, instead in PLURALS:
            if len(word) > len(end) + 2 and word.endswith(end) and not word.endswith("ss"):
                stem = word[: -len(end)] + instead
                stem = self.spelling.get(stem, stem)
                if stem in self.vocabulary:
                    yield stem
        if any(len(name.words) == 1 for name in self.by_first.get(word, ())):
            return
        if word in self.everywhere:
            yield self.everywhere[word]
        elif foreign and word in self.foreign:
            yield self.foreign[word]
        elif word not in self.vocabulary and spelt not in self.vocabulary:
            found = self.compounds.main_word(word, foreign)
            if found:
                yield self.everywhere.get(found) or self.foreign.get(found, found)


def names_in(block: str) -> list[str]:
    """The names of a block: between commas or line ends."""
    return [name for part in block.replace("\n", ",").split(",") if (name := part.strip())]


def _split(name: str, spelling: Mapping[str, str]) -> tuple[str, ...]:
    return tuple([spelling.get(word, word) for word in plain(name).replace("-", " ").split()])


def _pairs(block: str) -> dict[str, str]:
    pairs = (name.split("=") for name in names_in(block))
    return {plain(variant.strip()): word.strip() for variant, word in pairs}


def _entry_names(kind: str, entry: Mapping[str, Any], spelling: Mapping[str, str]) -> Iterator[Name]:
    key = {"material": "key", "feature": "how", "join": "kind", "object": "material", "part": "none"}[kind]
    flags = set(entry.get("flags", ()))
    flags |= {flag for flag in ("always", "not_as_subject", "mount", "finish", "weak") if entry.get(flag)}
    if kind == "join":
        flags.add(entry["where"])
    says = tuple(entry.get("features") or names_in(entry.get("keys", "")))
    besides = entry.get("as_material") or entry.get("also", "")
    could_be = tuple(entry.get("could_be", ())) or tuple(names_in(besides))
    first, marks = entry.get(key, ""), frozenset(flags)
    for name in names_in(entry["words"]):
        yield Name(kind, _split(name, spelling), first, says, could_be, marks)


def _add(lexicon: Lexicon, name: Name) -> None:
    listed = lexicon.by_first.setdefault(name.words[0], [])
    for other in listed:
        if other.words == name.words:
            if (other.kind, other.key) != (name.kind, name.key):
                lexicon.clashes.append((other, name))
            return
    listed.append(name)
    lexicon.vocabulary.update(name.words)


def _load_tables(lexicon: Lexicon, raw: Mapping[str, Mapping[str, Any]]) -> None:
    for family, block in raw["keys"]["families"].items():
        lexicon.family_of.update(dict.fromkeys(names_in(block), family))
    lexicon.feature_keys = frozenset(names_in(raw["keys"]["features"]["keys"]))
    lexicon.surfaces = frozenset(names_in(raw["keys"]["features"]["surfaces"]))
    lexicon.containers = frozenset(names_in(raw["containers"]["words"]))
    lexicon.fuels = frozenset(names_in(raw["fuel"]["words"]))
    lexicon.products = frozenset(names_in(raw["fuel"]["products"]))
    lexicon.animals = frozenset(names_in(raw["animals"]["words"]))
    lexicon.vocabulary.update(lexicon.animals)
    spelling = raw["spelling"]
    for table in ("british", "slips", "plural"):
        lexicon.spelling.update(_pairs(spelling[table]))
    lexicon.foreign = _pairs(spelling["foreign"])
    lexicon.everywhere = _pairs(spelling["everywhere"])
    blocks = {block: frozenset(names_in(text)) for block, text in raw["compounds"].items()}
    lexicon.compounds = Compounds(**blocks)
    for entry in raw["imitations"]["entry"]:
        for key in names_in(entry["of"]):
            lexicon.imitation_of[key] = tuple(entry["could_be"])


def _load_names(lexicon: Lexicon, raw: Mapping[str, Mapping[str, Any]]) -> None:
    spell = lexicon.spelling
    order = [(file, "material") for file in sorted(raw) if file.startswith("materials_")]
    order += [("features_surface", "feature"), ("features_state", "feature"), ("joins", "join")]
    order += [("parts", "part"), ("objects", "object"), ("objects_hazard", "object")]
    for file, kind in order:
        for entry in raw[file]["entry"]:
            for name in _entry_names(kind, entry, spell):
                _add(lexicon, name)
    for role, block in raw["grammar"].items():
        for text in names_in(block):
            words = _split(text, spell)
            lexicon.steer[" ".join(words)] = role
            if role not in ("style", "trace"):
                _add(lexicon, Name("grammar", words, role))
    for role, block in raw["pictures"].items():
        for text in names_in(block):
            words = _split(text, spell)
            phrase = " ".join(words)
            lexicon.art[phrase] = lexicon.art.get(phrase, frozenset()) | {role}
    for file in sorted(raw):
        if file.startswith("harmless_"):
            for text in names_in(raw[file]["words"]):
                _add(lexicon, Name("harmless", _split(text, spell), file.removeprefix("harmless_")))
    for phrase, roles in lexicon.art.items():
        if roles != {"support"}:
            _add_art(lexicon, phrase, roles)
    _load_keys(lexicon)


def _load_keys(lexicon: Lexicon) -> None:
    """Exact keys may be typed; a key that is also a plain word keeps the meaning of the word."""
    exact = [Name("material", (key,), key) for key in lexicon.family_of]
    exact += [
        Name("material", (f"{key}_unknown",), f"{key}_unknown") for key in set(lexicon.family_of.values())
    ]
    for key in sorted(lexicon.feature_keys):
        exact.append(Name("feature", (key,), "adj" if key in lexicon.surfaces else "object", (key,)))
    for name in exact:
        if not any(other.words == name.words for other in lexicon.by_first.get(name.words[0], ())):
            _add(lexicon, name)


def _add_art(lexicon: Lexicon, phrase: str, roles: frozenset[str]) -> None:
    words = tuple(phrase.split())
    if any(name.words == words for name in lexicon.by_first.get(words[0], ())):
        return  # it has a meaning of its own (casein); in "medium on support" the art role is used
    keys = ("painted",) if "paint" in roles else ("marks_soluble",)
    _add(lexicon, Name("art", words, "noun", keys))


@lru_cache(maxsize=1)
def lexicon() -> Lexicon:
    """The words of the data folder; read once for the life of the program."""
    raw = {path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in FOLDER.glob("*.toml")}
    result = Lexicon()
    _load_tables(result, raw)
    _load_names(result, raw)
    for listed in result.by_first.values():
        listed.sort(key=lambda name: -len(name.words))
    return result
