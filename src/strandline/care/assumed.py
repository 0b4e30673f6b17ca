"""What a plan takes for granted, and which single answer would change it most.

Each open question is answered both ways and the plan made again; ``changes`` counts the verdicts,
limits, zone, route and clocks that differ between the mildest and the strictest admissible answer.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from strandline.care.book import Book
from strandline.care.core import Core
from strandline.care.match import Around
from strandline.care.outline import NamedParts, Outline
from strandline.care.parts import PartSig, members_of
from strandline.care.signature import Signature
from strandline.knowledge import models as m
from strandline.things.plan import Assumed

Make = Callable[[NamedParts, Around], Outline]
Totals = Callable[[PartSig, Around], Mapping[str, int]]
Key = TypeVar("Key", bound=Hashable)
REFER = m.VERDICT_RANK["refer"]

SURFACE_ANSWERS: dict[str, str] = {"bare": "bare", "paint": "painted", "gilding": "gilded"}
WATER_ANSWERS: dict[str, tuple[str, ...]] = {
    "tap": ("clean",),
    "river": ("river",),
    "salt, drains up": ("brackish", "sewage"),
}
STATE_ANSWERS: tuple[str, ...] = ("under_water", "splashed", "damp_air_only", "dry_with_mud")


@dataclass(frozen=True, slots=True)
class Question:
    """An open question before its part is called by name: ``led`` follows the name of ``part``."""

    assumed: Assumed
    part: str = ""
    led: str = ""


def questions(sig: Signature, made: Core, make: Make, totals: Totals, book: Book) -> tuple[Question, ...]:
    """Open questions of a signature, the most telling first.

    ``totals`` tells how strict a part is as each material it may be.
    """
    found: list[Question] = []
    evals = dict(made.evals)
    for index, (part_id, _) in enumerate(sig.parts):
        found += _material(sig, index, make, totals, book)
        if evals[part_id].surface in {"no", "look"}:
            found.append(_surface(sig, index, make))
    found += [Question(one) for one in _object(sig, made, make, book)]
    return tuple(sorted(found, key=lambda one: (-one.assumed.changes, one.assumed.fact)))


def named(found: Iterable[Question], names: Mapping[str, str]) -> tuple[Assumed, ...]:
    """The questions with their parts called by name.  ``names``: part id -> what to call it."""
    return tuple(_called(one, names.get(one.part, one.part)) for one in found)


def _called(question: Question, call: str) -> Assumed:
    if not question.led or not call:
        return question.assumed
    return replace(question.assumed, ask=call + question.led)


def _material(sig: Signature, index: int, make: Make, totals: Totals, book: Book) -> list[Question]:
    part_id, part = sig.parts[index]
    members = members_of(part, book)
    if len(members) < 2:
        return []
    ordered = sorted((total, key) for key, total in totals(part, sig.around).items())
    extremes = ordered[0][1], ordered[-1][1]
    variants = [make(_with_part(sig, index, _as_member(part, key, book)), sig.around) for key in extremes]
    ask = book.knowledge.families[part.family].ask
    looks = next((look for look in book.knowledge.lookalikes if set(members) == {*look.could_be}), None)
    if looks is not None:
        ask = looks.observe
    answers = tuple(book.knowledge.materials[key].say for key in extremes)
    answers = (*answers, "something else", "not sure")
    one = Assumed(f"material:{part_id}", part.material, ask, answers, differences(*variants))
    return [Question(one, part_id, f": {ask}")]


def _as_member(part: PartSig, key: str, book: Book) -> PartSig:
    return replace(part, material=key, family=book.knowledge.materials[key].family, could_be=())


def _surface(sig: Signature, index: int, make: Make) -> Question:
    part_id, part = sig.parts[index]
    variants = []
    for feature in SURFACE_ANSWERS.values():
        seen = replace(part, features=tuple(sorted({*part.features, feature})), silent=False)
        variants.append(make(_with_part(sig, index, seen), sig.around))
    ask = "Is there paint, gilding, polish or print on it anywhere?"
    answers = (*SURFACE_ANSWERS, "not sure")
    one = Assumed(f"surface:{part_id}", "unknown", ask, answers, _extremes(variants))
    return Question(one, part_id, f": is{ask[2:]}")


def _object(sig: Signature, made: Core, make: Make, book: Book) -> list[Assumed]:
    origins = [clock.origin for clock in made.clocks]
    found = []
    for name in sig.unknowns:
        asked = ABOUT_OBJECT.get(name)
        if asked is None:
            found.append(_plain(name, origins))
            continue
        ask, answers = asked
        variants = [make(sig.parts, around) for around in _other_arounds(name, sig.around, book)]
        value = list(sig.around.waters) if name == "water" else None
        found.append(Assumed(name, value, ask, (*answers, "not sure"), _extremes(variants)))
    return found


ABOUT_OBJECT: dict[str, tuple[str, tuple[str, ...]]] = {
    "mass_g": (
        "How heavy is it now, and does water or mud stand inside?",
        ("a weight", "empty", "water", "mud"),
    ),
    "water": ("Was it salt?", tuple(WATER_ANSWERS)),
    "wet_state": ("How did it arrive: under water, splashed, damp, or dried with mud on?", STATE_ANSWERS),
}
"""Questions about the whole object whose answers change verdicts: what is asked, and the answers."""


def _other_arounds(name: str, around: Around, book: Book) -> list[Around]:
    """The surroundings as each answer would have them."""
    if name == "water":
        return [replace(around, waters=waters) for waters in WATER_ANSWERS.values()]
    if name == "wet_state":
        return [replace(around, wet_state=book.state(state)) for state in STATE_ANSWERS]
    masses = ((True, 0.0), (True, 1e9), (False, 0.0))
    return [replace(around, mass_known=known, mass_over_g=over_g) for known, over_g in masses]


PLAIN: dict[str, tuple[Any, str, tuple[str, ...], str]] = {
    "wet_since": (None, "When did the water reach it?", ("a time", "not sure"), "wetted"),
    "out_since": (None, "When was it out of the water?", ("a time", "not sure"), "emerged"),
    "under_water_h": (None, "How long was it under water?", ("hours", "not sure"), ""),
    "significance": (3, "How much does it matter, 1 to 5?", ("1 to 5", "not sure"), ""),
    "thickness": (None, "How thick is it, in mm?", ("mm", "not sure"), ""),
    "features": (None, "Two saw different things on it: what is there?", ("what is seen", "not sure"), ""),
    "done_already": (None, "What was done to it before it came here?", ("what was done", "not sure"), ""),
    "pieces": (None, "How many pieces are there? Count again.", ("a number", "not sure"), ""),
}


def _plain(name: str, origins: list[str]) -> Assumed:
    """Questions that change no verdict; a time changes how much is left of every clock it starts."""
    value, ask, answers, origin = PLAIN[name.split(":")[0]]
    return Assumed(name, value, ask, answers, sum(1 for one in origins if one == origin))


def _with_part(sig: Signature, index: int, part: PartSig) -> NamedParts:
    return (*sig.parts[:index], (sig.parts[index][0], part), *sig.parts[index + 1 :])


def _extremes(variants: list[Outline]) -> int:
    ordered = sorted(variants, key=strictness)
    return differences(ordered[0], ordered[-1])


def strictness(made: Outline) -> int:
    """Sum of verdict ranks over all actions; an absent action counts as refer."""
    return sum(made.ranks.values()) + REFER * (len(m.ACTIONS) - len(made.ranks))


def differences(first: Outline, second: Outline) -> int:
    """How many verdicts, limits, zone, route and clocks differ."""
    return (
        _differing(first.ranks, second.ranks, REFER)
        + _differing(first.limits, second.limits)
        + (first.zone != second.zone)
        + (first.route != second.route)
        + _differing(first.clocks, second.clocks)
    )


def _differing(first: Mapping[Key, Any], second: Mapping[Key, Any], absent: Any = None) -> int:
    """How many keys have another value; a key that is not there has the value ``absent``."""
    if first == second:
        return 0
    return sum(first.get(key, absent) != second.get(key, absent) for key in {*first, *second})
