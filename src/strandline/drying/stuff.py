"""From the key of a kind to what the forecast reckons with: a timber, another body that sorbs, or pores."""

from __future__ import annotations

from dataclasses import dataclass

from strandline.knowledge import bodies, timbers
from strandline.knowledge.bodies import Body
from strandline.knowledge.timbers import Timber


@dataclass(frozen=True, slots=True)
class Wood:
    """Timber: ``fails`` says why the numbers of sound wood do not hold, if they do not."""

    timber: Timber
    fails: str = ""

    @property
    def name(self) -> str:
        """What it is called; several kinds that a word leaves open are counted."""
        if self.timber.members:
            return f"one of {len(self.timber.members)} woods"
        return self.timber.names[0] if self.timber.names else self.timber.key


@dataclass(frozen=True, slots=True)
class Other:
    """Any other body that holds water."""

    body: Body

    @property
    def name(self) -> str:
        """What it is called."""
        return self.body.names[0] if self.body.names else self.body.key


@dataclass(frozen=True, slots=True)
class Nothing:
    """No body stands for the kind, and why."""

    name: str
    why: str


Stuff = Wood | Other | Nothing


def stuff_of(kind: str) -> Stuff:
    """What a kind is: the key of a timber, a family or a group of timbers, another body, or a care
    material."""
    if kind in timbers.FAMILIES or kind == timbers.ANY:
        return Wood(timbers.envelope(kind))
    if kind in timbers.wood_materials():
        return Wood(timbers.for_material(kind), timbers.law_fails(kind))
    if kind in bodies.bodies():
        return Other(bodies.body(kind))
    if kind in bodies.standings():
        standing = bodies.for_material(kind)
        return Other(standing.body) if standing.body else Nothing(kind, standing.because or standing.why)
    if kind in {one.key for one in timbers.timbers()}:
        return Wood(timbers.timber(kind))
    found = timbers.find(kind)
    if found:
        return Wood(found)
    named = bodies.find(kind)
    return Other(named[0]) if named else Nothing(kind, f"no drying numbers for '{kind}'")
