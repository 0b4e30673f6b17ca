"""Bodies other than timber: what they hold of water, how it leaves them, which material of the knowledge is
which.

The numbers stand in ``numbers/bodies_*.toml``; every doubtful one as low, mid and high. An object whose
material is not known closer than its family gets the envelope of that family.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType
from typing import Any

from strandline.physics.capillary import PorousSlab
from strandline.physics.isotherm import Isotherm, gab, moisture_at

FOLDER = Path(__file__).parent / "numbers"
FILES = ("bodies_skin_and_bone.toml", "bodies_fibre_and_plant.toml", "bodies_mineral.toml")
MATERIALS = "bodies_materials.toml"
MODELS = ("sorbing", "capillary", "film")
CONFIDENCE = ("v", "m", "c")
WHY_NONE = ("dry", "dissolves", "parts", "not_dried", "timber")
WATER_KG_M3 = 1000.0


class BodyError(ValueError):
    """A file of bodies cannot be used; says file, row, field and reason."""


@dataclass(frozen=True, slots=True)
class Band:
    """A number with its doubt."""

    low: float
    mid: float
    high: float

    def holds(self, value: float) -> bool:
        """Whether a value lies within."""
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True)
class Evidence:
    """Where numbers come from: keys of sources, and v read, m from memory, c common practice."""

    source: tuple[str, ...]
    confidence: str


@dataclass(frozen=True, slots=True)
class Body:
    """One kind of body. What it does not have is None."""

    key: str
    names: tuple[str, ...]
    family: str
    model: str
    """sorbing: water moves by diffusion; capillary: two stages; film: only the wet surface."""
    dry_kg_m3: Band
    isotherm: Isotherm
    isotherm_spread: Band
    """Factor on the isotherm."""
    soaked: Band
    """Moisture when it has lain in water [kg/kg]."""
    dry_m2_s: Band | None
    top_m2_s: Band | None
    wet_m2_s: Band | None
    """Diffusivity at 20 degC of the dry body, at the top of the hygroscopic range, and soaked."""
    arrhenius_k: Band | None
    mu: Band
    porosity: Band | None
    absorption_kg_m2_s05: Band | None
    free_saturation_kg_m3: Band | None
    critical_kg_m3: Band | None
    second_m2_s: Band | None
    """Diffusivity of the second stage of drying at 25 degC in dry air, as it is measured."""
    activation_kj_mol: Band | None
    """By which it rises with temperature."""
    shrinkage: Band | None
    """Free strain per kg/kg within the hygroscopic range."""
    strain_limit: Band | None
    salts: bool
    """Whether it is apt to carry salts."""
    cap_c: float
    note: str
    evidence: Mapping[str, Evidence]
    """By group: density, isotherm, soaked, diffusion, pores, second, shrinkage, cap."""

    @property
    def d_low_m2_s(self) -> float | None:
        """Diffusivity of the dry body, from which the two soft steps rise."""
        return None if self.dry_m2_s is None else self.dry_m2_s.mid

    @property
    def rises_m2_s(self) -> tuple[float, float] | None:
        """What the diffusivity gains up to the top of the hygroscopic range, and from there to wet."""
        if self.dry_m2_s is None or self.top_m2_s is None or self.wet_m2_s is None:
            return None
        return self.top_m2_s.mid - self.dry_m2_s.mid, self.wet_m2_s.mid - self.top_m2_s.mid

    def slabs(self, thickness_m: float, faces: int) -> tuple[PorousSlab, PorousSlab, PorousSlab]:
        """The body soaked, as a slab for the two-stage forecast: fast, likely and slow reading.

        The slow one leaves the second stage to vapour alone. Raises BodyError for a body that does not dry
        in two stages.
        """
        water, critical, mu = self.free_saturation_kg_m3, self.critical_kg_m3, self.mu
        second, energy = self.second_m2_s, self.activation_kj_mol
        if water is None or critical is None or second is None or energy is None:
            raise BodyError(f"body ({self.key}): does not dry in two stages, but as '{self.model}'")
        return (
            PorousSlab(thickness_m, faces, water.low, critical.low, mu.low, second.high, energy.mid),
            PorousSlab(thickness_m, faces, water.mid, critical.mid, mu.mid, second.mid, energy.mid),
            PorousSlab(thickness_m, faces, water.high, critical.high, mu.high),
        )

    def moisture(self, rh: float) -> Band:
        """Moisture in equilibrium with the air [kg/kg]."""
        mid, spread = moisture_at(self.isotherm, rh), self.isotherm_spread
        return Band(spread.low * mid, mid, spread.high * mid)


@dataclass(frozen=True, slots=True)
class Envelope:
    """What is known of a body of which only the family is: the lowest low and the highest high of its
    members."""

    family: str
    members: tuple[str, ...]
    models: tuple[str, ...]
    salts: bool
    cap_c: float
    bands: Mapping[str, tuple[float, float]]
    """By field of Body; only fields that every member has."""


@dataclass(frozen=True, slots=True)
class Standing:
    """The body that stands for a material, or why none does."""

    material: str
    body: Body | None
    why: str
    because: str


BANDS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "dry_kg_m3": ("density", "dry_kg_m3"),
        "isotherm_spread": ("isotherm", "spread"),
        "soaked": ("soaked", "moisture"),
        "dry_m2_s": ("diffusion", "dry_m2_s"),
        "top_m2_s": ("diffusion", "top_m2_s"),
        "wet_m2_s": ("diffusion", "wet_m2_s"),
        "arrhenius_k": ("diffusion", "arrhenius_k"),
        "mu": ("pores", "mu"),
        "porosity": ("pores", "porosity"),
        "absorption_kg_m2_s05": ("pores", "absorption_kg_m2_s05"),
        "free_saturation_kg_m3": ("pores", "free_saturation_kg_m3"),
        "critical_kg_m3": ("pores", "critical_kg_m3"),
        "second_m2_s": ("second", "diffusivity_m2_s"),
        "activation_kj_mol": ("second", "activation_kj_mol"),
        "shrinkage": ("shrinkage", "per_kg_kg"),
        "strain_limit": ("shrinkage", "strain_limit"),
    }
)
"""Field of Body -> group and field of the file."""
ALWAYS = ("dry_kg_m3", "isotherm_spread", "soaked", "mu")
NEEDS = MappingProxyType(
    {
        "sorbing": ("dry_m2_s", "top_m2_s", "wet_m2_s", "arrhenius_k"),
        "capillary": (
            "porosity",
            "absorption_kg_m2_s05",
            "free_saturation_kg_m3",
            "critical_kg_m3",
            "second_m2_s",
            "activation_kj_mol",
        ),
        "film": (),
    }
)
FIELDS = {"key", "names", "family", "model", "salts", "note", "source", "confidence"}
GROUPS = {
    "density": {"dry_kg_m3"},
    "isotherm": {"m0", "c", "k", "spread"},
    "soaked": {"moisture"},
    "diffusion": {"dry_m2_s", "top_m2_s", "wet_m2_s", "arrhenius_k"},
    "pores": {"mu", "porosity", "absorption_kg_m2_s05", "free_saturation_kg_m3", "critical_kg_m3"},
    "second": {"diffusivity_m2_s", "activation_kj_mol"},
    "shrinkage": {"per_kg_kg", "strain_limit"},
    "cap": {"temp_c"},
}


def read_bodies(text: str, name: str) -> list[Body]:
    """The bodies of one file.  Raises BodyError, which names file, row, field and reason."""
    try:
        held = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BodyError(f"{name}: not valid TOML: {error}") from error
    if set(held) != {"body"}:
        raise BodyError(f"{name}: write [[body]] and nothing else")
    return [
        _body(row, f"{name}: body {at} ({row.get('key', '?')})") for at, row in enumerate(held["body"], 1)
    ]


def _body(row: Mapping[str, Any], at: str) -> Body:
    """One body from its row."""
    for field in row.keys() - FIELDS - GROUPS.keys():
        raise BodyError(f"{at}: {field}: is not a field of a body")
    if row.get("model") not in MODELS:
        raise BodyError(f"{at}: model: '{row.get('model', '')}' is not one of {', '.join(MODELS)}")
    for field in ("key", "family", "names"):
        if not row.get(field):
            raise BodyError(f"{at}: {field}: is missing")
    evidence = {group: _evidence(row[group], f"{at}: {group}", group) for group in GROUPS if group in row}
    bands = {field: _band(row, *place, at) for field, place in BANDS.items()}
    for field in (*ALWAYS, *NEEDS[row["model"]]):
        if bands[field] is None:
            raise BodyError(f"{at}: {'.'.join(BANDS[field])}: is missing")
    _orders(bands, at)
    sorption, cap = row.get("isotherm", {}), row.get("cap", {})
    try:
        isotherm = gab(float(sorption["m0"]), float(sorption["c"]), float(sorption["k"]))
        cap_c = float(cap["temp_c"])
    except (KeyError, TypeError, ValueError) as error:
        raise BodyError(f"{at}: isotherm, cap: {error}") from error
    return Body(
        key=row["key"],
        names=tuple(row["names"]),
        family=row["family"],
        model=row["model"],
        isotherm=isotherm,
        salts=bool(row.get("salts", False)),
        cap_c=cap_c,
        note=row.get("note", ""),
        evidence=MappingProxyType(evidence),
        **bands,  # type: ignore[arg-type]  # the four of ALWAYS were just seen to be there
    )


def _evidence(group: Mapping[str, Any], at: str, name: str) -> Evidence:
    """Source and confidence of a group."""
    for field in group.keys() - GROUPS[name] - {"source", "confidence"}:
        raise BodyError(f"{at}: {field}: is not a field of this group")
    sure, source = group.get("confidence", ""), tuple(group.get("source", ()))
    if sure not in CONFIDENCE:
        raise BodyError(f"{at}: confidence: '{sure}' is not one of {', '.join(CONFIDENCE)}")
    if not source and sure != "c":
        raise BodyError(f"{at}: source: is missing")
    return Evidence(source, sure)


def _band(row: Mapping[str, Any], group: str, field: str, at: str) -> Band | None:
    """Low, mid and high; None where the file has none."""
    given = row.get(group, {}).get(field)
    if given is None:
        return None
    if not (
        isinstance(given, list) and len(given) == 3 and all(isinstance(one, int | float) for one in given)
    ):
        raise BodyError(f"{at}: {group}.{field}: is not [low, mid, high]")
    low, mid, high = map(float, given)
    if not 0.0 < low <= mid <= high:
        raise BodyError(f"{at}: {group}.{field}: {given} does not rise from above zero")
    return Band(low, mid, high)


def _orders(bands: Mapping[str, Band | None], at: str) -> None:
    """Numbers that must stand in an order: critical < free saturation <= pores; dry <= top <= wet."""
    chains: tuple[tuple[str, ...], ...] = (
        ("critical_kg_m3", "free_saturation_kg_m3"),
        ("dry_m2_s", "top_m2_s", "wet_m2_s"),
    )
    for chain in chains:
        for less, more in pairwise(chain):
            first, second = bands[less], bands[more]
            if first and second and not (first.low <= second.low and first.mid <= second.mid):
                raise BodyError(f"{at}: {BANDS[less][1]}: lies above {BANDS[more][1]}")
    held, porosity = bands["free_saturation_kg_m3"], bands["porosity"]
    if held and porosity and not held.mid <= WATER_KG_M3 * porosity.mid:
        raise BodyError(f"{at}: pores.free_saturation_kg_m3: is more than the pores hold")


@cache
def bodies() -> Mapping[str, Body]:
    """All bodies by key.  Raises BodyError."""
    found: dict[str, Body] = {}
    for name in FILES:
        for one in read_bodies((FOLDER / name).read_text(encoding="utf-8"), name):
            if one.key in found:
                raise BodyError(f"{name}: body ({one.key}): key: stands twice")
            found[one.key] = one
    return MappingProxyType(found)


def body(key: str) -> Body:
    """One body.  Raises KeyError, which names those known."""
    if key not in bodies():
        raise KeyError(f"body '{key}' is not known; known are {', '.join(bodies())}")
    return bodies()[key]


def find(text: str) -> tuple[Body, ...]:
    """Bodies that a text names, the longest name first; none where it names none."""
    words = f" {' '.join(text.lower().replace('-', ' ').split())} "
    hits = [
        (len(spelled), one)
        for one in bodies().values()
        for spelled in {_spelled(name) for name in (*one.names, one.key.replace("_", " "))}
        if f" {spelled} " in words
    ]
    return tuple({one.key: one for _, one in sorted(hits, key=lambda hit: -hit[0])}.values())


def _spelled(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").split())


def unknown(family: str) -> Envelope:
    """What is known of a body of this family and no more.  Raises KeyError, which names the families."""
    members = [one for one in bodies().values() if one.family == family]
    if not members:
        raise KeyError(f"family '{family}' is not known; known are {', '.join(families())}")
    bands = {field: _span(getattr(one, field) for one in members) for field in BANDS}
    return Envelope(
        family=family,
        members=tuple(one.key for one in members),
        models=tuple(sorted({one.model for one in members})),
        salts=any(one.salts for one in members),
        cap_c=min(one.cap_c for one in members),
        bands=MappingProxyType({field: span for field, span in bands.items() if span is not None}),
    )


def _span(held: Iterable[Band | None]) -> tuple[float, float] | None:
    """Lowest low and highest high, if every one is there."""
    given: Sequence[Band | None] = list(held)
    there = [one for one in given if one is not None]
    if len(there) < len(given):
        return None
    return min(one.low for one in there), max(one.high for one in there)


def families() -> tuple[str, ...]:
    """The families there are."""
    return tuple(sorted({one.family for one in bodies().values()}))


def read_standings(text: str, name: str, known: Mapping[str, Body]) -> dict[str, Standing]:
    """Which body stands for each material.  Raises BodyError."""
    held, found = tomllib.loads(text), dict[str, Standing]()
    if held.keys() - {"stands_for", "none"}:
        raise BodyError(f"{name}: write [[stands_for]] and [[none]] and nothing else")
    for table in ("stands_for", "none"):
        for number, row in enumerate(held.get(table, ()), 1):
            at = f"{name}: {table} {number}"
            if table == "stands_for" and row.get("body") not in known:
                raise BodyError(f"{at}: body: '{row.get('body', '')}' is not known")
            if table == "none" and (row.get("why") not in WHY_NONE or not row.get("because")):
                raise BodyError(f"{at}: why, because: one of {', '.join(WHY_NONE)}, and a reason")
            for material in row.get("materials", ()):
                if material in found:
                    raise BodyError(f"{at}: materials: '{material}' stands twice")
                stands = known[row["body"]] if table == "stands_for" else None
                found[material] = Standing(material, stands, row.get("why", ""), row.get("because", ""))
    return found


@cache
def standings() -> Mapping[str, Standing]:
    """The body of every material, or why it has none.  Raises BodyError."""
    text = (FOLDER / MATERIALS).read_text(encoding="utf-8")
    return MappingProxyType(read_standings(text, MATERIALS, bodies()))


def for_material(key: str) -> Standing:
    """The body that stands for a material of the knowledge, or why none does.  Raises KeyError."""
    if key not in standings():
        raise KeyError(f"no body is stated for the material '{key}'")
    return standings()[key]
