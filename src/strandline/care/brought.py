"""What the entries of its materials say about a part, before any rule speaks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from strandline.care.book import Book, Cites
from strandline.knowledge import models as m
from strandline.things.plan import Interval

Reason = tuple[str, str, Cites, str, tuple[str, ...]]
"""A stored reason: rule, why, sources, confidence and facts."""


@dataclass(frozen=True, slots=True)
class Want:
    """One interval a layer of a part asks for; ``added``: it is not the body that asks."""

    limit: str
    interval: Interval
    layer: str
    family: str
    rule: str
    why: str
    source: Cites
    confidence: str
    facts: tuple[str, ...]
    added: bool


@dataclass(frozen=True, slots=True)
class PartWant:
    """A want with the part it comes from; ``label`` tells layers of one part apart.

    ``features``: those of the part that conflicts of limits ask about.
    """

    part: str
    label: str
    want: Want
    features: frozenset[str]


@dataclass(frozen=True, slots=True)
class PartClock:
    """A clock of a part: hours after an origin, already shortened by what shortens it."""

    key: str
    origin: str
    at_h: float
    aim_h: float | None
    shape: str
    lost_after: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Brought:
    """What layers bring: wants, clocks, duties with their reasons, and covers with why and rule."""

    wants: list[Want]
    clocks: tuple[PartClock, ...]
    duties: dict[str, list[Reason]]
    covers: dict[str, tuple[str, str]]
    organic: bool


def brought(layers: tuple[str, ...], book: Book) -> Brought:
    """What the entries of these materials bring, the body first."""
    materials = [book.knowledge.materials[key] for key in layers]
    duties: dict[str, list[Reason]] = {}
    covers: dict[str, tuple[str, str]] = {}
    for material in materials:
        if material.duty != "none":
            duties.setdefault(material.duty, []).append(_duty(material, book))
        if material.cover != "none":
            covers.setdefault(material.cover, (material.why, f"cover.{material.key}"))
    return Brought(
        [want for n, material in enumerate(materials) for want in _wants(material, n > 0, book)],
        tuple(clock for material in materials for clock in _clocks(material, book)),
        duties,
        covers,
        any(material.organic for material in materials),
    )


def _facts(material: m.Material) -> tuple[str, ...]:
    return (f"material:{material.key}",)


def _sure(material: m.Material, confidence: m.Confidence) -> m.Confidence:
    """The confidence of a cell; without any source to name it is common practice, whatever was said."""
    return confidence if material.source else "c"


def _source(material: m.Material, confidence: str, book: Book) -> Cites:
    """Common practice has no source."""
    return book.cites(material) if confidence != "c" else ()


def _wants(material: m.Material, added: bool, book: Book) -> Iterator[Want]:
    step = material.rh_step_percent_per_day
    for limit, name, interval, confidence in (
        ("rh_percent", "rh", material.rh_percent, _sure(material, material.rh_confidence)),
        ("air_c", "air", material.air_c, _sure(material, material.air_confidence)),
        ("rh_step_percent_per_day", "step", (0.0, step) if step else None, "c"),
    ):
        if interval is not None:
            yield Want(
                limit,
                (float(interval[0]), float(interval[1])),
                material.key,
                material.family,
                f"lim.{name}.{material.key}",
                material.why,
                _source(material, confidence, book),
                confidence,
                _facts(material),
                added,
            )


def _clocks(material: m.Material, book: Book) -> Iterator[PartClock]:
    if material.start_by_h is None or material.clock is None:
        return
    mark = _sure(material, material.hours_confidence)
    reason = (
        f"clk.{material.clock}.{material.key}",
        material.why,
        _source(material, mark, book),
        mark,
        _facts(material),
    )
    yield PartClock(
        material.clock,
        material.origin,
        material.start_by_h,
        material.aim_h,
        material.clock_shape,
        material.lost_after,
        (reason,),
    )


def _duty(material: m.Material, book: Book) -> Reason:
    mark = _sure(material, material.duty_confidence)
    return f"duty.{material.key}", material.why, _source(material, mark, book), mark, _facts(material)
