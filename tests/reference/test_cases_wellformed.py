"""The reference cases are well formed, sourced, numerous enough and never ask for sun.

Nothing here runs the engine: material and feature keys are read from the knowledge files as plain
TOML, the words an assertion may use stand below.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).resolve().parent
CASES_DIR = HERE / "cases"
DATA = HERE.parents[1] / "src" / "strandline" / "knowledge" / "data"

ACTIONS = frozenset(
    "lift rinse immerse brush_wet blot wipe open_up operate drip_dry moving_air warm_air sun vented_bag "
    "freeze hold_wet take_apart support cover dry_brush turn weigh set_apart".split()
)
REMOVES_WATER = frozenset("blot wipe drip_dry moving_air warm_air".split())
ROUTES = frozenset("dry hold_wet freeze wait_for_conservator".split())
ZONES = frozenset("slow_dry mid_dry fast_dry wet_hold cold_hold hazard_hold mould_apart none".split())
COVERS = frozenset("none loose_vented_cover conditioned_box".split())
WATERS = frozenset("clean river sea brackish sewage fuel chemical unknown".split())
WET_STATES = frozenset("under_water splashed damp_air_only damp_now dry_with_mud frozen".split())
DONE = frozenset("wiped rinsed heated bleached oiled sealed_in_plastic frozen operated glued unknown".split())
JOINS = frozenset(
    "glued soldered riveted nailed screwed hinged veneered inlaid plated embedded threaded mounted sewn "
    "strung cemented set loose unknown".split()
)
HAZARDS = frozenset(
    "sewage lead_paint lead arsenic_pesticide mercury mercury_felt radium mains battery arms ammunition "
    "asbestos sharp_edges mould celluloid_fire fluid_jar sealed_contents hazard_mineral heavy fuel chemical "
    "bleach self_heating sacred_or_human protected_species mercury_traces tar tension spring_energy "
    "toxic_salts acid flood_water".split()
)
CLOCKS = frozenset("rust mould corrosion paint glue dye gesso clay salts".split())
STEPS = frozenset(
    "photograph look_surface keep_together drain check_seams local_air dry_joint_first strain_water "
    "lined_tray watch_mould".split()
)
READ = frozenset(("yes", "memory", "common practice"))
FAMILIES = frozenset("metal glass ceramic wood".split())
KEYS = frozenset(
    "id about parts joins features water wet_state done mass_g longest_mm disagree must must_not page "
    "source".split()
)
NEEDED = frozenset("id about parts water wet_state must source".split())
VERDICT = re.compile(r"([a-z_]+)(:|>=|<=)(yes|careful|refer|no)")
RH = re.compile(r"rh_in:\[(\d+),(\d+)\]")
MILD = frozenset((":yes", ":careful", "<=yes", "<=careful"))

Case = dict[str, Any]


def read_cases() -> list[Case]:
    """Every case of every file, in the order of file names."""
    found: list[Case] = []
    for path in sorted(CASES_DIR.glob("*.toml")):
        found += tomllib.loads(path.read_text(encoding="utf-8"))["case"]
    return found


def known(kind: str, pattern: str) -> dict[str, dict[str, Any]]:
    """Entries of the knowledge by key, read as plain data."""
    return {
        entry["key"]: entry
        for path in DATA.glob(pattern)
        for entry in tomllib.loads(path.read_text(encoding="utf-8")).get(kind, [])
    }


CASES = read_cases()
MATERIALS = known("material", "materials/*.toml")
FEATURES = known("feature", "features*.toml")


def misspelt(assertion: str, parts: set[str]) -> str:
    """Why an assertion is not in the vocabulary; empty if it is."""
    if assertion in {"stop", "guard", "disagreement", "conflict:limit:rh_percent", "conflict:route"}:
        return ""
    if assertion.startswith("conflict:action:"):
        return "" if assertion.removeprefix("conflict:action:") in ACTIONS else "no such action"
    if found := VERDICT.fullmatch(assertion):
        return "" if found[1] in ACTIONS else f"no action {found[1]}"
    if found := RH.fullmatch(assertion):
        return "" if 0 <= int(found[1]) < int(found[2]) <= 100 else "an empty interval"
    if re.fullmatch(r"start_by<=\d+", assertion):
        return ""
    kind, _, rest = assertion.partition(":")
    if kind == "local":
        part, _, action = rest.partition(":")
        return "" if part in parts and action in ACTIONS else "no such part or action"
    words = {
        "route": ROUTES,
        "zone": ZONES,
        "cover": COVERS,
        "hazard": HAZARDS,
        "clock": CLOCKS,
        "step": STEPS,
    }
    return "" if rest in words.get(kind, frozenset()) else "not in the vocabulary"


def shape_faults(case: Case) -> list[str]:
    """Keys, parts, joins, waters and states that no list could hold."""
    faults = [f"key {key}" for key in case.keys() - KEYS]
    faults += [f"lacks {key}" for key in NEEDED - case.keys()]
    ids = [part["id"] for part in case["parts"]]
    if len(set(ids)) != len(ids) or not ids:
        faults.append("part ids")
    for part in case["parts"]:
        family = part["material"].removesuffix("_unknown")
        if part["material"] not in MATERIALS and family not in FAMILIES:
            faults.append(f"material {part['material']}")
        faults += [f"feature {f} on a part" for f in part["features"] if scope(f) != "part"]
        if part["surface"] not in {"stated", "silent"}:
            faults.append(f"surface {part['surface']}")
    faults += [f"feature {f} on the object" for f in case.get("features", []) if scope(f) != "object"]
    for join in case.get("joins", []):
        if join["kind"] not in JOINS or len(join["parts"]) != 2 or not set(join["parts"]) <= set(ids):
            faults.append(f"join {join}")
    faults += [f"water {water}" for water in set(case["water"]) - WATERS]
    faults += [f"done {done}" for done in set(case.get("done", [])) - DONE]
    if case["wet_state"] not in WET_STATES:
        faults.append(f"wet_state {case['wet_state']}")
    return faults


def scope(feature: str) -> str:
    """Whether a feature is seen on a part or on the whole; empty if nobody knows it."""
    return str(FEATURES.get(feature, {}).get("scope", ""))


def assertion_faults(case: Case) -> list[str]:
    """Assertions nobody can grade, that contradict each other, or that let something into the sun."""
    parts = {part["id"] for part in case["parts"]}
    must, must_not = case["must"], case.get("must_not", [])
    faults = [f"{a}: {why}" for a in [*must, *must_not] if (why := misspelt(a, parts))]
    if not 8 <= len(must) <= 16:
        faults.append(f"{len(must)} assertions")
    if len(set(must)) != len(must) or len(set(must_not)) != len(must_not):
        faults.append("said twice")
    faults += [f"{a} is asked and forbidden" for a in set(must) & set(must_not)]
    faults += [a for a in must if a.startswith("sun") and a != "sun:no"]
    exact = Counter(found[1] for a in must if (found := VERDICT.fullmatch(a)) and found[2] == ":")
    faults += [f"two verdicts on {action}" for action, times in exact.items() if times > 1]
    asserted = {re.split(r"[:<>]", a)[0] for a in must}
    faults += [
        f"page speaks of {a}, which is not asserted" for a in case.get("page", []) if a not in asserted
    ]
    return faults


def source_faults(case: Case) -> list[str]:
    """A case without an honest source."""
    source = case["source"]
    if source.keys() != {"title", "publisher", "year", "at", "key", "read"}:
        return [f"source keys {sorted(source)}"]
    faults = []
    if source["read"] not in READ:
        faults.append(f"read {source['read']}")
    if not 3 <= len(source["at"].split()) <= 25:
        faults.append("at: 3 to 25 words")
    if source["read"] == "common practice":
        if source["title"] != "common practice, no published source" or source["key"]:
            faults.append("common practice names no source")
    elif not (source["title"] and source["publisher"] and re.fullmatch(r"[SR]\d{1,2}", source["key"])):
        faults.append("title, publisher and key")
    return faults


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_a_case_is_well_formed(case: Case) -> None:
    """Known keys, gradable assertions, a source, and a name and a line of its own."""
    assert re.fullmatch(r"case\.[a-z0-9_]+", case["id"])
    assert 10 <= len(case["about"]) <= 180
    assert "\n" not in case["about"]
    assert shape_faults(case) + assertion_faults(case) + source_faults(case) == []


def test_ids_are_unique_and_files_small() -> None:
    """No id twice; no file above 400 lines."""
    assert [name for name, times in Counter(case["id"] for case in CASES).items() if times > 1] == []
    for path in CASES_DIR.glob("*.toml"):
        assert len(path.read_text(encoding="utf-8").splitlines()) <= 400, path.name


def is_mild_single(case: Case) -> bool:
    """One sound material with at least six actions left open, one of them taking water off."""
    verdicts = [found for a in case["must"] if (found := VERDICT.fullmatch(a))]
    open_actions = {found[1] for found in verdicts if found[2] + found[3] in MILD}
    return len(case["parts"]) == 1 and len(open_actions) >= 6 and bool(open_actions & REMOVES_WATER)


def counts() -> dict[str, int]:
    """How many cases of each wanted kind there are."""
    return {
        "all": len(CASES),
        "three_materials": sum(len({p["material"] for p in c["parts"]}) >= 3 for c in CASES),
        "disagree": sum(bool(c.get("disagree")) for c in CASES),
        "stop": sum("stop" in c["must"] for c in CASES),
        "salt_water": sum(bool({"sea", "brackish"} & set(c["water"])) for c in CASES),
        "dry_with_mud": sum(c["wet_state"] == "dry_with_mud" for c in CASES),
        "damp_air_only": sum(c["wet_state"] == "damp_air_only" for c in CASES),
        "mouldy": sum("mouldy" in c.get("features", []) for c in CASES),
        "unknown": sum(any(p["material"].endswith("_unknown") for p in c["parts"]) for c in CASES),
        "mild_single": sum(map(is_mild_single, CASES)),
    }


LEAST = {
    "all": 400,
    "three_materials": 28,
    "disagree": 18,
    "stop": 20,
    "salt_water": 16,
    "dry_with_mud": 10,
    "damp_air_only": 6,
    "mouldy": 4,
    "unknown": 5,
    "mild_single": 14,
}


def test_there_are_enough_of_each_kind() -> None:
    """The least number of each kind; common practice backs at most sixty, and no more than one in eight."""
    have = counts()
    assert {kind: have[kind] for kind in LEAST if have[kind] < LEAST[kind]} == {}
    practice = sum(c["source"]["read"] == "common practice" for c in CASES)
    assert practice <= min(60, len(CASES) // 8)


def test_every_family_in_scope_and_every_action_is_asserted() -> None:
    """Each family stands in a case, also those out of scope; each action has a verdict somewhere."""
    families = {
        MATERIALS[p["material"]]["family"] for c in CASES for p in c["parts"] if p["material"] in MATERIALS
    }
    assert families == {m["family"] for m in MATERIALS.values()}
    asserted = {found[1] for c in CASES for a in c["must"] if (found := VERDICT.fullmatch(a))}
    assert asserted == ACTIONS


@pytest.mark.parametrize(
    "wrong",
    [
        "rinse:maybe",
        "bath:no",
        "zone:attic",
        "local:p9:blot",
        "rh_in:[60,40]",
        "hazard:spirits",
        "step:polish",
        "clock:soon",
        "conflict:action:scrub",
        "start_by<=soon",
        "Rinse it gently",
    ],
)
def test_the_vocabulary_can_say_no(wrong: str) -> None:
    """A slip in an assertion is found."""
    assert misspelt(wrong, {"p1"}) != ""


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("must", ["sun:careful"] * 8),
        ("must", ["rinse:no"]),
        ("must", ["rinse:no", "rinse:yes", "wipe:no", "blot:no", "freeze:no", "stop", "guard", "lift:no"]),
        ("must_not", ["bath:no"]),
        ("page", ["weigh"]),
    ],
)
def test_the_assertion_check_can_fail(key: str, value: list[str]) -> None:
    """Sun, too few, two verdicts, a slip, and a page that speaks of something else are all found."""
    assert assertion_faults({**CASES[0], key: value}) != []


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("parts", [{"id": "p1", "material": "cheese", "features": [], "surface": "stated"}]),
        ("features", ["haunted"]),
        ("joins", [{"kind": "nailed", "parts": ["p1", "p7"]}]),
        ("water", ["tea"]),
        ("wet_state", "soaked"),
        ("remark", "none"),
    ],
)
def test_the_shape_check_can_fail(key: str, value: object) -> None:
    """Unknown keys, materials, features, joins, waters and states are found."""
    assert shape_faults({**CASES[0], key: value}) != []


@pytest.mark.parametrize(
    ("key", "value"), [("read", "perhaps"), ("at", "short"), ("title", ""), ("key", "Z1"), ("key", "")]
)
def test_the_source_check_can_fail(key: str, value: str) -> None:
    """An unread, unsaid, unnamed or unkeyed source is found."""
    case = next(c for c in CASES if c["source"]["read"] == "yes")
    assert source_faults({**case, "source": {**case["source"], key: value}}) != []
