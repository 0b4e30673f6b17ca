"""What a plan takes for granted, and which single answer would change it most.

Each open question is answered both ways and the plan made again; ``changes`` counts the verdicts,
limits, zone, route and clocks that differ between the mildest and the strictest admissible answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from strandline.care.book import Book
from strandline.care.core import Core, Outline
from strandline.care.parts import PartEvaluator, PartSig, members_of
from strandline.care.signature import Signature
from strandline.knowledge import models as m
from strandline.things.plan import Assumed

Make = Callable[[Signature], Outline]
RANK = m.VERDICT_RANK

SURFACE_ANSWERS: dict[str, str] = {"bare": "bare", "paint": "painted", "gilding": "gilded"}
WATER_ANSWERS: dict[str, tuple[str, ...]] = {
    "tap": ("clean",),
    "river": ("river",),
    "salt, drains up": ("brackish", "sewage"),
}
STATE_ANSWERS: tuple[str, ...] = ("under_water", "splashed", "damp_air_only", "dry_with_mud")


def assumed(
    sig: Signature, made: Core, names: dict[str, str], make: Make, evaluate: PartEvaluator, book: Book
) -> tuple[Assumed, ...]:
    """Open questions of a signature, the most telling first.  ``names``: part id -> what to call it."""
    found: list[Assumed] = []
    for index, (part_id, part) in enumerate(sig.parts):
        call = names.get(part_id, part_id)
        found += _material(sig, index, part, part_id, call, make, evaluate, book)
        if dict(made.evals)[part_id].surface in {"no", "look"}:
            found.append(_surface(sig, index, part, part_id, call, make))
    found += _object(sig, made, make, book)
    return tuple(sorted(found, key=lambda one: (-one.changes, one.fact)))


def _material(
    sig: Signature,
    index: int,
    part: PartSig,
    part_id: str,
    call: str,
    make: Make,
    evaluate: PartEvaluator,
    book: Book,
) -> list[Assumed]:
    members = members_of(part, book)
    if len(members) < 2:
        return []
    single = {key: _as_member(part, key, book) for key in members}
    totals = {key: (evaluate(one, sig.around).total(), key) for key, one in single.items()}
    mildest, strictest = min(totals, key=totals.__getitem__), max(totals, key=totals.__getitem__)
    variants = [make(_with_part(sig, index, single[key])) for key in (mildest, strictest)]
    ask = book.knowledge.families[part.family].ask
    looks = next(
        (look for look in book.knowledge.lookalikes if set(members) == {*look.could_be}), None
    )
    if looks is not None:
        ask = looks.observe
    answers = tuple(book.knowledge.materials[key].say for key in (mildest, strictest))
    return [
        Assumed(
            f"material:{part_id}", part.material, f"{call}: {ask}" if call else ask,
            (*answers, "something else", "not sure"), differences(*variants),
        )
    ]  # fmt: skip


def _as_member(part: PartSig, key: str, book: Book) -> PartSig:
    return replace(part, material=key, family=book.knowledge.materials[key].family, could_be=())


def _surface(sig: Signature, index: int, part: PartSig, part_id: str, call: str, make: Make) -> Assumed:
    variants = []
    for feature in SURFACE_ANSWERS.values():
        seen = replace(part, features=tuple(sorted({*part.features, feature})), silent=False)
        variants.append(make(_with_part(sig, index, seen)))
    ask = f"{call}: is there paint, gilding, polish or print on it anywhere?"
    return Assumed(
        f"surface:{part_id}", "unknown", ask, (*SURFACE_ANSWERS, "not sure"), _extremes(variants)
    )


def _object(sig: Signature, made: Core, make: Make, book: Book) -> list[Assumed]:
    found: list[Assumed] = []
    around = sig.around
    origins = [clock.origin for clock in made.clocks]
    for name in sig.unknowns:
        if name == "mass_g":
            variants = [
                make(replace(sig, around=replace(around, mass_known=known, mass_over_g=over)))
                for known, over in ((True, 0.0), (True, 1e9), (False, 0.0))
            ]
            ask = "How heavy is it now, and does water or mud stand inside?"
            found.append(
                Assumed(name, None, ask, ("a weight", "empty", "water", "mud", "not sure"), _extremes(variants))
            )
        elif name == "water":
            variants = [
                make(replace(sig, around=replace(around, waters=waters))) for waters in WATER_ANSWERS.values()
            ]
            found.append(
                Assumed(
                    name, list(around.waters), "Was it salt?", (*WATER_ANSWERS, "not sure"), _extremes(variants)
                )
            )
        elif name == "wet_state":
            variants = [make(replace(sig, around=replace(around, wet_state=book.state(state)))) for state in STATE_ANSWERS]
            ask = "How did it arrive: under water, splashed, damp, or dried with mud on?"
            found.append(Assumed(name, None, ask, (*STATE_ANSWERS, "not sure"), _extremes(variants)))
        else:
            found.append(_plain(name, origins))
    return found


PLAIN: dict[str, tuple[Any, str, tuple[str, ...], str]] = {
    "wet_since": (None, "When did the water reach it?", ("a time", "not sure"), "wetted"),
    "out_since": (None, "When was it out of the water?", ("a time", "not sure"), "emerged"),
    "under_water_h": (None, "How long was it under water?", ("hours", "not sure"), ""),
    "significance": (3, "How much does it matter, 1 to 5?", ("1 to 5", "not sure"), ""),
    "thickness": (None, "How thick is it, in mm?", ("mm", "not sure"), ""),
}


def _plain(name: str, origins: list[str]) -> Assumed:
    """Questions that change no verdict; a time changes how much is left of every clock it starts."""
    value, ask, answers, origin = PLAIN[name.split(":")[0]]
    return Assumed(name, value, ask, answers, sum(1 for one in origins if one == origin))


def _with_part(sig: Signature, index: int, part: PartSig) -> Signature:
    parts = list(sig.parts)
    parts[index] = (parts[index][0], part)
    return replace(sig, parts=tuple(parts))


def _extremes(variants: list[Outline]) -> int:
    ordered = sorted(variants, key=strictness)
    return differences(ordered[0], ordered[-1])


def strictness(made: Outline) -> int:
    """Sum of verdict ranks over all actions; an absent action counts as refer."""
    return sum(made.ranks.get(action, RANK["refer"]) for action in m.ACTIONS)


def differences(first: Outline, second: Outline) -> int:
    """How many verdicts, limits, zone, route and clocks differ."""
    refer = RANK["refer"]
    count = sum(first.ranks.get(a, refer) != second.ranks.get(a, refer) for a in m.ACTIONS)
    count += sum(
        first.limits.get(key) != second.limits.get(key) for key in {*first.limits, *second.limits}
    )
    count += first.zone != second.zone
    count += first.route != second.route
    count += sum(first.clocks.get(key) != second.clocks.get(key) for key in {*first.clocks, *second.clocks})
    return count
