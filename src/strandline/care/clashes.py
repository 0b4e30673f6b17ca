"""Clashes about an action: one part asks for what another forbids.  The strictest verdict stands; the
rule says who gives way and how the loser is helped all the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from strandline.care.book import Book, cites
from strandline.care.parts import NAMES, PartEval
from strandline.knowledge import models as m
from strandline.things.plan import ActionVerdict, Because, Conflict

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
    for rule in book.knowledge.conflicts:
        named = [about.removeprefix("action:") for about in rule.about if about.startswith("action:")]
        if not named or rule.id in known:
            continue
        pair = _pair(rule, parts, waters)
        action = next((one for one in named if one in actions), None)
        if pair is None or action is None:
            continue
        a, b = pair
        wants = {name: _want(part, action) for name, part in {a[0]: a[1], b[0]: b[1]}.items()}
        if a[0] != b[0] and len(set(wants.values())) < 2:
            continue
        names = tuple(sorted(wants))
        facts = tuple(sorted({f"material:{part.layers[0]}" for _, part in pair}))
        because = Because(
            rule.id, rule.why, cites(rule.source), rule.confidence, facts, names, "", book.mark(rule.id)
        )
        winner = {"a": a[0], "b": b[0]}.get(rule.winner)
        found.append(
            Conflict(
                rule.id, f"action:{action}", names, wants, "resolved", winner, actions[action].verdict,
                rule.how, (because,), rule.id,
            )
        )  # fmt: skip
    return tuple(found)


Named = tuple[str, PartEval]


def _pair(rule: m.ConflictRule, parts: Parts, waters: tuple[str, ...]) -> tuple[Named, Named] | None:
    """The first parts that fill the two sides; a side that names only water is filled by any part."""
    for first in parts:
        if not _fills(rule.a, first[1], waters):
            continue
        for second in parts:
            same = first[0] == second[0]
            only_water = _only_water(rule.a) or _only_water(rule.b)
            if same != (rule.same_part or only_water):
                continue
            if _fills(rule.b, second[1], waters):
                return first, second
    return None


def _only_water(side: m.Side) -> bool:
    return bool(side.waters) and not (side.materials or side.families or side.features)


def _fills(side: m.Side, part: PartEval, waters: tuple[str, ...]) -> bool:
    if side == m.Side():
        return False
    return bool(
        (not side.materials or set(part.layers) & set(side.materials))
        and (not side.families or part.families & set(side.families))
        and (not side.features or part.features & set(side.features))
        and (not side.waters or set(waters) & set(side.waters))
    )


def _want(part: PartEval, action: str) -> str:
    rank = part.ranks.get(action)
    return "refer" if rank is None else NAMES[rank]
