"""Limits of a whole object: the intersection of what its parts want, or a named conflict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from operator import itemgetter

from strandline.care.book import LIMITS, Book, because_of, made_because
from strandline.care.brought import PartWant
from strandline.care.parts import Asked, PartEval
from strandline.care.sides import Fills
from strandline.knowledge import models as m
from strandline.things.plan import Because, Conflict, Interval

FINISH_RULE = "cf.finish_over_body"
ENVELOPE_RULE = "cf.envelope"


@dataclass(frozen=True, slots=True)
class Resolved:
    """The limits with their reasons, and every conflict met on the way."""

    limits: dict[str, Interval]
    because: dict[str, tuple[Because, ...]]
    conflicts: tuple[Conflict, ...]
    open_limits: tuple[str, ...]
    local_air: tuple[tuple[str, str], ...]


def resolve(parts: Sequence[tuple[str, PartEval]], book: Book, waters: tuple[str, ...]) -> Resolved:
    """Intersect every limit over all parts; settle empty intersections by conflict rules."""
    limits: dict[str, Interval] = {}
    because: dict[str, tuple[Because, ...]] = {}
    conflicts: list[Conflict] = []
    open_limits: list[str] = []
    local_air: list[tuple[str, str]] = []
    for limit in LIMITS:
        wants, inside = _wants(parts, limit, book)
        if not wants:
            continue
        kept, found, air = _settle(limit, wants, book, waters)
        found = [*inside, *found]
        conflicts += found
        local_air += air
        if any(conflict.state == "open" for conflict in found):
            open_limits.append(limit)
            continue
        low, high = intersect([held.want.interval for held in kept])
        limits[limit] = (low, high)
        because[limit] = _reasons(kept, found, book)
    return Resolved(limits, because, tuple(conflicts), tuple(open_limits), tuple(sorted(set(local_air))))


class Resolver:
    """Resolves limits; parts that ask for the very same intervals are resolved once.

    Of waters and features only those count that a conflict of limits asks about.
    """

    def __init__(self, book: Book, size: int) -> None:
        self.book = book
        self.size = size
        self.held: dict[object, tuple[object, Resolved]] = {}

    def __call__(self, parts: Sequence[tuple[str, PartEval]], waters: tuple[str, ...]) -> Resolved:
        waters = tuple(water for water in waters if water in self.book.limit_waters)
        features = self.book.limit_features
        key = (
            waters,
            tuple(
                (name, id(part.wants), len(part.members) > 1, part.features & features)
                for name, part in parts
            ),
        )
        have = self.held.get(key)
        if have is None:
            if len(self.held) > self.size:
                self.held.clear()
            # The lists are kept beside the result, so that their ids stay theirs.
            wants = [part.wants for _, part in parts]
            have = self.held[key] = (wants, resolve(parts, self.book, waters))
        return have[1]


def intersect(intervals: Sequence[Interval]) -> Interval:
    """The common part of intervals that all meet."""
    return max(low for low, _ in intervals), min(high for _, high in intervals)


def part_limits(evaluated: PartEval) -> dict[str, Interval]:
    """What one part by itself asks for; where its layers clash, the slower (damper, cooler) layer."""
    found: dict[str, Interval] = {}
    for limit in LIMITS:
        intervals = [want.interval for want in evaluated.wants if want.limit == limit]
        if intervals:
            low, high = intersect(intervals)
            found[limit] = (low, high) if low <= high else max(intervals)
    return found


def _wants(
    parts: Sequence[tuple[str, PartEval]], limit: str, book: Book
) -> tuple[list[PartWant], list[Conflict]]:
    """Every part's wants; a part that may be several things is settled by itself first."""
    found: list[tuple[str, tuple[PartWant, ...]]] = []
    conflicts: list[Conflict] = []
    for name, evaluated in parts:
        asked = evaluated.asked.get((name, limit))
        if asked is None:
            asked = evaluated.asked[name, limit] = _asked(name, evaluated, limit, book)
        found.append((name, asked[0]))
        conflicts += asked[1]
    found.sort(key=itemgetter(0))
    return [held for _, wants in found for held in wants], conflicts


def _asked(name: str, evaluated: PartEval, limit: str, book: Book) -> Asked:
    """What a part wants of one limit: all of it, or where it may be several things what they settle on."""
    several = len(evaluated.members) > 1
    features = evaluated.features & book.limit_features
    wants = [
        PartWant(name, f"{name}.{want.layer}" if several or want.added else name, want, features)
        for want in evaluated.wants
        if want.limit == limit
    ]
    kept, lost = _gentlest(wants) if several and wants else (wants, [])
    conflicts = (_envelope_conflict(limit, kept[0], lost, book),) if lost else ()
    return tuple(sorted(kept, key=lambda held: held.want.rule)), conflicts


def _gentlest(wants: list[PartWant]) -> tuple[list[PartWant], list[PartWant]]:
    """The bands of everything a part may be, from the gentlest on: what still meets is kept, the rest
    loses to the gentlest."""
    kept: list[PartWant] = []
    lost: list[PartWant] = []
    low, high = -1e9, 1e9
    for held in sorted(
        wants, key=lambda held: (-held.want.interval[0], -held.want.interval[1], held.want.rule)
    ):
        now = max(low, held.want.interval[0]), min(high, held.want.interval[1])
        if now[0] <= now[1]:
            low, high = now
            kept.append(held)
        else:
            lost.append(held)
    # Two bands decide: the one with the highest floor and the one with the lowest ceiling.
    ceiling = min(kept, key=lambda held: held.want.interval[1])
    return (kept[:1] if ceiling is kept[0] else [kept[0], ceiling]), lost


def _envelope_conflict(limit: str, winner: PartWant, lost: list[PartWant], book: Book) -> Conflict:
    """The one conflict in which everything else a part may be loses to the gentlest."""
    conflict = _conflict(limit, book.conflict_rules[ENVELOPE_RULE], winner, lost[0], book, resolved=True)
    return replace(conflict, wants={held.label: held.want.interval for held in (winner, *lost)})


def _settle(
    limit: str, wants: list[PartWant], book: Book, waters: tuple[str, ...]
) -> tuple[list[PartWant], list[Conflict], list[tuple[str, str]]]:
    """Drop the loser of every clashing pair, the most specific rule first.

    Intervals on a line that meet pairwise have a common part, so pairs are enough.
    """
    kept = list(wants)
    found: dict[tuple[str, ...], Conflict] = {}
    local_air: list[tuple[str, str]] = []
    while True:
        low, high = intersect([held.want.interval for held in kept])
        if low <= high:
            return kept, list(found.values()), local_air
        judged = [
            _judge(limit, first, second, book, waters)
            for first, second in combinations(kept, 2)
            if max(first.want.interval[0], second.want.interval[0])
            > min(first.want.interval[1], second.want.interval[1])
        ]
        rank, rule, winner, loser, air = min(judged, key=lambda one: (one[0], one[1].id, one[2].label))
        settled = rule.winner != "neither" and rank < UNRULED
        conflict = _conflict(limit, rule, winner, loser, book, resolved=settled)
        found.setdefault((conflict.id, *conflict.parts, *sorted(conflict.wants)), conflict)
        if air:
            local_air.append((air, rule.id))
        if not settled:
            return kept, list(found.values()), local_air
        kept.remove(loser)


UNRULED = 10_000
Judged = tuple[int, m.ConflictRule, PartWant, PartWant, str]


def _judge(limit: str, first: PartWant, second: PartWant, book: Book, waters: tuple[str, ...]) -> Judged:
    """Which conflict rule speaks about this pair, who wins, and whose metal gets local air."""
    same = first.part == second.part
    best: Judged | None = None
    pair = (first, _fills(first, book, waters)), (second, _fills(second, book, waters))
    speaking = book.limit_rules[limit, same] & _either_way(pair[0][1], pair[1][1])
    for bit, rule in book.sides.each(speaking):
        for (a, fills_a), (b, fills_b) in (pair, pair[::-1]):
            if not fills_a[0] & fills_b[1] & bit:
                continue
            winner, loser = (b, a) if rule.winner == "b" else (a, b)
            air = {"a": a.part, "b": b.part}.get(rule.local_air_on or "", "")
            judged = (rule.rank + 2, rule, winner, loser, air)
            if best is None or (judged[0], judged[1].id, winner.label) < (best[0], best[1].id, best[2].label):
                best = judged
    if best is not None:
        return best
    if same and first.want.added != second.want.added:
        winner, loser = (first, second) if first.want.added else (second, first)
        return 5_000, book.conflict_rules[FINISH_RULE], winner, loser, ""
    winner, loser = sorted((first, second), key=lambda held: held.want.interval, reverse=True)
    return UNRULED, book.conflict_rules["cf.no_rule"], winner, loser, ""


def _fills(held: PartWant, book: Book, waters: tuple[str, ...]) -> Fills:
    want = held.want
    return book.sides.filled((want.layer,), frozenset((want.family,)), held.features, waters)


def _either_way(first: Fills, second: Fills) -> int:
    """The rules of which one fills side a and the other side b."""
    return first[0] & second[1] | first[1] & second[0]


def _conflict(
    limit: str, rule: m.ConflictRule, winner: PartWant, loser: PartWant, book: Book, *, resolved: bool
) -> Conflict:
    parts = tuple(dict.fromkeys(sorted((winner.part, loser.part))))
    facts = tuple(dict.fromkeys((*winner.want.facts, *loser.want.facts)))
    because = because_of(rule, facts, parts, book)
    return Conflict(
        id=rule.id,
        about=f"limit:{limit}",
        parts=parts,
        wants={winner.label: winner.want.interval, loser.label: loser.want.interval},
        state="resolved" if resolved else "open",
        winner=winner.part if resolved else None,
        result=winner.want.interval if resolved else None,
        how=rule.how,
        because=(because,),
        rule=rule.id,
    )


def _reasons(kept: list[PartWant], conflicts: list[Conflict], book: Book) -> tuple[Because, ...]:
    """Conflicts first, then every want that still binds, each rule once with all its parts."""
    found: dict[str, Because] = {}
    for conflict in conflicts:
        found.setdefault(conflict.id, conflict.because[0])
    for held in kept:
        want = held.want
        have = found.get(want.rule)
        parts = tuple(sorted({*(have.parts if have else ()), held.part}))
        found[want.rule] = made_because(
            want.rule, want.why, want.source, want.confidence, want.facts, parts, "", book
        )
    return tuple(found.values())
