"""What several words of an object say together: a body read more closely, a state that cannot be, and joins.

Every step works on words of any list; none adds a body a row does not speak of.
"""

from __future__ import annotations

from collections.abc import Iterator

from strandline.knowledge.reading.counting import Settled
from strandline.knowledge.reading.draft import Column, Draft, Link, Said
from strandline.knowledge.reading.hazards import hazards
from strandline.knowledge.reading.lexicon import Lexicon
from strandline.knowledge.reading.match import Item, items

_DUG_UP = {"iron": "iron_archaeological", "copper_alloy": "copper_alloy_archaeological"}
_RODS = frozenset({"willow", "hazel", "hazelwood", "osier wood"})
_SKINS = frozenset({"study_skin", "leather", "fur"})
_ONLY_ON = {"unfired_body": "ceramic", "red_rot": "skin"}
"""States that only bodies of one family have."""
_NO_PAINT = frozenset({"stone", "bone", "paper", "ceramic"})
_SURFACED = frozenset({"painted", "gilded", "gesso_gilding", "lacquered", "japanned", "varnished"})
_FORMS = {
    "nail": "nailed", "tack": "nailed", "stud": "nailed", "pin": "nailed", "drawing pin": "nailed",
    "rivet": "riveted", "screw": "screwed", "bolt": "screwed", "hinge": "hinged", "hinges": "hinged",
    "strap hinge": "hinged", "butt hinge": "hinged",
}  # fmt: skip
_LIDS = frozenset({"lid", "flap", "fall front"})
_HOLDERS = frozenset({"case", "tray", "cover", "box", "sheet", "section", "layer", "figure", "body"})
_HELD_BY_METAL = frozenset({"nailed", "riveted", "screwed"})
_ORGANIC = frozenset({"wood", "plant", "skin"})
_RUSTY = frozenset({"rusty", "rusted", "rusting"})


def refine(result: Settled, columns: list[Column], lexicon: Lexicon) -> None:
    """Read the settled parts once more in the light of all columns."""
    said = {one.key for one, _ in result.said} | {key for draft, _ in result.parts for key in draft.features}
    texts = {column.column: column.text for column in columns}
    _fold_guess(result, texts)
    _taxidermy(result, columns, lexicon)
    _fired_low(result, columns)
    if "archaeological" in said:
        for draft in result.bodies():
            draft.material = _DUG_UP.get(draft.material, draft.material)
    _enamel_sign(result, columns)
    _basketry(result, columns)
    _drop_what_cannot_be(result)
    _rust(result, columns, lexicon)
    hazards(result, columns, lexicon)
    _attach(result, texts, said)
    _widen(result)


def _fold_guess(result: Settled, texts: dict[str, str]) -> None:
    """A guess in brackets ("imitation ivory (celluloid?)") is what the body may be, not another body."""
    for draft, column in list(result.parts):
        before = next(
            (one for one, name in result.parts if name == column and draft.material in one.could_be), None
        )
        if before is None or before is draft or not draft.assumed or draft.name:
            continue
        if texts[column][before.end : draft.start].strip() == "(":
            result.parts.remove((draft, column))
            result.words.extend((item, column, "repeats") for item in draft.items)
            result.links = [pair for pair in result.links if draft not in (pair[0].body, pair[0].added)]


def _fired_low(result: Settled, columns: list[Column]) -> None:
    """Unglazed or low-fired earthenware is the soft, thirsty kind, whichever column says so."""
    low = any(part.material == "earthenware_low_fired" for column in columns for part in column.parts)
    for draft in result.bodies():
        unglazed = any(item.phrase == "unglazed" for item in draft.items)
        if "glazed" in draft.features:
            continue
        open_clay = draft.material == "ceramic_unknown" and "earthenware_low_fired" in draft.could_be
        if (draft.material == "earthenware_glazed" and (unglazed or low)) or (open_clay and unglazed):
            draft.material, draft.could_be = "earthenware_low_fired", ()


def _enamel_sign(result: Settled, columns: list[Column]) -> None:
    """An enamel sign whose materials say enamelled iron is an enamel sign."""
    if any(part.material == "enamel_sign" for column in columns for part in column.parts):
        for draft in result.bodies():
            if draft.material == "enamel_on_metal":
                draft.material = "enamel_sign"


def _basketry(result: Settled, columns: list[Column]) -> None:
    """Willow or hazel of a basket or trap is woven rods, not timber."""
    woven = any(one.name.key == "basketry" for column in columns for one in column.implied)
    for draft in result.bodies():
        if woven and draft.material == "timber" and draft.species in _RODS and _is_whole(draft):
            draft.material, draft.family = "basketry", "plant"


def _is_whole(draft: Draft) -> bool:
    """Whether a body has no name of a part or board of its own."""
    return not draft.name or any(item.kind == "object" for item in draft.items)


def _animal_items(columns: list[Column], lexicon: Lexicon) -> bool:
    """Whether an animal is named by itself (not in "ostrich feather")."""
    return any(
        set(lexicon.forms_of(item.phrase, False)) & lexicon.animals
        for column in columns
        for item in items(column.text, column.column, lexicon)
        if item.kind in ("harmless", "unread", "object")
    )


def _taxidermy(result: Settled, columns: list[Column], lexicon: Lexicon) -> None:
    """A stuffed or mounted animal is taxidermy; what else is stuffed is padded."""
    bodies = [draft for draft in result.bodies() if draft.items[0].kind != "feature"]  # no glass dome
    skins = [draft for draft in bodies if draft.family == "skin"]
    animal = _animal_items(columns, lexicon)
    stuffed = [pair for pair in result.said if pair[0].key == "taxidermy_form"]
    bare = all(draft.assumed for draft in bodies)
    fits = bool(skins) or bare
    for pair in stuffed:
        flags = pair[0].item.name.flags if pair[0].item.name else frozenset()
        if "animal" in flags and not (animal and fits):
            result.said.remove(pair)
            result.words.append((pair[0].item, pair[1], "technique"))
    kept = next((pair for pair in result.said if pair[0].key == "taxidermy_form"), None)
    if kept is None and animal and (skins or bare):
        kept = _mounted(result, columns)
    if kept is not None and fits:
        _make_taxidermy(result, kept, skins, lexicon)


def _mounted(result: Settled, columns: list[Column]) -> tuple[Said, str] | None:
    """'Tawny owl, mounted': the word of mounting, if it was no join."""
    for column in columns:
        if column.column not in ("title", "class"):
            continue
        linked = {item for link, _ in result.links for item in link.items}
        for item, kind in column.words:
            if item.phrase == "mounted" and kind == "join" and item not in linked:
                pair = (Said("taxidermy_form", item), column.column)
                result.said.append(pair)
                return pair
    return None


def _make_taxidermy(result: Settled, by: tuple[Said, str], skins: list[Draft], lexicon: Lexicon) -> None:
    """The skin of a mounted animal is taxidermy; one nobody named is assumed."""
    if any(draft.material == "taxidermy" for draft, _ in result.parts):
        return
    found = next((draft for draft in skins if draft.material in _SKINS and not draft.strong_name), None)
    if found is None:
        item = by[0].item
        found = Draft(
            "taxidermy", lexicon.family("taxidermy"), "", item.start, item.end, [item], assumed=True
        )
        result.parts.append((found, by[1]))
    found.material = "taxidermy"
    found.add(("taxidermy_form",))


def _drop_what_cannot_be(result: Settled) -> None:
    """A state no body here can have is a word of technique ("unfired" paint on glass, "flaking" shale)."""
    bodies = result.bodies()
    families = {draft.family for draft in bodies}
    surfaced = _SURFACED & {key for draft in bodies for key in draft.features}
    surfaced |= _SURFACED & {one.key for one, _ in result.said}
    gone = {key for key, family in _ONLY_ON.items() if families and not families & {family, "unknown"}}
    stone = bool(families) and families <= _NO_PAINT and not surfaced
    for draft in bodies:
        draft.features = [key for key in draft.features if key not in gone]
    for pair in list(result.said):
        plain_flaking = pair[0].key == "flaking_paint" and pair[0].item.phrase == "flaking" and stone
        if pair[0].key in gone or plain_flaking:
            result.said.remove(pair)
            result.words.append((pair[0].item, pair[1], "condition"))


def _rust(result: Settled, columns: list[Column], lexicon: Lexicon) -> None:
    """What rusts is iron: said where no metal is named, it tells of iron somebody must look for."""
    if not result.bodies() or {draft.family for draft, _ in result.parts} & {"metal", "working", "unknown"}:
        return
    for column in columns:
        for item, kind in column.words:
            if column.column in ("features", "condition") and item.phrase in _RUSTY and kind == "condition":
                iron = Draft("iron", lexicon.family("iron"), "", item.start, item.end, [item], assumed=True)
                result.parts.append((iron, column.column))
                result.words = [one for one in result.words if one[0] is not item]
                return


def _attach(result: Settled, texts: dict[str, str], said: set[str]) -> None:
    """Parts named as such ("iron bands", "pewter lid") hold to the body, as said or in an unknown way."""
    linked = {id(end) for link, _ in result.links for end in (link.body, link.added)}
    bodies = [pair for pair in result.parts if not pair[0].always and pair[0].family != "picture"]
    for draft, column in bodies:
        item = _name_item(draft)
        whole = _whole_of(draft, column, bodies, texts)
        if item is None or draft is whole or id(draft) in linked:
            continue
        kind = _kind_of_form(draft, said)
        result.links.append((Link(kind, whole, draft, [item]), column))
        if kind in _HELD_BY_METAL and draft.family == "metal" and whole.family in _ORGANIC:
            whole.add(("metal_in_organic",))


def _whole_of(draft: Draft, column: str, bodies: list[tuple[Draft, str]], texts: dict[str, str]) -> Draft:
    """The first body that is no named part itself: of the same sentence, else of all; else the first."""
    wholes = [pair for pair in bodies if _name_item(pair[0]) is None]
    sentence = texts[column].count(";", 0, draft.start)
    near = [
        one for one, name in wholes if name == column and texts[name].count(";", 0, one.start) == sentence
    ]
    return next(iter((*near, *(one for one, _ in wholes), bodies[0][0])))


def _widen(result: Settled) -> None:
    """What is said of the thing beside its only body is said of that body: its span covers the words."""
    bodies = [pair for pair in result.parts if not pair[0].always]
    if len(bodies) != 1:
        return
    draft, column = bodies[0]
    unread = any(name == column and not kind for _, name, kind in result.words)
    for said, where in result.said:
        if where == column == "materials" and not unread:  # an unknown word may name another body
            draft.start, draft.end = min(draft.start, said.item.start), max(draft.end, said.item.end)


def _name_item(draft: Draft) -> Item | None:
    """The word that names the draft as a part of something, or None."""
    return next(_names(draft), None)


def _names(draft: Draft) -> Iterator[Item]:
    for item in draft.items:
        form = item.kind == "material" and item.name is not None and "form" in item.name.flags
        part = item.kind in ("part", "join") and item.phrase not in _HOLDERS
        if (form or part) and item.phrase == draft.name:
            yield item


def _kind_of_form(draft: Draft, said: set[str]) -> str:
    if draft.name in _FORMS and draft.family == "metal":
        return _FORMS[draft.name]
    return "hinged" if draft.name in _LIDS and "hinged_lid" in said else "unknown"
