"""Facts in, plan out.  No clock, no database: the hour is an argument."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache

from strandline.care import clocks as running
from strandline.care.assumed import assumed
from strandline.care.book import Book
from strandline.care.core import Core, Outline, core, outline
from strandline.care.parts import PartEvaluator
from strandline.care.resolve import Resolver
from strandline.care.signature import Signature, signature
from strandline.knowledge.base import Knowledge
from strandline.things.facts import Facts
from strandline.things.plan import Assumed, Holding, Plan


class Engine:
    """Makes plans from one Knowledge.  Equal objects are worked out once (``size`` kinds are kept)."""

    def __init__(self, knowledge: Knowledge, size: int = 2048) -> None:
        self.book = Book.of(knowledge)
        self.evaluate = PartEvaluator(self.book, 2 * size)
        self.resolver = Resolver(self.book, size)
        self.core = lru_cache(maxsize=size)(self._core)
        self.outline = lru_cache(maxsize=4 * size)(self._outline)
        self._assumed = lru_cache(maxsize=size)(self._open_questions)

    def _core(self, sig: Signature) -> Core:
        return core(sig, self.evaluate, self.resolver, self.book)

    def _outline(self, sig: Signature) -> Outline:
        return outline(sig, self.evaluate, self.resolver, self.book)

    def _open_questions(self, sig: Signature, names: tuple[tuple[str, str], ...]) -> tuple[Assumed, ...]:
        return assumed(sig, self.core(sig), dict(names), self.outline, self.evaluate, self.book)

    def signature(self, facts: Facts) -> Signature:
        """What of the facts decides the plan."""
        return signature(facts, self.book)

    def plan(self, facts: Facts, as_of: datetime) -> Plan:
        """The plan of one object at ``as_of`` (aware, UTC)."""
        sig = self.signature(facts)
        made = self.core(sig)
        names = tuple((part.id, part.name or part.span) for part in facts.parts)
        since = running.elapsed({"wetted": facts.wet_since, "emerged": facts.out_since}, as_of)
        clocks = running.anchored(made.clocks, since)
        first = running.first(clocks)
        left, until, lost = running.holds_until(clocks, as_of)
        return Plan(
            parts=made.parts,
            hazards=made.hazards,
            actions=made.actions,
            route=made.routed.route,
            route_because=made.routed.because,
            zone=made.routed.zone,
            cover=made.routed.cover,
            limits=made.resolved.limits,
            limits_because=made.resolved.because,
            clocks=clocks,
            start_by=first,
            holding=Holding(made.hold, left, until, lost, made.hold_rules),
            steps=made.steps,
            conflicts=(*made.resolved.conflicts, *made.routed.conflicts, *made.clashes),
            disagreements=made.disagreements,
            assumed=self._assumed(sig, names),
            hours_left=first.left_h if first else None,
        )

    def fresh(self) -> Engine:
        """An engine with the same knowledge and an empty memory (for measuring)."""
        return Engine(self.book.knowledge)
