"""The tray card: A5, things whose next steps are the same, a box per step and tag, read out to the scribe."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from strandline.papers import reading
from strandline.papers.compile import CompiledPaper, compile_paper
from strandline.papers.endings import endings
from strandline.papers.head import Head
from strandline.papers.wording import _

COLUMNS = 4
AHEAD = 2
"""Steps of each thing that the card looks ahead to, and the columns there is room for."""

StepId = tuple[str, str]


def tray_cards(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """Cards of ``given["trays"]``: each {tray, place, objects (of ``strandline.care/1``), done}.

    ``done`` holds, by tag, the keys of steps already done.  A thing under a stop has no boxes; one whose
    next step has no room on the card is named with "take its own card".
    """
    trays = [_tray(tray) for tray in given["trays"]]
    data = {**head.data(_("Tray card")), "words": words(), "endings": endings(), "trays": trays}
    return compile_paper("tray_card", data)


def words() -> dict[str, str]:
    """What the card says of itself."""
    return {
        "tray": _("Tray"),
        "count": _("Counted out:"),
        "back": _("Counted back:"),
        "stop": _("STOP"),
        "guards": _("Guard yourself"),
        "all_no": _("No, for all:"),
        "no": _("No:"),
        "tag": _("Tag"),
        "own": _("Take its own card:"),
        "notes": _("Differently or not done: tag, step, what"),
        "read_out": _("Read it out to the scribe: tag, step, how it ended. Not sure? Say so and leave it."),
        "plan": _("plan"),
        "who": _("Who"),
    }


def _tray(tray: Mapping[str, Any]) -> dict[str, Any]:
    objects: Sequence[reading.Object] = tray["objects"]
    done: Mapping[str, Collection[str]] = tray.get("done", {})
    ahead = {o["tag"]: reading.steps_left(o, done.get(o["tag"], ()))[:AHEAD] for o in objects}
    free = [o for o in objects if not reading.stops(o)]
    columns = _columns([ahead[o["tag"]] for o in free])
    forbidden = {o["tag"]: _forbidden(o, ahead[o["tag"]]) for o in free}
    common = [word for word in _flat(forbidden) if all(word in words for words in forbidden.values())]
    own = [o["tag"] for o in free if ahead[o["tag"]] and _id(ahead[o["tag"]][0]) not in columns]
    return {
        "tray": str(tray["tray"]),
        "place": str(tray.get("place") or ""),
        "count": len(objects),
        "stops": [{"tag": o["tag"], "all": reading.stops(o)} for o in objects if reading.stops(o)],
        "guards": _guards(objects),
        "site": reading.site_line(objects[0]) if objects else "",
        "common_no": ", ".join(common),
        "own": ", ".join(own),
        "columns": [{"letter": "ABCD"[n], **_say(free, ahead, column)} for n, column in enumerate(columns)],
        "rows": [
            _row(o, ahead[o["tag"]], columns, [w for w in forbidden[o["tag"]] if w not in common])
            for o in free
        ],
    }


def _id(step: Mapping[str, Any]) -> StepId:
    return str(step["key"]), str(step["text"])


def _columns(ahead: Sequence[Sequence[Mapping[str, Any]]]) -> list[StepId]:
    """The steps that get a column: first steps before later ones, the common before the rare."""
    first = Counter(_id(steps[0]) for steps in ahead if steps)
    later = Counter(_id(step) for steps in ahead for step in steps[1:])
    chosen = [step for step, _n in first.most_common(COLUMNS)]
    chosen += [step for step, _n in later.most_common() if step not in first][: COLUMNS - len(chosen)]
    numbers = {_id(step): int(step["n"]) for steps in ahead for step in steps}
    return sorted(chosen, key=lambda step: numbers[step])


def _say(
    objects: Sequence[reading.Object], ahead: Mapping[str, Sequence[Mapping[str, Any]]], column: StepId
) -> dict[str, Any]:
    steps = [step for o in objects for step in ahead[o["tag"]] if _id(step) == column]
    return reading.step_line(steps[0])


def _row(
    o: reading.Object, ahead: Sequence[Mapping[str, Any]], columns: Sequence[StepId], more_no: Sequence[str]
) -> dict[str, Any]:
    has = {_id(step) for step in ahead}
    return {
        "tag": o["tag"],
        "title": o.get("title") or "",
        "plan": str(o.get("plan_no") or "-"),
        "no": ", ".join(more_no),
        "boxes": [column in has for column in columns],
    }


def _forbidden(o: reading.Object, ahead: Sequence[Mapping[str, Any]]) -> list[str]:
    return list(dict.fromkeys(word for step in ahead or (None,) for word in reading.no_words(o, step)))


def _flat(forbidden: Mapping[str, Sequence[str]]) -> list[str]:
    return list(dict.fromkeys(word for words in forbidden.values() for word in words))


def _guards(objects: Sequence[reading.Object]) -> list[dict[str, str]]:
    """Each guard once, with the tags it holds for."""
    tags: dict[str, list[str]] = {}
    for o in objects:
        for guard in reading.guards(o):
            tags.setdefault(guard["say"], []).append(o["tag"])
    everything = len(objects)
    return [
        {"say": say, "tags": _("all") if len(held) == everything else ", ".join(held)}
        for say, held in tags.items()
    ]
