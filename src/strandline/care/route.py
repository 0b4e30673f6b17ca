"""Route, zone and cover: what the whole object has to do, and where it stands while it does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from strandline.care.book import Book
from strandline.care.parts import PartEval, reason_because
from strandline.care.resolve import Resolved
from strandline.knowledge import models as m
from strandline.things.plan import Because, Conflict, Interval

ZONES: tuple[tuple[str, Interval], ...] = (
    ("slow_dry", (50.0, 60.0)),
    ("mid_dry", (45.0, 55.0)),
    ("fast_dry", (0.0, 40.0)),
)
"""Zones by relative humidity in percent, the slower first: a tie goes to the slower."""

COVER_ORDER: tuple[str, ...] = ("conditioned_box", "loose_vented_cover")
DUTY_ROUTE: tuple[tuple[str, str], ...] = (
    ("keep_frozen", "freeze"),
    ("stay_wet", "hold_wet"),
    ("dry_actively", "dry"),
    ("dry", "dry"),
)


@dataclass(frozen=True, slots=True)
class Routed:
    """Where the object goes and why."""

    route: str
    because: tuple[Because, ...]
    zone: str | None
    cover: tuple[str, str] | None
    conflicts: tuple[Conflict, ...]


def route(
    parts: Sequence[tuple[str, PartEval]],
    resolved: Resolved,
    stopped: tuple[Because, ...],
    book: Book,
    *,
    wet_hold_barred: bool,
    drying_barred: bool,
) -> Routed:
    """Decide the route from duties; two that clash are a conflict, and so is a wet hold that the
    object's own verdict bars."""
    duties = _part_duties(parts)
    conflicts: list[Conflict] = []
    if stopped:
        chosen, because = "wait_for_conservator", stopped
    else:
        chosen, because, conflicts = _by_duty(parts, duties, book)
        if chosen == "hold_wet" and wet_hold_barred:
            wet = tuple(sorted(name for name, _ in duties["stay_wet"]))
            conflicts = [*conflicts, _barred("cf.wet_hold_barred", wet, "hold_wet", because, book)]
            chosen = "wait_for_conservator"
        elif chosen == "dry" and drying_barred:
            every = tuple(name for name, _ in parts)
            conflicts = [*conflicts, _barred("cf.drying_barred", every, "dry", because, book)]
            chosen = "wait_for_conservator"
    cover = _cover(parts, chosen)
    mouldy = any("mouldy" in evaluated.features for _, evaluated in parts)
    open_conflict = bool(resolved.open_limits) or any(conflict.state == "open" for conflict in conflicts)
    zone = _zone(chosen, bool(stopped), mouldy, open_conflict, parts, resolved)
    return Routed(chosen, because, zone, cover, tuple(conflicts))


def undecided_wet(parts: Sequence[tuple[str, PartEval]], chosen: str) -> bool:
    """Whether a body that should stay wet waits for a person: then nobody is told to dry it either."""
    return chosen == "wait_for_conservator" and any("stay_wet" in part.duties for _, part in parts)


def _part_duties(parts: Sequence[tuple[str, PartEval]]) -> dict[str, list[tuple[str, PartEval]]]:
    """Duties by key.  Within one part a duty to stay wet or frozen silences its duty to dry, because
    it is about that very body; between parts both stand and may clash."""
    found: dict[str, list[tuple[str, PartEval]]] = {}
    for name, evaluated in parts:
        held = set(evaluated.duties)
        if "keep_frozen" in held:
            held -= {"stay_wet", "dry", "dry_actively"}
        if "stay_wet" in held:
            held -= {"dry", "dry_actively"}
        for duty in held:
            found.setdefault(duty, []).append((name, evaluated))
    return found


def _by_duty(
    parts: Sequence[tuple[str, PartEval]], duties: dict[str, list[tuple[str, PartEval]]], book: Book
) -> tuple[str, tuple[Because, ...], list[Conflict]]:
    waiting = {name for name, _ in duties.get("wait", ())}
    pictures = any("picture" in evaluated.families for name, evaluated in parts if name in waiting)
    if waiting and (pictures or len(waiting) == len(parts)):
        return "wait_for_conservator", _because(duties["wait"], "wait", book), []
    if "stay_wet" in duties and ("dry" in duties or "dry_actively" in duties):
        conflict = _wet_or_dry(duties, book)
        chosen = str(conflict.result) if conflict.state == "resolved" else "wait_for_conservator"
        return chosen, conflict.because, [conflict]
    for duty, chosen in DUTY_ROUTE:
        if duty in duties:
            return chosen, _because(duties[duty], duty, book), []
    rule = next(rule for rule in book.knowledge.conflicts if rule.id == "cf.nothing_against_drying")
    names = tuple(name for name, _ in parts)
    why = Because(rule.id, rule.why, book.cites(rule), rule.confidence, (), names, "", book.mark(rule.id))
    return "dry", (why,), []


def _because(held: list[tuple[str, PartEval]], duty: str, book: Book) -> tuple[Because, ...]:
    found: dict[str, Because] = {}
    for name, evaluated in held:
        for reason in evaluated.duties[duty]:
            have = found.get(reason[0])
            names = tuple(sorted({*(have.parts if have else ()), name}))
            found[reason[0]] = reason_because(reason, names, book)
    return tuple(found[key] for key in sorted(found))


def _wet_or_dry(duties: dict[str, list[tuple[str, PartEval]]], book: Book) -> Conflict:
    """One part must stay wet and another must dry: the most specific rule speaks, else it is open."""
    wet, dry = duties["stay_wet"], duties.get("dry_actively", []) + duties.get("dry", [])
    rules = sorted((r for r in book.knowledge.conflicts if "route" in r.about), key=lambda r: (r.rank, r.id))
    for rule in rules:
        if any(_fits(rule.a, part) for _, part in wet) and any(_fits(rule.b, part) for _, part in dry):
            break
        if any(_fits(rule.b, part) for _, part in wet) and any(_fits(rule.a, part) for _, part in dry):
            break
    else:
        rule = next(r for r in book.knowledge.conflicts if r.id == "cf.no_rule")
    wet_side = "a" if any(_fits(rule.a, part) for _, part in wet) else "b"
    resolved = rule.winner != "neither" and rule.id != "cf.no_rule"
    names = tuple(sorted({name for name, _ in wet + dry}))
    facts = tuple(sorted({f"material:{part.layers[0]}" for _, part in wet + dry}))
    because = Because(
        rule.id, rule.why, book.cites(rule), rule.confidence, facts, names, "", book.mark(rule.id)
    )
    result = ("hold_wet" if rule.winner == wet_side else "dry") if resolved else None
    winners = wet if result == "hold_wet" else dry
    return Conflict(
        id=rule.id,
        about="route",
        parts=names,
        wants={**{name: "hold_wet" for name, _ in wet}, **{name: "dry" for name, _ in dry}},
        state="resolved" if resolved else "open",
        winner=winners[0][0] if resolved else None,
        result=result,
        how=rule.how,
        because=(because,),
        rule=rule.id,
    )


def _barred(
    rule_id: str, names: tuple[str, ...], duty: str, because: tuple[Because, ...], book: Book
) -> Conflict:
    """A duty that the object's own verdicts forbid: wet hold or drying."""
    rule = next(r for r in book.knowledge.conflicts if r.id == rule_id)
    facts = tuple(dict.fromkeys(fact for one in because for fact in one.facts))
    why = Because(rule.id, rule.why, book.cites(rule), rule.confidence, facts, names, "", book.mark(rule.id))
    wants = {"duty": duty, "verdict": "no"}
    return Conflict(rule.id, "route", names, wants, "open", None, None, rule.how, (why,), rule.id)


def _fits(side: m.Side, part: PartEval) -> bool:
    named = side.materials or side.families or side.features
    return bool(
        named
        and (not side.materials or set(part.layers) & set(side.materials))
        and (not side.families or part.families & set(side.families))
        and (not side.features or part.features & set(side.features))
    )


def _cover(parts: Sequence[tuple[str, PartEval]], chosen: str) -> tuple[str, str] | None:
    if chosen in {"hold_wet", "freeze"}:
        return None
    for kind in COVER_ORDER:
        for _, evaluated in parts:
            if kind in evaluated.covers:
                return kind, evaluated.covers[kind][0]
    return None


def _zone(
    chosen: str,
    stopped: bool,
    mouldy: bool,
    open_conflict: bool,
    parts: Sequence[tuple[str, PartEval]],
    resolved: Resolved,
) -> str | None:
    if stopped:
        return "hazard_hold"
    if mouldy:
        return "mould_apart"
    if chosen != "dry":
        return {"hold_wet": "wet_hold", "freeze": "cold_hold"}.get(chosen)
    if open_conflict:
        return None
    if any("conditioned_box" in evaluated.covers for _, evaluated in parts):
        return "still"
    organic = any(
        evaluated.organic or evaluated.families & {"plastic", "wax", "unknown"} for _, evaluated in parts
    )
    return zone_for(resolved.limits.get("rh_percent"), organic=organic)


def zone_for(rh_percent: Interval | None, *, organic: bool) -> str:
    """The zone with the largest overlap; a tie goes to the slower, no band to the slowest.

    A band that only says "below x" is no reason for fast drying where something organic or plastic
    is present: its lower end is then taken as 40 %.
    """
    if rh_percent is None:
        return "slow_dry"
    low, high = rh_percent
    if organic and low <= 0:
        low = min(40.0, high)
    best, best_overlap = "mid_dry", -1000.0
    for name, (zone_low, zone_high) in ZONES:
        overlap = min(high, zone_high) - max(low, zone_low)
        if overlap > best_overlap + 1e-9:
            best, best_overlap = name, overlap
    return best
