"""Dangers that several words of an object tell together, and states that mean one thing on one body only."""

from __future__ import annotations

import re
from collections.abc import Iterator

from strandline.knowledge.reading.counting import Settled
from strandline.knowledge.reading.draft import Column, Draft, Said
from strandline.knowledge.reading.lexicon import Lexicon
from strandline.knowledge.reading.match import Item, items

_REMARKS = frozenset({"features", "condition"})
_ARMS = frozenset({"arm_steel", "arm_stock"})
_DRUMS = frozenset({"banjo", "tambourine"})
_HEADS = frozenset({"", "head", "skin", "membrane"})
_RAW = frozenset({"hide", "calf"})
_GROWS_ON = frozenset({"textile", "skin", "wood", "plant", "paper", "picture", "unknown"})
_SALTY = frozenset({"ceramic", "stone", "unknown"})
_GROWTH = re.compile(
    r"\b(?:(?:gr[ea]y|black|green|white|dark) (?:\w+ )?(?:spots?|specks?|speckles)"
    r"|spotted|fuzzy|furry(?: growth)?|speckled(?: with mou?ld)?|fox(?:ed|ing))\b",
    re.IGNORECASE,
)
_BLOOM = re.compile(r"\bwhite (?:powder|crust|powdery bloom|powdery crust|deposit)s?\b", re.IGNORECASE)
_ALL_OVER = re.compile(r"\s*(?:all[ -]?over|overall|throughout)\b", re.IGNORECASE)
_DENIED = re.compile(r"\b(?:no|not|without|free of|never) (?:\w+ )?$", re.IGNORECASE)


def hazards(result: Settled, columns: list[Column], lexicon: Lexicon) -> None:
    """Read the settled parts for dangers told by more than one word."""
    _loaded(result, columns, lexicon)
    _tin_of(result, columns, lexicon)
    _battery_pile(result, columns, lexicon)
    _skin_heads(result, columns)
    _told_heads(result, columns)
    _all_over(result, columns, lexicon)
    _mirror_glass(result, columns)
    _growth(result, columns)
    _bloom(result, columns)


def _loaded(result: Settled, columns: list[Column], lexicon: Lexicon) -> None:
    """A loaded gun holds ammunition, whether it is asked or told."""
    kinds = {draft.material for draft, _ in result.parts}
    if not kinds & _ARMS or "ammunition" in kinds:
        return
    for item, column, kind in list(result.words):
        if item.phrase == "loaded" and kind == "condition":
            family = lexicon.family("ammunition")
            draft = Draft("ammunition", family, "", item.start, item.end, [item], "ammunition")
            draft.always = draft.strong_name = draft.assumed = True
            result.parts.append((draft, column))
            result.words.remove((item, column, kind))
            return


def _tin_of(result: Settled, columns: list[Column], lexicon: Lexicon) -> None:
    """'Tin of paraffin': a container said to hold fuel, paint or poison, wherever it is said."""
    for column in columns:
        row = items(column.text, column.column, lexicon)
        words = [item for item in row if item.kind != "mark"]
        for at in range(len(words) - 2):
            holder, of, *held = words[at : at + 4]  # one word may come between: "can of white spirit"
            product = next((item for item in held if _any_word(item, lexicon.products)), None)
            if of.phrase == "of" and _any_word(holder, lexicon.containers) and product is not None:
                result.said.append((Said("sealed_contents", product), column.column))
                return


def _any_word(item: Item, known: frozenset[str]) -> bool:
    return any(word in known for word in item.text.lower().replace("-", " ").split())


def _skin_heads(result: Settled, columns: list[Column]) -> None:
    """The skin stretched over a drum, banjo or tambourine is raw skin, not leather."""
    drum = any(
        one.name.key == "rawhide_parchment" or one.item.phrase in _DRUMS
        for column in columns
        for one in column.implied
    ) or any(draft.name in _DRUMS for draft, _ in result.parts)
    for draft in result.bodies():
        stretched = any(item.phrase.endswith("skin") or item.phrase in _RAW for item in draft.items)
        if drum and stretched and draft.material == "leather" and draft.name in _HEADS:
            draft.material = "rawhide_parchment"


def _told_heads(result: Settled, columns: list[Column]) -> None:
    """Skin heads told of in a title ("drum with calfskin heads") are there though the materials name none."""
    if any(draft.material == "rawhide_parchment" for draft, _ in result.parts):
        return
    for column in columns:
        for part in column.parts:
            if part.material == "rawhide_parchment" and part.items[0].phrase.endswith(("head", "membrane")):
                result.parts.append((part, column.column))
                result.words = [one for one in result.words if one[0] not in part.items]
                return


def _battery_pile(result: Settled, columns: list[Column], lexicon: Lexicon) -> None:
    """'Pile' among the materials of a thing without a textile is the French word for a battery.

    A cell that is all there is of a row ("pile") tells too little.
    """
    families = {draft.family for draft in result.bodies()}
    families |= {lexicon.family(one.name.key) for column in columns for one in column.implied}
    if "textile" in families or (not families and len(columns) == 1):
        return
    for item, column, kind in list(result.words):
        if item.phrase == "pile" and column == "materials" and kind == "technique":
            family = lexicon.family("battery")
            draft = Draft("battery", family, "", item.start, item.end, [item], "battery", ["battery_inside"])
            draft.always = draft.strong_name = draft.assumed = True
            result.parts.append((draft, column))
            result.words.remove((item, column, kind))
            return


def _all_over(result: Settled, columns: list[Column], lexicon: Lexicon) -> None:
    """'Printed all over' lies on the body itself, whatever column tells it, and states its surface."""
    texts = {column.column: column.text for column in columns}
    for said, column in result.said:
        if said.key in lexicon.surfaces and _ALL_OVER.match(texts[column], said.item.end):
            for draft in result.bodies()[:1]:
                draft.add((said.key,))


def _mirror_glass(result: Settled, columns: list[Column]) -> None:
    """The glass of a thing whose title, class or materials call it a mirror is mirror glass."""
    called = any(
        part.material == "mirror" or item.phrase == "mirror"
        for column in columns
        if column.column not in _REMARKS
        for part in column.parts
        for item in part.items
    ) or any(one.name.key == "mirror" for column in columns for one in column.implied)
    if not called or any(draft.material == "mirror" for draft in result.bodies()):
        return
    for draft in result.bodies():
        if draft.material in ("glass", "glass_unknown"):
            draft.material, draft.could_be = "mirror", ()
            return


def _growth(result: Settled, columns: list[Column]) -> None:
    """Spots and fur on a body that feeds mould are growth; on metal, stone and glass they are not."""
    if not {draft.family for draft in result.bodies()} & _GROWS_ON:
        return
    for item, column in _found(_GROWTH, columns):
        result.said.append((Said("mouldy", item), column))


def _bloom(result: Settled, columns: list[Column]) -> None:
    """White bloom is salt on ceramic and stone; on lead it is corrosion."""
    families = {draft.family for draft in result.bodies()}
    if families & _SALTY:
        for item, column in _found(_BLOOM, columns):
            result.said.append((Said("salts", item), column))
    materials = {draft.material for draft in result.bodies()}
    if "lead" in materials and not families & _SALTY:
        for pair in list(result.said):
            if pair[0].key == "salts" and pair[0].item.phrase.startswith("white"):
                result.said.remove(pair)
                result.words.append((pair[0].item, pair[1], "condition"))


def _found(pattern: re.Pattern[str], columns: list[Column]) -> Iterator[tuple[Item, str]]:
    """Where remarks say it and do not deny it."""
    for column in columns:
        if column.column not in _REMARKS:
            continue
        for match in pattern.finditer(column.text):
            if _DENIED.search(column.text[: match.start()]):
                continue
            yield _item(match), column.column


def _item(match: re.Match[str]) -> Item:
    words = tuple(
        (match.start() + one.start(), match.start() + one.end()) for one in re.finditer(r"\w+", match[0])
    )
    return Item("feature", match.start(), match.end(), match[0], None, match[0].lower(), "", words)
