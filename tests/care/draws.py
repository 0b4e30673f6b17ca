"""Random objects drawn from the whole knowledge, and random facts to add to them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

from strandline.care.book import Book
from strandline.knowledge import models as m
from strandline.knowledge.base import Knowledge
from strandline.things.facts import Facts, Join, Part

Adder = Callable[[Facts], Facts]


def a_part(rng: Random, knowledge: Knowledge, part_id: str) -> Part:
    """A part of any material or of an unknown one, with up to two features."""
    if rng.random() < 0.15:
        family = rng.choice([key for key, one in knowledge.families.items() if key != "unknown"])
        material = f"{family}_unknown"
    else:
        material = rng.choice(sorted(knowledge.materials))
        family = knowledge.materials[material].family
    features = tuple(sorted(set(rng.sample(sorted(knowledge.features), rng.randint(0, 2)))))
    stated = rng.random() < 0.5
    return Part(part_id, "", material, family, features=features, surface="stated" if stated else "silent")


def an_object(rng: Random, knowledge: Knowledge) -> Facts:
    """An object of one to four parts in any water and state."""
    parts = tuple(a_part(rng, knowledge, f"p{n}") for n in range(1, rng.randint(2, 5)))
    joins = ()
    if len(parts) > 1 and rng.random() < 0.6:
        joins = (Join("j1", rng.choice(m.JOIN_KINDS), (parts[0].id, parts[1].id)),)
    return Facts(
        "0001",
        2,
        parts=parts,
        joins=joins,
        features=tuple(sorted(rng.sample(sorted(knowledge.features), rng.randint(0, 1)))),
        water=tuple(sorted(rng.sample(m.WATERS, rng.randint(1, 2)))),
        wet_state=rng.choice((*m.WET_STATES, "unknown")),
        done_already=tuple(sorted(rng.sample(m.DONE_ALREADY, rng.randint(0, 1)))),
        mass_g=rng.choice((None, 300.0, 9000.0, 30000.0)),
        length_mm=rng.choice((None, 100.0, 2000.0)),
        air_c=rng.choice((None, 9.0, 25.0)),
    )


def an_addition(rng: Random, facts: Facts, book: Book) -> tuple[str, Facts]:
    """The same object with one more fact, and what was added.

    Answering what a silent surface is, or naming an unknown, is no addition: that is refining.
    """
    knowledge = book.knowledge
    kind = rng.choice(("part", "feature", "object feature", "join", "water", "done"))
    if kind == "part":
        new = a_part(rng, knowledge, f"p{len(facts.parts) + 1}")
        return f"part {new.material} {new.features}", replace(facts, parts=(*facts.parts, new))
    if kind in {"feature", "object feature"}:
        key = rng.choice([key for key in sorted(knowledge.features) if not _answers_surface(key, knowledge)])
        if kind == "object feature":
            features = tuple(sorted({*facts.features, key}))
            return f"object feature {key}", replace(facts, features=features)
        index = rng.randrange(len(facts.parts))
        part = facts.parts[index]
        changed = replace(part, features=tuple(sorted({*part.features, key})))
        parts = (*facts.parts[:index], changed, *facts.parts[index + 1 :])
        return f"feature {key} on {part.id}", replace(facts, parts=parts)
    if kind == "join" and len(facts.parts) > 1:
        join = Join("j9", rng.choice(m.JOIN_KINDS), (facts.parts[0].id, facts.parts[-1].id))
        return f"join {join.kind}", replace(facts, joins=(*facts.joins, join))
    if kind == "done":
        key = rng.choice(m.DONE_ALREADY)
        return f"done {key}", replace(facts, done_already=tuple(sorted({*facts.done_already, key})))
    key = rng.choice(m.WATERS)
    return f"water {key}", replace(facts, water=tuple(sorted({*facts.water, key})))


def _answers_surface(key: str, knowledge: Knowledge) -> bool:
    """Whether a feature tells what a surface is, so that a silent part is refined by it."""
    return knowledge.features[key].surface or bool(knowledge.features[key].adds)
