"""The file format of the knowledge: one pydantic model per kind of entry.

Every file under ``data/`` is TOML; each top-level table array (``[[material]]``, ``[[rule]]`` ...)
holds entries of one model below.  Unknown keys are refused, so that a typing slip cannot
silently switch advice off.  Conditions are positive only: a fact can add a rule, never remove one,
which is what makes a plan grow stricter and never milder as facts arrive.

Units: hours (h), degrees Celsius (c), relative humidity in percent at this edge (rh_percent).
Confidence letters: v read in the source named, m from memory of it, c common practice without a
published source.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

Confidence = Literal["v", "m", "c"]
Verdict = Literal["yes", "careful", "refer", "no"]
Grade = Literal["stop", "guard", "note"]
Origin = Literal["wetted", "emerged", "dried", "found"]
Shape = Literal["step", "rate", "has_happened"]
Duty = Literal["none", "dry", "dry_actively", "stay_wet", "must_not_freeze", "keep_frozen", "stop", "wait"]
Route = Literal["dry", "hold_wet", "freeze", "wait_for_conservator"]
LimitKey = Literal["rh_percent", "air_c", "rh_step_percent_per_day"]
Cover = Literal["none", "loose_vented_cover", "conditioned_box"]
Role = Literal["helper", "conservator"]

Key = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$")]
RuleId = Annotated[str, Field(pattern=r"^[a-z]+(\.[a-zA-Z0-9_]+)+$")]
Sentence = Annotated[str, Field(min_length=3, max_length=240)]
Interval = Annotated[tuple[float, float], Field(description="[low, high], low <= high")]

ACTIONS: tuple[str, ...] = (
    "lift",
    "rinse",
    "immerse",
    "brush_wet",
    "blot",
    "wipe",
    "open_up",
    "operate",
    "drip_dry",
    "moving_air",
    "warm_air",
    "sun",
    "vented_bag",
    "freeze",
    "hold_wet",
    "take_apart",
    "support",
    "cover",
    "dry_brush",
    "turn",
    "weigh",
    "set_apart",
)
"""The 22 actions a plan speaks of, in the order papers print them."""

NOT_MONOTONE: frozenset[str] = frozenset({"hold_wet", "freeze", "rinse", "moving_air"})
"""Actions where not doing can also be the harm; only these may carry ``turns_on`` rules."""

VERDICT_RANK: dict[str, int] = {"yes": 0, "careful": 1, "refer": 2, "no": 3}

FAMILIES: tuple[str, ...] = (
    "metal",
    "glass",
    "ceramic",
    "stone",
    "wood",
    "plant",
    "skin",
    "bone",
    "textile",
    "plastic",
    "wax",
    "working",
    "paper",
    "picture",
    "unknown",
)
"""Material families; ``paper`` and ``picture`` are out of scope and still get a holding instruction."""

WATERS: tuple[str, ...] = ("clean", "river", "sea", "brackish", "sewage", "fuel", "chemical", "unknown")
WET_STATES: tuple[str, ...] = (
    "under_water",
    "splashed",
    "damp_air_only",
    "damp_now",
    "dry_with_mud",
    "frozen",
)
DONE_ALREADY: tuple[str, ...] = (
    "wiped",
    "rinsed",
    "heated",
    "bleached",
    "oiled",
    "sealed_in_plastic",
    "frozen",
    "operated",
    "glued",
    "unknown",
)
JOIN_KINDS: tuple[str, ...] = (
    "glued",
    "soldered",
    "riveted",
    "nailed",
    "screwed",
    "hinged",
    "veneered",
    "inlaid",
    "plated",
    "embedded",
    "threaded",
    "mounted",
    "sewn",
    "strung",
    "cemented",
    "set",
    "loose",
    "unknown",
)


class Entry(BaseModel):
    """Common behaviour: frozen, and a key nobody knows is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)


class Cite(Entry):
    """A source key (see sources.toml) and the place or subject in it that says so."""

    key: str
    at: Annotated[str, Field(min_length=3)]


class Source(Entry):
    """A published source.  ``read`` tells how much of it was read for this project."""

    key: str
    title: str
    publisher: str
    year: str = ""
    read: Literal["extract", "opening", "memory"]
    note: str = ""


class Family(Entry):
    """A family of materials.  ``also_possible`` stay in the plausible set of a part whose material
    is not named at all, although they are flagged ``must_be_named`` or are surfaces."""

    key: str
    say: str
    also_possible: tuple[Key, ...] = ()
    ask: Sentence
    in_scope: bool = True


class Material(Entry):
    """A kind of body with its own care: what it is, how dry it is kept, what runs against it.

    ``why`` is the reason given for its limits, its clock and its duty.  ``rh_percent`` is the band
    to aim for (None: the sources give none).  ``start_by_h`` counts from ``origin``; ``aim_h`` is
    the earlier end of a published or common range.
    """

    key: Key
    family: str
    say: Annotated[str, Field(max_length=80)]
    why: Sentence
    source: tuple[Cite, ...] = ()
    confidence: Confidence
    rh_percent: Interval | None = None
    rh_confidence: Confidence = "c"
    air_c: Interval | None = None
    air_confidence: Confidence = "c"
    rh_step_percent_per_day: float | None = None
    start_by_h: float | None = None
    aim_h: float | None = None
    origin: Origin = "wetted"
    hours_confidence: Confidence = "c"
    clock: Key | None = None
    clock_shape: Shape = "step"
    lost_after: str = ""
    duty: Duty = "none"
    duty_confidence: Confidence = "c"
    cover: Cover = "none"
    organic: bool
    may_be_painted: bool = False
    surface_unknown: Literal["no", "look", "none"] = "none"
    must_be_named: bool = False
    must_be_named_because: str = ""
    must_be_named_source: tuple[Cite, ...] = ()
    reviewed_by: str | None = None
    reviewed_on: str | None = None

    @model_validator(mode="after")
    def _complete(self) -> Material:
        if self.family not in FAMILIES:
            raise ValueError(f"family '{self.family}' is not one of {', '.join(FAMILIES)}")
        if self.start_by_h is not None and self.clock is None:
            raise ValueError("start_by_h needs clock: the name of what happens then")
        if self.aim_h is not None and (self.start_by_h is None or self.aim_h > self.start_by_h):
            raise ValueError("aim_h must not be later than start_by_h")
        if self.must_be_named and not self.must_be_named_because:
            raise ValueError("must_be_named needs must_be_named_because")
        if not self.source and self.confidence == "v":
            raise ValueError("confidence v needs a source with a place")
        for interval in (self.rh_percent, self.air_c):
            if interval is not None and interval[0] > interval[1]:
                raise ValueError(f"interval {interval} runs backwards")
        return self


class Feature(Entry):
    """Something that can be seen on a part or an object and changes its plan.

    ``adds`` names, per family, the material entries whose care a part takes on besides its own
    (painted timber keeps timber's care and adds painted timber's).  ``surface`` features answer
    the question what the surface is.
    """

    key: Key
    say: Annotated[str, Field(max_length=80)]
    scope: Literal["part", "object"]
    surface: bool = False
    why: Sentence
    source: tuple[Cite, ...] = ()
    confidence: Confidence
    adds: dict[str, tuple[Key, ...]] = {}
    assumed_ask: str = ""


class When(Entry):
    """A positive condition: all fields given must hold; within one field any entry is enough.

    ``materials`` and ``families`` and ``features`` are looked for on one and the same part (object
    features count for every part); ``all_features`` must all be present; ``joins`` touch the part;
    ``with_families`` / ``with_materials`` ask for another part of the object.  ``surface_unseen``
    holds for a part whose list entry is silent about its surface and whose material says what that
    means (``no`` or ``look``).
    """

    materials: tuple[Key, ...] = ()
    families: tuple[str, ...] = ()
    features: tuple[Key, ...] = ()
    all_features: tuple[Key, ...] = ()
    joins: tuple[str, ...] = ()
    waters: tuple[str, ...] = ()
    wet_states: tuple[str, ...] = ()
    done: tuple[str, ...] = ()
    organic: bool | None = None
    with_families: tuple[str, ...] = ()
    with_materials: tuple[Key, ...] = ()
    mass_unknown: Literal[True] | None = None
    mass_over_g: float | None = None
    longest_over_mm: float | None = None
    air_over_c: float | None = None
    surface_unseen: tuple[Literal["no", "look"], ...] = ()
    always: Literal[True] | None = None

    @model_validator(mode="after")
    def _says_something(self) -> When:
        if not self.model_fields_set:
            raise ValueError("an empty condition holds always by accident; write always = true")
        return self


class Reasoned(Entry):
    """What every rule carries: id, reason, source, confidence, and who reviewed it."""

    id: RuleId
    when: When
    why: Sentence
    source: tuple[Cite, ...] = ()
    confidence: Confidence
    reviewed_by: str | None = None
    reviewed_on: str | None = None

    @model_validator(mode="after")
    def _sourced(self) -> Reasoned:
        if not self.source and self.confidence != "c":
            raise ValueError("only confidence c may stand without a source")
        return self


class VerdictRule(Reasoned):
    """An action's verdict under a condition.

    ``cells`` gives the confidence of single materials where it differs from ``confidence``.
    ``turns_on`` marks the few rules that may make an action milder (salt turns a wet hold on);
    the harms that spoke against it stay listed.  ``ask`` and ``answer`` make a ``no`` provisional:
    the question that opens it, and the answer it opens to.
    """

    action: str
    verdict: Verdict
    how: str | None = None
    cells: dict[Key, Confidence] = {}
    turns_on: bool = False
    ask: str = ""
    answer: str = ""

    @model_validator(mode="after")
    def _actionable(self) -> VerdictRule:
        if self.action not in ACTIONS:
            raise ValueError(f"action '{self.action}' is not known")
        if self.verdict != "yes" and not self.how:
            raise ValueError(f"{self.verdict} needs how")
        if self.turns_on and self.action not in NOT_MONOTONE:
            raise ValueError(f"turns_on is not allowed for {self.action}")
        stray = set(self.cells) - set(self.when.materials)
        if stray:
            raise ValueError(f"cells names materials that are not in when.materials: {sorted(stray)}")
        return self


class LimitRule(Reasoned):
    """Narrows one limit to ``interval``."""

    limit: LimitKey
    interval: Interval


class ClockRule(Reasoned):
    """Starts a clock: what happens, how many hours after which origin, and in what shape."""

    clock: Key
    at_h: float
    aim_h: float | None = None
    origin: Origin
    shape: Shape = "step"
    lost_after: str = ""


class ClockFactor(Reasoned):
    """Shortens clocks: ``factor`` at most 1 multiplies the hours of the clocks named."""

    clocks: tuple[Key, ...]
    factor: Annotated[float, Field(gt=0, le=1)]


class DutyRule(Reasoned):
    """An obligation that decides the route (must dry, must stay wet ...)."""

    duty: Duty


class HazardRule(Reasoned):
    """Names a hazard before the first handling step.

    A ``stop`` holds the object: nobody touches or moves it, ``keep_m`` metres, ``call`` is called.
    """

    hazard: Key
    grade: Grade
    scope: Literal["site", "object"] = "object"
    say: Sentence
    keep_m: float | None = None
    call: str = ""
    licensed_only: str = ""

    @model_validator(mode="after")
    def _stop_is_whole(self) -> HazardRule:
        if self.grade == "stop" and not (self.call and self.keep_m):
            raise ValueError("a stop needs keep_m and call")
        return self


class CoverRule(Reasoned):
    """The microclimate a part needs besides its zone."""

    cover: Cover


class HoldRule(Reasoned):
    """A sentence of the holding instruction; lower ``rank`` is said first, one per ``slot``."""

    slot: Literal["place", "posture", "cover", "water", "watch"]
    rank: int
    do: Sentence


class StepRule(Reasoned):
    """A step of the plan.

    ``order`` sorts steps (0-999).  ``action`` is the action whose verdict must not be ``no``;
    with ``refer`` the step goes to the conservator.  ``also_needs`` names further actions that must be
    yes or careful, ``only_open`` a step for plans that wait or hold an open conflict, ``wetted_only``
    one for things that were really wetted.  ``kind`` local_air is cool air on one part for
    minutes with the others masked.  ``minutes`` is hands-on time of one person, a guess to be
    replaced by the crew's own timings.
    """

    step: Key
    order: Annotated[int, Field(ge=0, le=999)]
    kind: Literal["cheap", "look", "act", "local_air", "watch", "record"]
    text: Sentence
    action: str | None = None
    role: Role = "helper"
    people: int = 1
    minutes: float = 5.0
    station: Key = "bench"
    needs_verdict: tuple[Verdict, ...] = ()
    even_under_stop: bool = False
    only_open: bool = False
    wetted_only: bool = False
    also_needs: tuple[str, ...] = ()
    after: str = ""


class Side(Entry):
    """One side of a conflict: which parts it is about."""

    materials: tuple[Key, ...] = ()
    families: tuple[str, ...] = ()
    features: tuple[Key, ...] = ()
    waters: tuple[str, ...] = ()


class ConflictRule(Entry):
    """Two parts that want different things: who wins and how it is done all the same.

    ``about`` names what clashes: a limit, ``route``, or ``action:<name>``.  ``winner`` is a or b;
    ``neither`` hands it to the conservator.
    """

    id: RuleId
    say: Annotated[str, Field(max_length=100)]
    a: Side
    b: Side
    about: tuple[str, ...]
    winner: Literal["a", "b", "neither"]
    how: Annotated[str, Field(max_length=400)]
    why: Sentence
    source: tuple[Cite, ...] = ()
    confidence: Confidence
    same_part: bool = False
    local_air_on: Literal["a", "b"] | None = None
    rank: int = 100
    reviewed_by: str | None = None
    reviewed_on: str | None = None


class Advice(Entry):
    """A clash that is no clash of materials (owner, insurer, dryer): text for the lead, counted apart."""

    id: RuleId
    say: Annotated[str, Field(max_length=100)]
    how: Annotated[str, Field(max_length=400)]
    why: Sentence
    source: tuple[Cite, ...] = ()
    confidence: Confidence


class View(Entry):
    """What one source says in a disagreement."""

    say: Sentence
    source: tuple[Cite, ...] = ()
    confidence: Confidence


class Disagreement(Entry):
    """Sources that differ: both views, which is taken, and what follows."""

    id: RuleId
    about: Key
    when: When
    views: Annotated[tuple[View, ...], Field(min_length=2)]
    taken: str
    why: Sentence
    then: Sentence


class Lookalike(Entry):
    """Things taken for each other across families, and the one observation that splits them.

    ``words`` are the names that may be wrong; ``could_be`` every material it may be; ``observe`` is
    what a helper may look for without touching more than the verdicts allow.
    """

    key: Key
    words: tuple[str, ...]
    could_be: Annotated[tuple[Key, ...], Field(min_length=2)]
    observe: Sentence
    answers: dict[str, tuple[Key, ...]] = {}
    why: Sentence
    source: tuple[Cite, ...] = ()
    confidence: Confidence


class Supply(Entry):
    """A thing the bench needs: for what, and how much for ten medium objects."""

    key: Key
    say: str
    use: Sentence
    per_ten: float | None = None
    unit: str = ""
    actions: tuple[str, ...] = ()
    source: tuple[Cite, ...] = ()
    confidence: Confidence


class Caution(Entry):
    """A caution for the site: about people, said at the briefing and on the door."""

    key: Key
    about: Key
    say: Sentence
    source: tuple[Cite, ...] = ()
    confidence: Confidence
    defer_to: str = ""
