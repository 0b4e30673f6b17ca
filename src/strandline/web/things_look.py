"""What the forms of the looking-over do: answers and ticks become observations, and a new plan follows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from strandline.care.assumed import STATE_ANSWERS
from strandline.knowledge import models as m
from strandline.knowledge.base import shipped
from strandline.records import translate
from strandline.records.models.acts import Act
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Object, Part
from strandline.services.acting import all_or_none
from strandline.services.looks.asked import HANDS
from strandline.services.looks.things_look_over import SIZES
from strandline.services.observe import observe
from strandline.services.observe_part import FIELDS, add_part, observe_part
from strandline.services.plan import plan
from strandline.things.facts import KnownBy
from strandline.web.pages import BadForm, Deed, Sent
from strandline.web.things_asked import address, asked_thing

MOST: Mapping[str, float] = {"mass_g": 20_000, "dry_mass_g": 20_000, "pieces": 100_000}
"""The most that can be typed, in the unit that is typed; lengths up to 50 m."""
LONGEST_MM = 50_000.0
KEYED: tuple[str, ...] = ("plan", *FIELDS, *translate.KEYS)
"""What the acts of one form are keyed by: the plan, and what was seen of a part or of the whole."""


def _follow(sent: Sent, thing: Object) -> str:
    """The plan follows what was seen, and the page tells what changed; the same when it is sent again."""
    made = plan(sent.keyed("plan"), thing)
    query = {"since": str(max(made.number - 1, 1))}
    skip = sent.text("skip", 500)
    return address("look_over", thing, urlencode({**query, "skip": skip} if skip else query))


def _sent_before(sent: Sent) -> bool:
    """Whether anything of this very form was kept already; then its plan follows, if it did not yet."""
    return Act.objects.filter(key__in=[sent.keyed(name).key for name in KEYED]).exists()


def _saw(sent: Sent, thing: Object, key: str) -> Observation | None:
    """The observation that the page had in view when it was loaded."""
    text = sent.text(f"saw-{key}", 40)
    rows = Observation.objects.filter(object=thing, key=key, part__isnull=True)
    return next((row for row in rows if str(row.uid) == text), None)


def do_answer(sent: Sent) -> str:
    """Answer one question; not sure changes nothing and goes on to the next."""
    thing = asked_thing(sent)
    fact = sent.needed("fact", _("the question"), 100)
    answer = sent.text("answer", 200)
    if answer == "not_sure":
        skipped = [one for one in sent.text("skip", 500).split(",") if one]
        query = urlencode({"skip": ",".join(dict.fromkeys([*skipped, fact]))})
        return address("look_over", thing, query)
    about, _colon, part = fact.partition(":")
    if about in ON_PART:
        value, by = ON_PART[about](sent, answer)
        field = "thickness_mm" if about == "thickness" else about
        observe_part(sent.caller, thing, part, field, value, by)
    elif about in OF_WHOLE:
        value, by = OF_WHOLE[about](sent, answer)
        observe(sent.caller, thing, about, value, by, _saw(sent, thing, about))
    else:
        raise BadForm({"fact": _("this question is answered with the ticks below")})
    return _follow(sent, thing)


Read = Callable[[Sent, str], tuple[Any, KnownBy]]


def _material(sent: Sent, answer: str) -> tuple[Any, KnownBy]:
    return material_key("typed", answer or sent.text("typed", 100)), "seen"


def _surface(sent: Sent, answer: str) -> tuple[Any, KnownBy]:
    key = answer or feature_key("typed", sent.text("typed", 100))
    if key not in shipped().features or not shipped().features[key].surface:
        raise BadForm({"typed": _("'%(key)s' is no surface; choose one of the list") % {"key": key}})
    return key, "seen"


def _number(name: str, least: float, most: float, factor: float = 1.0) -> Read:
    def read(sent: Sent, answer: str) -> tuple[Any, KnownBy]:
        found = sent.number(name, least, most)
        if found is None:
            raise BadForm({name: _("type a number, or press Not sure")})
        return whole(found * factor), "measured"

    return read


def whole(value: float) -> float | int:
    """A number without a point where it has none."""
    return int(value) if float(value).is_integer() else round(value, 4)


def _moment(sent: Sent, answer: str) -> tuple[Any, KnownBy]:
    text = sent.text("typed", 40)
    try:
        found = datetime.fromisoformat(text)
    except ValueError as error:
        raise BadForm({"typed": _("a day and a time, as 2026-03-15T15:40")}) from error
    if found.tzinfo is None:
        found = found.replace(tzinfo=ZoneInfo(asked_thing(sent).incident.zone))
    if found > sent.at:
        raise BadForm({"typed": _("this is still to come")})
    return found.astimezone(UTC).isoformat(), "stated"


def _word(words: tuple[str, ...]) -> Read:
    def read(sent: Sent, answer: str) -> tuple[Any, KnownBy]:
        if answer not in words:
            raise BadForm({"answer": _("'%(got)s' is no answer to this question") % {"got": answer}})
        return answer, "seen"

    return read


def _waters(sent: Sent, answer: str) -> tuple[Any, KnownBy]:
    found = sorted(answer.split(","))
    if not set(found) <= set(m.WATERS):
        raise BadForm({"answer": _("'%(got)s' is no answer to this question") % {"got": answer}})
    return found, "seen"


def _significance(sent: Sent, answer: str) -> tuple[Any, KnownBy]:
    value, _by = _word(("1", "2", "3", "4", "5"))(sent, answer)
    return int(value), "stated"


ON_PART: Mapping[str, Read] = {
    "surface": _surface, "material": _material, "thickness": _number("typed", 0.01, 5000),
}  # fmt: skip
OF_WHOLE: Mapping[str, Read] = {
    "mass_g": _number("typed", 0.001, 20_000, 1000.0),
    "water": _waters,
    "wet_state": _word(STATE_ANSWERS),
    "significance": _significance,
    "wet_since": _moment,
    "out_since": _moment,
    "under_water_h": _number("typed", 0, 100_000),
    "pieces": _number("typed", 0, 100_000),
}
"""By what is asked, how the answer is read."""


def material_key(name: str, text: str) -> str:
    """The key of a material or family that was chosen or typed by its words; BadForm."""
    known = shipped()
    asked = text.strip().casefold()
    for key, one in known.materials.items():
        if asked in {key, one.say.casefold()}:
            return key
    for key, family in known.families.items():
        if asked in {f"{key}_unknown", key, f"{family.say}, not known which".casefold()}:
            return key if key == "unknown" else f"{key}_unknown"
    raise BadForm({name: _("'%(text)s' is no material of the list") % {"text": text}})


def feature_key(name: str, text: str) -> str:
    """The key of something seen on a part that was typed by its words; BadForm."""
    asked = text.strip().casefold()
    for key, one in shipped().features.items():
        if one.scope == "part" and asked in {key, one.say.casefold()}:
            return key
    raise BadForm({name: _("'%(text)s' is not in the list of what is seen on a part") % {"text": text}})


def do_part(sent: Sent) -> str:
    """Keep what was seen of one part: only what differs from what is known."""
    thing = asked_thing(sent)
    key = sent.needed("part", _("the part"), 16)
    row = Part.objects.filter(object=thing, key=key).first()
    if row is None:
        raise BadForm({"part": _("this part is not there; load the page again")})
    todo: list[tuple[str, Any, KnownBy]] = []
    text = sent.text("material", 100)
    if text and (found := material_key("material", text)) != row.material:
        todo.append(("material", found, "seen"))
    ticked = _ticked(sent, row)
    if ticked != sorted(row.features):
        todo.append(("features", ticked, "seen"))
    thick = sent.number("thickness_mm", 0.01, 5000)
    if thick is not None and thick != row.thickness_mm:
        todo.append(("thickness_mm", whole(thick), "measured"))
    if not todo and not _sent_before(sent):
        raise BadForm({"part": _("nothing new was ticked or typed for this part")})

    def keep() -> None:
        for field, value, by in todo:
            observe_part(sent.keyed(field), thing, key, field, value, by)

    all_or_none(keep)
    return _follow(sent, thing)


def _ticked(sent: Sent, row: Part) -> list[str]:
    """What is on a part now: what is ticked and typed, and what the page had no tick for."""
    known = shipped().features
    shown = {str(one) for one in sent.form.getlist("shown")}
    ticked = {str(one) for one in sent.form.getlist("feature")}
    if not ticked <= set(known):
        raise BadForm({"feature": _("one of these is not known; load the page again")})
    other = {feature_key("other", one) for one in sent.text("other", 500).split(",") if one.strip()}
    return sorted({one for one in row.features if one not in shown} | ticked | other)


def do_add_part(sent: Sent) -> str:
    """Add a part nobody had noted."""
    thing = asked_thing(sent)
    name = sent.needed("name", _("what the part is called"), 200)
    material = material_key("new_material", sent.needed("new_material", _("its material"), 100))
    to = sent.text("joined_to", 16)
    thick = sent.number("new_thickness_mm", 0.01, 5000)
    add_part(
        sent.caller, thing, name, material, "seen", (), None if thick is None else whole(thick), to,
        sent.one_of("join", m.JOIN_KINDS) if to else "unknown",
    )  # fmt: skip
    return _follow(sent, thing)


def do_whole(sent: Sent) -> str:
    """Keep what was seen, measured and counted of the whole thing: only what differs from what is known."""
    thing = asked_thing(sent)
    held = translate.in_force(thing)
    todo = [*_sizes(sent, held), *_words(sent, held)]
    if not todo and not _sent_before(sent):
        raise BadForm({"whole": _("nothing new was ticked or typed")})

    def keep() -> None:
        for key, value, by in todo:
            observe(sent.keyed(key), thing, key, value, by, _saw(sent, thing, key))

    all_or_none(keep)
    return _follow(sent, thing)


def _sizes(sent: Sent, held: Mapping[str, Observation]) -> list[tuple[str, Any, KnownBy]]:
    found: list[tuple[str, Any, KnownBy]] = []
    for key, factor, _unit in SIZES:
        typed = sent.number(key, 0.0, MOST.get(key, LONGEST_MM))
        if typed is not None and (key not in held or held[key].value != whole(typed * factor)):
            found.append((key, whole(typed * factor), "measured"))
    return found


def _words(sent: Sent, held: Mapping[str, Observation]) -> list[tuple[str, Any, KnownBy]]:
    found: list[tuple[str, Any, KnownBy]] = []
    state = sent.one_of("wet_state", (*m.WET_STATES, "unknown"))
    if state != (held["wet_state"].value if "wet_state" in held else "unknown"):
        found.append(("wet_state", state, "seen"))
    for key, words in (("done_already", m.DONE_ALREADY), ("features", _of_object())):
        ticked = sorted(str(one) for one in sent.form.getlist(key))
        if not set(ticked) <= set(words):
            raise BadForm({key: _("one of these is not known; load the page again")})
        before = list(held[key].value or []) if key in held else []
        value = sorted({*ticked, *(one for one in before if one not in words)})
        if value != sorted(before):
            found.append((key, value, "seen"))
    return found


def _of_object() -> tuple[str, ...]:
    """Features of a whole object."""
    return tuple(key for key, one in shipped().features.items() if one.scope == "object")


SAID = "What you saw is noted, and the plan follows it."
DEEDS: tuple[Deed, ...] = (
    Deed("look_over", "answer", do_answer, HANDS),
    Deed("look_over", "look_part", do_part, HANDS, said=SAID),
    Deed("look_over", "add_part", do_add_part, HANDS, said=SAID),
    Deed("look_over", "look_whole", do_whole, HANDS, said=SAID),
)
