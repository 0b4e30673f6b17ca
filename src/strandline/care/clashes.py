"""Clashes about an action: one part asks for what another forbids.  The strictest verdict stands; the
rule says who gives way and how the loser is helped all the same."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from strandline.care.book import Book, because_of
from strandline.care.parts import NAMES, PartEval
from strandline.care.sides import Fills
from strandline.things.plan import ActionVerdict, Conflict

Parts = Sequence[tuple[str, PartEval]]


def action_conflicts(
    parts: Parts,
    actions: Mapping[str, ActionVerdict],
    waters: tuple[str, ...],
    known: frozenset[str],
    book: Book,
) -> tuple[Conflict, ...]:
    """One entry per rule whose two sides are both there; rules in ``known`` are already told."""
    found = []
    fills = [_fills(part, waters, book) for _, part in parts]
    either = _any(a for a, _ in fills) & _any(b for _, b in fills)
    for bit, rule in book.sides.each(either & book.action_rules):
        if rule.id in known:
            continue
        pair = _pair(bit, rule.same_part or bool(bit & book.sides.only_water), parts, fills)
        named = [about.removeprefix("action:") for about in rule.about if about.startswith("action:")]
        action = next((one for one in named if one in actions), None)
        if pair is None or action is None:
            continue
        a, b = pair
        wants = {name: _want(part, action) for name, part in {a[0]: a[1], b[0]: b[1]}.items()}
        if a[0] != b[0] and len(set(wants.values())) < 2:
            continue
        names = tuple(sorted(wants))
        facts = tuple(sorted({f"material:{part.layers[0]}" for _, part in pair}))
        because = because_of(rule, facts, names, book)
        winner = {"a": a[0], "b": b[0]}.get(rule.winner)
        found.append(
            Conflict(
                rule.id, f"action:{action}", names, wants, "resolved", winner, actions[action].verdict,
                rule.how, (because,), rule.id,
            )
        )  # fmt: skip
    return tuple(found)


Named = tuple[str, PartEval]


def _pair(bit: int, same_part: bool, parts: Parts, fills: list[Fills]) -> tuple[Named, Named] | None:
    """The first parts that fill the two sides; a side that names only water is filled by any part."""
    for first, (fills_a, _) in zip(parts, fills, strict=True):
        if not fills_a & bit:
            continue
        for second, (_, fills_b) in zip(parts, fills, strict=True):
            if (first[0] == second[0]) == same_part and fills_b & bit:
                return first, second
    return None


def _fills(part: PartEval, waters: tuple[str, ...], book: Book) -> Fills:
    return book.sides.filled(part.layers, part.families, part.features, waters)


def _any(sets: Iterable[int]) -> int:
    found = 0
    for one in sets:
        found |= one
    return found


def _want(part: PartEval, action: str) -> str:
    rank = part.ranks.get(action)
    return "refer" if rank is None else NAMES[rank]
