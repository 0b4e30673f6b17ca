"""Grades a plan against a case: every assertion is about keys, never about English."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

from strandline.care.engine import Engine
from strandline.knowledge import models as m
from strandline.knowledge.base import Knowledge
from strandline.things.facts import Facts, Join, Part
from strandline.things.plan import Plan

CASES = Path(__file__).parent / "cases"
AS_OF = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)
WET = datetime(2026, 3, 15, 2, 40, tzinfo=UTC)
OUT = datetime(2026, 3, 15, 15, 10, tzinfo=UTC)
RANK = m.VERDICT_RANK
VERDICT = re.compile(r"^(?P<action>[a-z_]+)(?P<sign>:|>=|<=)(?P<verdict>yes|careful|refer|no)$")

HAZARD_WORDS: dict[str, tuple[str, ...]] = {
    "lead": ("lead", "lead_paint", "lead_colour"),
    "arsenic_pesticide": ("pesticide", "arsenic"),
    "mercury": ("mercury", "mercury_amalgam"),
    "arms": ("arm",),
    "sharp_edges": ("sharps",),
    "asbestos": ("asbestos", "asbestos_possible"),
    "celluloid_fire": ("celluloid",),
    "fuel": ("fuel", "chemical"),
    "heavy": ("lifting",),
}
"""What a case calls a hazard -> the keys of the knowledge that mean it (cases/README.md)."""

CLOCK_WORDS: dict[str, tuple[str, ...]] = {"rust": ("rust", "corrosion"), "mould": ("mould",)}
"""What a case calls a clock -> the clock keys that mean it."""

STEP_WORDS: dict[str, tuple[str, ...]] = {
    "keep_together": ("keep_together", "collect_fragments", "tag"),
    "check_seams": ("seams_again",),
    "dry_joint_first": ("dry_joint_first",),
    "lined_tray": ("carry", "carry_counted"),
    "strain_water": ("strain_water",),
}
"""What a case calls a step -> the step keys that do it."""


@dataclass(frozen=True)
class Case:
    """One case as it stands in its file."""

    id: str
    data: dict[str, Any]

    @property
    def must(self) -> list[str]:
        """Assertions that must hold."""
        return list(self.data.get("must", ()))

    @property
    def must_not(self) -> list[str]:
        """Assertions that must not hold."""
        return list(self.data.get("must_not", ()))


@cache
def cases() -> tuple[Case, ...]:
    """Every case of every file, in file order."""
    found = []
    for path in sorted(CASES.glob("*.toml")):
        rows = tomllib.loads(path.read_text(encoding="utf-8"))["case"]
        found += [Case(row["id"], row) for row in rows]
    return tuple(found)


def facts_of(case: Case, knowledge: Knowledge) -> Facts:
    """The facts a case states."""
    data = case.data
    parts = tuple(_part(row, knowledge) for row in data["parts"])
    joins = tuple(
        Join(row.get("id", f"j{n}"), row["kind"], (row["parts"][0], row["parts"][1]))
        for n, row in enumerate(data.get("joins", ()), start=1)
    )
    return Facts(
        tag="0001",
        row=1,
        parts=parts,
        joins=joins,
        features=tuple(sorted(data.get("features", ()))),
        water=tuple(sorted(data.get("water", ("river", "sewage")))),
        wet_state=data.get("wet_state", "unknown"),
        done_already=tuple(sorted(data.get("done", ()))),
        mass_g=data.get("mass_g"),
        length_mm=data.get("longest_mm"),
        wet_since=WET,
        out_since=OUT,
    )


def _part(row: dict[str, Any], knowledge: Knowledge) -> Part:
    material = row["material"]
    if material in knowledge.materials:
        family = knowledge.materials[material].family
    else:
        family = material.removesuffix("_unknown")
    return Part(
        row["id"],
        "",
        material,
        family,
        features=tuple(sorted(row.get("features", ()))),
        surface=row.get("surface", "stated"),
        could_be=tuple(row.get("could_be", ())),
    )


def misses(case: Case, engine: Engine) -> list[str]:
    """Assertions the engine's plan does not meet, as 'must X' or 'must not X'."""
    plan = engine.plan(facts_of(case, engine.book.knowledge), AS_OF)
    found = [f"must {one}" for one in case.must if not holds(one, plan)]
    found += [f"must not {one}" for one in case.must_not if holds(one, plan)]
    if case.data.get("disagree") and not plan.disagreements:
        found.append("must disagreement")
    return found


def points(case: Case) -> int:
    """How many assertions a case makes."""
    return len(case.must) + len(case.must_not) + bool(case.data.get("disagree"))


def holds(one: str, plan: Plan) -> bool:
    """Whether an assertion holds for a plan.  An action the plan does not speak of means refer."""
    match = VERDICT.match(one)
    if match and match["action"] in m.ACTIONS:
        held = plan.actions.get(match["action"])
        have = RANK[held.verdict if held else "refer"]
        want = RANK[match["verdict"]]
        return {":": have == want, ">=": have >= want, "<=": have <= want}[match["sign"]]
    head, _, rest = one.partition(":")
    simple = {
        "route": lambda: plan.route == rest,
        "zone": lambda: (plan.zone or "none") == rest,
        "cover": lambda: (plan.cover[0] if plan.cover else "none") == rest,
        "stop": lambda: any(hazard.grade == "stop" for hazard in plan.hazards),
        "guard": lambda: any(hazard.grade == "guard" for hazard in plan.hazards),
        "hazard": lambda: bool(
            {hazard.key for hazard in plan.hazards} & set(HAZARD_WORDS.get(rest, (rest,)))
        ),
        "clock": lambda: bool({clock.key for clock in plan.clocks} & set(CLOCK_WORDS.get(rest, (rest,)))),
        "conflict": lambda: any(conflict.about == rest for conflict in plan.conflicts),
        "disagreement": lambda: bool(plan.disagreements),
        "step": lambda: bool({step.key for step in plan.steps} & set(STEP_WORDS.get(rest, (rest,)))),
        "rh_in": lambda: _rh_in(plan, rest),
        "local": lambda: _local(plan, rest),
    }
    if head in simple:
        return simple[head]()
    if one.startswith("start_by<="):
        most_h = float(one.removeprefix("start_by<="))
        return any(clock.at_h <= most_h for clock in plan.clocks)
    raise ValueError(f"'{one}' is no assertion")


def _rh_in(plan: Plan, text: str) -> bool:
    low, high = (float(part) for part in text.strip("[]").split(","))
    have = plan.limits.get("rh_percent")
    return have is not None and low <= have[0] and have[1] <= high


def _local(plan: Plan, text: str) -> bool:
    part, _, action = text.partition(":")
    return part in plan.parts and action in plan.parts[part].local
