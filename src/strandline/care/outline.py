"""The same decisions as :mod:`strandline.care.core`, and nothing said about them.

Open questions are weighed by making the plan again for every answer, some dozen times per object.
What is compared then needs no reasons: verdicts are taken from sets of rules, and everything else
from *frames*, parts evaluated by the rules that are no verdicts.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from strandline.care import parts as full
from strandline.care.book import Book
from strandline.care.index import Filed
from strandline.care.match import Around
from strandline.care.parts import Own, PartEval, PartEvaluator, PartSig, asks_met, members_of
from strandline.care.resolve import Resolved, Resolver
from strandline.care.route import route
from strandline.care.steps import WATER_OFF
from strandline.knowledge import models as m
from strandline.things.plan import Because, Interval

REFER, NO = m.VERDICT_RANK["refer"], m.VERDICT_RANK["no"]
STOPPED = (Because("", "", (), "", (), ()),)
"""Stands for the reasons of a stop where only whether there is one matters."""

NamedParts = tuple[tuple[str, PartSig], ...]
Frames = tuple[tuple[str, PartEval], ...]


@dataclass(frozen=True, slots=True)
class Outline:
    """What of a plan can be compared: verdict ranks, limits, zone, route and clocks, without reasons."""

    ranks: dict[str, int]
    limits: dict[str, Interval]
    zone: str | None
    route: str
    clocks: dict[tuple[str, str], float]


@dataclass(frozen=True, slots=True)
class Light:
    """A part: the verdict rules that speak, those that ask for another part, and its frame."""

    said: int
    pending: int
    frame: PartEval


@dataclass(frozen=True, slots=True)
class Rest:
    """What of an outline does not hang on verdicts."""

    stopped: bool
    resolved: Resolved
    clocks: dict[tuple[str, str], float]


class Outliner:
    """Makes outlines; what equal frames lead to is worked out once (``size`` of each are kept)."""

    def __init__(self, evaluate: PartEvaluator, resolver: Resolver, size: int) -> None:
        self.book: Book = evaluate.book
        self.evaluate = evaluate
        self.resolver = resolver
        self.framing = self.book.index.mask(lambda filed: isinstance(filed.rule, FRAMING) or _stops(filed))
        self._part = lru_cache(maxsize=2 * size)(self._light)
        self._frame = lru_cache(maxsize=2 * size)(self._framed)
        self._merged = lru_cache(maxsize=size)(lambda members, frames: full._envelope(members, list(frames)))
        # The answers of one object's questions meet again, those of another object hardly ever.
        self._rest = lru_cache(maxsize=size // 8)(self._all_but_verdicts)
        self._route = lru_cache(maxsize=size // 8)(self._way)

    def __call__(self, parts: NamedParts, around: Around) -> Outline:
        lights = [self._part(part, around) for _, part in parts]
        frames = tuple((name, light.frame) for (name, _), light in zip(parts, lights, strict=True))
        waters = tuple(water for water in around.waters if water in self.book.limit_waters)
        rest = self._rest(frames, waters, around.released)
        ranks = self.book.speaking.ranks(self._said(lights))
        if rest.stopped:
            ranks = {action: max(rank, REFER) for action, rank in ranks.items()}
        barred = ranks.get("hold_wet") == NO
        able = any(ranks[key] != NO for key in WATER_OFF if key in ranks)
        way, zone = self._route(frames, waters, around.released, barred, not able)
        return Outline(ranks, rest.resolved.limits, zone, way, rest.clocks)

    def totals(self, sig: PartSig, around: Around) -> dict[str, int]:
        """Sum of verdict ranks of a part by itself, as each material it may be: how strict it is then."""
        speaking, met = self.book.speaking, self.evaluate.around(around)
        found = {}
        for own in self.evaluate.owns(sig, around.features):
            said = speaking.of_member(own.held & met, own.part.layers)
            found[own.part.layers[0]] = sum(speaking.ranks(said).values())
        return found

    def _light(self, sig: PartSig, around: Around) -> Light:
        speaking, met = self.book.speaking, self.evaluate.around(around)
        said = pending = 0
        frames = []
        for own in self.evaluate.owns(sig, around.features):
            held = own.held & met
            said |= speaking.of_member(held, own.part.layers)
            pending |= held & speaking.pending
            frames.append(self._frame(own, held & self.framing))
        members = members_of(sig, self.book)
        frame = frames[0] if len(frames) == 1 else self._merged(members, tuple(frames))
        return Light(said, pending, frame)

    def _framed(self, own: Own, held: int) -> PartEval:
        draft = self.evaluate.begun(own.part)
        for filed in self.book.index.each(held):
            full.take_rule(filed, None, draft, self.book)
        full.keep_clocks(draft, self.book)
        return draft.found

    def _said(self, lights: list[Light]) -> int:
        """The verdict rules that speak for the object, those that ask for another part among them."""
        said = 0
        for n, light in enumerate(lights):
            said |= light.said
            if light.pending:
                others = [other.frame for other in (*lights[:n], *lights[n + 1 :])]
                for filed in self.book.index.each(light.pending):
                    if asks_met(filed.rule.when, others):
                        said |= self.book.index.bit[filed.rule.id]
        return said

    def _all_but_verdicts(self, frames: Frames, waters: tuple[str, ...], released: tuple[str, ...]) -> Rest:
        clocks: dict[tuple[str, str], float] = {}
        for _, frame in frames:
            for key, clock in frame.clocks.items():
                clocks[key] = min(round(clock.at_h, 2), clocks.get(key, 1e9))
        return Rest(_stopped(frames, released), self.resolver(frames, waters), clocks)

    def _way(
        self,
        frames: Frames,
        waters: tuple[str, ...],
        released: tuple[str, ...],
        barred: bool,
        unable: bool,
    ) -> tuple[str, str | None]:
        """Route and zone."""
        rest = self._rest(frames, waters, released)
        found = route(
            frames,
            rest.resolved,
            STOPPED if rest.stopped else (),
            self.book,
            wet_hold_barred=barred,
            drying_barred=unable,
        )
        return found.route, found.zone


FRAMING = (m.LimitRule, m.ClockRule, m.ClockFactor, m.DutyRule, m.CoverRule)
"""Rules a frame is made of, beside the hazards that stop."""


def _stopped(frames: Frames, released: tuple[str, ...]) -> bool:
    """Whether a stop of any part holds, given the other parts."""
    return any(
        rule.hazard not in released
        and asks_met(rule.when, [other for other_name, other in frames if other_name != name])
        for name, frame in frames
        for rule, _ in frame.stops
    )


def _stops(filed: Filed) -> bool:
    return isinstance(filed.rule, m.HazardRule) and filed.rule.grade == "stop"
