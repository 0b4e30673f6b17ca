"""Small plans in the shape of ``strandline.care/1`` to print, from the invented incident."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from strandline.papers.head import Head

Json = dict[str, Any]
HEAD = Head(
    "ORNL1",
    "Ostrey Reach Net Loft and Chandlery",
    datetime(2026, 3, 15, 15, 40, tzinfo=UTC),
    "Europe/London",
    "2026.1",
)


def because(rule: str, confidence: str = "c", override: str = "") -> list[Json]:
    """One reason."""
    found = {
        "rule": rule,
        "why": "It is so.",
        "source": [],
        "confidence": confidence,
        "facts": [],
        "parts": [],
    }
    return [{**found, "override": override}] if override else [found]


def verdict(word: str, how: str | None = None, confidence: str = "c") -> Json:
    """A verdict on an action."""
    return {"verdict": word, "provisional": None, "how": how, "because": because("act.x.y", confidence)}


def hazard(key: str, grade: str, say: str, scope: str = "object", **more: Any) -> Json:
    """A hazard."""
    return {"key": key, "grade": grade, "scope": scope, "say": say, "because": because(f"hz.{key}"), **more}


def step(n: int, key: str, text: str, action: str | None = None, **more: Any) -> Json:
    """A step due four hours after the thing came out of the water."""
    by = {"at_h": 4.0, "origin": "emerged"}
    held = {"n": n, "key": key, "text": text, "action": action, "kind": "act", "role": "helper", "people": 1}
    return {**held, "parts": ["p1"], "by": by, "rules": [f"step.{key}"], **more}


def thing(tag: str, title: str, **more: Any) -> Json:
    """An object with nothing in its plan but what ``more`` brings."""
    facts = {"wet_since": "2026-03-15T02:40:00+00:00", "out_since": "2026-03-15T15:10:00+00:00"}
    bare: Json = {
        "tag": tag,
        "title": title,
        "materials": "",
        "plan_no": 1,
        "facts": facts,
        "parts": [],
        "hazards": [],
        "actions": {},
        "steps": [],
        "holding": {"do": ["Shade, level, tray under."], "good_until": None, "lost_after": ""},
        "assumed": [],
        "overrides": [],
    }
    return {**bare, **more}


def jar(tag: str = "0043") -> Json:
    """A thing with a short plan: one side."""
    return thing(
        tag,
        "Stoneware jar",
        materials="glazed stoneware",
        actions={
            "lift": verdict("careful", "Two hands under it, never by the rim."),
            "rinse": verdict("yes"),
            "wipe": verdict("no", "Nothing is wiped."),
            "sun": verdict("no", "Keep it in shade.", "v"),
        },
        steps=[
            step(1, "photograph", "Photograph it where it stands, with a scale."),
            step(2, "rinse", "Rinse it in cold tap water.", "rinse"),
        ],
        hazards=[hazard("sewage", "guard", "Gloves, eye cover, apron.", "site")],
    )


def chest(tag: str = "0042") -> Json:
    """A thing with a long plan, an override, local verdicts, guards: more than one side."""
    long = "Press, lift, take a new cloth each time, and stay a hand's width off the lid and its paint. "
    names = ["lift", "rinse", "immerse", "brush_wet", "wipe", "open_up", "operate", "turn", "freeze", "sun"]
    actions = {name: verdict("no", f"Not {name}.", "v") for name in names}
    actions["blot"] = verdict("no", "No cloth on the lid.", "v")
    actions["cover"] = verdict("careful", long * 2)
    actions["weigh"] = verdict("refer", "Too big.")
    actions["drip_dry"] = {
        **verdict("careful", "Where it stands."),
        "because": because("act.drip_dry.wood", "m"),
    }
    bands = {"id": "p2", "name": "bands", "local": {"blot": verdict("yes", long)}}
    return thing(
        tag,
        "Sea chest, rope beckets, iron bands, painted lid",
        materials="oak",
        plan_no=3,
        parts=[{"id": "p1", "name": "carcass"}, bands],
        actions=actions,
        hazards=[
            hazard("sewage", "guard", "Gloves, eye cover, apron.", "site"),
            hazard("lead_paint", "guard", "Old paint: gloves, no dry brushing, wash hands. " * 2),
            hazard("sharp_metal", "guard", "Rusted edges cut: cut-resistant gloves. " * 3),
            hazard("bees", "note", "Somebody saw bees in it. " * 3),
        ],
        holding={
            "do": ["Shade, level, paint side up.", long, "Blot the bands only."],
            "good_until": "2026-03-15T19:10:00+00:00",
            "lost_after": "Rust runs on to the paint.",
        },
        steps=[
            step(1, "blot", "Blot the iron bands: press, lift, new cloth.", "blot", verdict_of="p2"),
            step(2, "look", "Look at the lid before anything touches it.", role="conservator", people=2),
            step(3, "cover", long, "cover"),
            step(4, "watch", "Look daily for fuzz."),
            step(5, "recheck", "Look again in two weeks."),
        ],
        assumed=[{"fact": "mass_g", "ask": "Is it full of water?", "changes": 4}],
        overrides=[
            {
                "target": "act.cover.wood",
                "value": {"verdict": "careful"},
                "reason": "Our covers are open at both ends.",
                "person": "lead conservator",
            }
        ],
    )


def chronometer(tag: str = "0004") -> Json:
    """A thing under a stop."""
    stop = hazard(
        "radium", "stop", "Glowing dial: do not touch it, shut the door.", keep_m=5, call="radiation adviser"
    )
    return thing(
        tag,
        "Chronometer, dial glows",
        hazards=[stop, hazard("spring", "guard", "A wound spring may be under load.")],
        actions={"lift": verdict("refer", "Not before release."), "open_up": verdict("no", "Keep it shut.")},
        steps=[step(1, "photograph", "Photograph it from where you stand.")],
    )


def samples() -> dict[str, Json]:
    """For each paper, data that fills it."""
    objects = [chest(), jar(), chronometer()]
    row = {"owner": "museum", "title": "Stoneware jar", "place": "Chandlery, shelf 2"}
    return {
        "care_card": {"objects": objects},
        "tags": {"first": 41, "count": 12, "reserved_for": "table 2"},
        "class_cards": {
            "classes": [
                {"title": "Glazed, sound ceramic", "note": "Shiny all over.", "object": jar()},
                {"title": "Painted wood: do not touch", "object": chest()},
                {"title": "Glowing dial", "object": chronometer()},
            ]
        },
        "tray_card": {
            "trays": [{"tray": "T3", "place": "Rinse table 2", "objects": [jar("0050"), *objects]}]
        },
        "day_sheet": {
            "sheets": [
                {
                    "station": "Rinse table 2",
                    "half_shift": "Sun 15 March, afternoon",
                    "rows": [{"object": o, "who": "helper 3"} for o in objects],
                }
            ]
        },
        "intake_form": {"tags": ["0042"]},
        "hazard_walk": {"rooms": ["Net Floor"]},
        "site_briefing": {
            "cautions": [{"about": "lifting", "say": "Seven kilograms from the ground.", "confidence": "m"}],
            "stop_words": ["STAND STILL"],
            "releases": [{"room": "Net Floor", "role": "surveyor", "at": "2026-03-15T13:10:00+00:00"}],
            "hazards": [
                {"say": "Treat the mud as sewage.", "grade": "guard"},
                {"say": "Power stays off.", "grade": "stop"},
            ],
        },
        "sign_in": {"crew": ["lead conservator", "helper 1"]},
        "owner_advice": {"call": "the lead conservator"},
        "list_against_reality": {
            "groups": {
                "found": [{**row, "tag": "0001"}, {**row, "tag": "0002", "owner": "lender B"}],
                "not_seen": [{**row, "owner_number": "1987.14", "water_line": "under"}],
                "unlisted": [{**row, "tag": "0141", "owner": ""}],
                "counts_differ": [{**row, "tag": "0003", "listed": 12, "counted": 11}],
            }
        },
        "order_sheet": {
            "rows": [
                {
                    "place": 1,
                    "tag": "0008",
                    "title": "Harpoon",
                    "why": "Bare iron rusts within the day.",
                    "steps": ["Photograph it", {"key": "blot_iron"}],
                    "by": "2026-03-15T19:10:00+00:00",
                    "plan_no": 2,
                }
            ],
            "stops": [{"tag": "0004", "title": "Chronometer", "say": "Glowing dial."}],
        },
    }
