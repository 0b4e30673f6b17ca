"""Facts in, plan out.  No clock, no database: the hour is an argument."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from functools import lru_cache

from strandline.care import clocks as running
from strandline.care.assumed import Question, named, questions
from strandline.care.book import Book
from strandline.care.core import Core, core
from strandline.care.outline import Outline, Outliner
from strandline.care.parts import PartEvaluator
from strandline.care.resolve import Resolver
from strandline.care.signature import Signature, signature
from strandline.knowledge.base import Knowledge
from strandline.things.facts import Facts
from strandline.things.plan import Assumed, Holding, Plan, Step


class Engine:
    """Makes plans from one Knowledge.  Equal objects are worked out once (``size`` kinds are kept)."""

    def __init__(self, knowledge: Knowledge, size: int = 2048) -> None:
        self.book = Book.of(knowledge, 8 * size)
        self.evaluate = PartEvaluator(self.book, 2 * size)
        self.resolver = Resolver(self.book, size)
        self.core = lru_cache(maxsize=size)(self._core)
        self.outliner = Outliner(self.evaluate, self.resolver, size)
        self.short = lru_cache(maxsize=size // 8)(self.outliner)
        self._questions = lru_cache(maxsize=size)(self._open_questions)
        self._steps = lru_cache(maxsize=size)(self._named_steps)
        self._assumed = lru_cache(maxsize=size)(self._named_questions)

    def _core(self, sig: Signature) -> Core:
        return core(sig, self.evaluate, self.resolver, self.book)

    def _open_questions(self, sig: Signature) -> tuple[Question, ...]:
        return questions(sig, self.core(sig), self.short, self.outliner.totals, self.book)

    def outline(self, sig: Signature) -> Outline:
        """What of the plan can be compared."""
        return self.short(sig.parts, sig.around)

    def _named_questions(self, sig: Signature, names: tuple[tuple[str, str], ...]) -> tuple[Assumed, ...]:
        return named(self._questions(sig), dict(names))

    def _named_steps(self, sig: Signature, names: tuple[tuple[str, str], ...]) -> tuple[Step, ...]:
        """Steps that are for one part only say which part."""
        steps = self.core(sig).steps
        if not any(step.verdict_of or step.kind == "local_air" for step in steps):
            return steps
        call = dict(names)
        return tuple(_for_part(step, call) for step in steps)

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
            steps=self._steps(sig, names),
            conflicts=(*made.resolved.conflicts, *made.routed.conflicts, *made.clashes),
            disagreements=made.disagreements,
            assumed=self._assumed(sig, names),
            hours_left=first.left_h if first else None,
        )

    def fresh(self) -> Engine:
        """An engine with the same knowledge and an empty memory (for measuring)."""
        return Engine(self.book.knowledge)


def _for_part(step: Step, call: Mapping[str, str]) -> Step:
    """The step with the name of the one part it is for, if it is for one only."""
    only = [step.verdict_of] if step.verdict_of else list(step.parts) if step.kind == "local_air" else []
    named = ", ".join(call[part] for part in only if call.get(part))
    return replace(step, text=f"Only the {named}: {step.text[:1].lower()}{step.text[1:]}") if named else step
