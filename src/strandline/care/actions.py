"""Verdicts of a whole object: the strictest over its parts, with every harm that was named."""

from __future__ import annotations

from collections.abc import Sequence

from strandline.care.book import Book, because_of
from strandline.care.parts import NAMES, RANK, Hit, PartEval
from strandline.knowledge import models as m
from strandline.things.facts import Join
from strandline.things.plan import ActionVerdict, Because, Provisional

LOCAL_ACTIONS: tuple[str, ...] = ("rinse", "brush_wet", "blot")
"""Work that can be done on one part and kept off the next; everything else is the whole object's.
Only the blot is a helper's; water and brush beside a part that bears neither are the conservator's."""

BOUND_JOINS = frozenset({"embedded", "inlaid", "veneered", "glued", "plated", "cemented", "sewn", "strung"})
"""Joins that leave no hand's width between the parts: no milder local verdict across them."""

STOP_HOW = "Do not touch or move it. Keep away until release is recorded."


def whole(
    parts: Sequence[tuple[str, PartEval]], book: Book, stop: tuple[Because, ...]
) -> dict[str, ActionVerdict]:
    """Verdicts by action, in the order papers print them.  Under a stop none is milder than refer."""
    found: dict[str, ActionVerdict] = {}
    for action in m.ACTIONS:
        held = [(name, hit) for name, part in parts for hit in part.hits.get(action, ())]
        if not held:
            continue
        rank = max(part.ranks[action] for _, part in parts if action in part.ranks)
        verdict = book.once(_verdict)(tuple(held), rank)
        if stop:
            rank = max(rank, RANK["refer"])
            verdict = ActionVerdict(NAMES[rank], STOP_HOW, (*stop, *verdict.because), verdict.also, None)
        found[action] = verdict
    return found


def of_part(name: str, part: PartEval, action: str, book: Book) -> ActionVerdict:
    """The verdict of one part by itself."""
    verdict: ActionVerdict = book.once(_verdict)(
        tuple((name, hit) for hit in part.hits[action]), part.ranks[action]
    )
    return verdict


def locals_of(
    name: str,
    part: PartEval,
    parts: Sequence[tuple[str, PartEval]],
    joins: Sequence[Join],
    actions: dict[str, ActionVerdict],
    book: Book,
    stopped: bool,
) -> dict[str, ActionVerdict]:
    """Milder verdicts a part may carry for work that stays on it."""
    bound = any(name in join.parts and join.kind in BOUND_JOINS for join in joins)
    if stopped or bound or len(parts) < 2:
        return {}
    found = {}
    for action in LOCAL_ACTIONS:
        rank = part.ranks.get(action)
        if rank is not None and rank <= RANK["careful"] and rank < RANK[actions[action].verdict]:
            found[action] = of_part(name, part, action, book)
    return found


def _verdict(held: tuple[tuple[str, Hit], ...], rank: int, book: Book) -> ActionVerdict:
    by_rule: dict[str, tuple[Hit, list[str]]] = {}
    for name, hit in held:
        first, names = by_rule.setdefault(hit.rule.id, (hit, []))
        if name not in names:
            names.append(name)
        if first.set_aside and not hit.set_aside:
            by_rule[hit.rule.id] = (hit, names)
    ordered = sorted(
        by_rule.values(), key=lambda one: (one[0].set_aside, -one[0].rank, one[0].priority, one[0].rule.id)
    )
    because = tuple(
        because_of(
            hit.rule,
            hit.facts,
            tuple(names),
            book,
            confidence=hit.confidence,
            verdict=f"{hit.rule.verdict}, set aside" if hit.set_aside else hit.rule.verdict,
        )
        for hit, names in ordered
        if hit.rank > 0 or rank == 0
    )
    hows = [hit.rule.how for hit, _ in ordered if hit.rank == rank and not hit.set_aside and hit.rule.how]
    distinct = list(dict.fromkeys(hows))
    return ActionVerdict(
        NAMES[rank],
        distinct[0] if distinct else None,
        because,
        tuple(distinct[1:]),
        _provisional(held, rank),
    )


def _provisional(held: tuple[tuple[str, Hit], ...], rank: int) -> Provisional | None:
    """A ``no`` that rests on an unseen surface alone opens to what the rest allows."""
    if NAMES[rank] != "no":
        return None
    asking = [hit for _, hit in held if hit.rank == rank and not hit.set_aside]
    if not asking or not all(hit.rule.ask for hit in asking):
        return None
    then = max((hit.rank for _, hit in held if not hit.rule.ask and not hit.set_aside), default=RANK["refer"])
    first = min(asking, key=lambda hit: hit.rule.id).rule
    return Provisional(first.ask, first.answer, NAMES[then])
