"""Intake of one thing: a form as it was sent becomes facts, a photograph, and perhaps a row of the list."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, TypeVar

from django.utils.translation import gettext as _

from strandline.pipeline.tags import tidy
from strandline.records.models.acts import Act
from strandline.records.models.objects import ListRow
from strandline.records.models.people import Party
from strandline.records.models.sites import Incident, Place
from strandline.records.photos import Kept, NoOriginal, keep, original
from strandline.records.pictures import MOST_BYTES, NotAPicture
from strandline.services.acting import Refused
from strandline.services.import_list import OURS, facts_of_row
from strandline.services.looks import taking_in_words as words
from strandline.services.looks.taking_in_intake import LONGEST_MATERIALS, LONGEST_TITLE
from strandline.services.photograph import photos_folder
from strandline.services.receive import next_tag
from strandline.things.facts import Facts
from strandline.things.tags import TagError, check_tag
from strandline.web.pages import BadForm, Sent

R = TypeVar("R")
LONGEST_SPOT = 200
FOUND_AT = "found at"
"""Under this word ``Facts.kept`` says at which spot a thing was found."""


class Incomplete(BadForm):
    """Intake that cannot be done yet.  What was photographed is kept, and the form says which it was."""

    def __init__(self, errors: Mapping[str, str], kept: Kept | None) -> None:
        super().__init__(errors)
        if kept is not None:
            self.errors["photo_kept"] = kept.sha256


@dataclass(frozen=True, slots=True)
class Typed:
    """What a form says of a thing, each key known; '' and () where nothing was said."""

    tag: str
    hazards: tuple[str, ...]
    materials: tuple[str, ...]
    stuff: str
    title: str
    state: str
    done: tuple[str, ...]
    seen: tuple[str, ...]
    spot: str
    place: Place | None
    owner: Party | None
    row: ListRow | None


def attempt(errors: dict[str, str], read: Callable[[], R]) -> R | None:
    """What ``read`` gives; None, with its errors kept beside the others, where a field cannot be used."""
    try:
        return read()
    except BadForm as error:
        errors.update(error.errors)
        return None


def photo_of(sent: Sent) -> Kept | None:
    """The photograph of a form, kept on the disk; also one kept when the form came the first time."""
    file = sent.files.get("photo")
    again = sent.text("photo_kept", 64)
    try:
        if file is not None:
            if file.size > MOST_BYTES:
                raise NotAPicture(
                    _("the file is larger than %(most)s MB") % {"most": MOST_BYTES // 1_000_000}
                )
            return keep(photos_folder(), file.read(), sent.at)
        return (
            keep(photos_folder(), original(photos_folder(), again).read_bytes(), sent.at) if again else None
        )
    except (NotAPicture, NoOriginal) as error:
        raise BadForm(
            {
                "photo": _("%(why)s. Choose the photograph again; all else stands as you left it.")
                % {"why": error}
            }
        ) from error


def typed_of(sent: Sent, incident: Incident) -> Typed:
    """Every field of a form, looked at; BadForm with all that cannot be used."""
    errors: dict[str, str] = {}
    found: dict[str, Any] = {
        "tag": attempt(errors, lambda: _tag(sent, incident)),
        "hazards": attempt(errors, lambda: _hazards(sent)),
        "materials": attempt(errors, lambda: ticked(sent, "material", words.materials())),
        "stuff": attempt(errors, lambda: sent.text("materials", LONGEST_MATERIALS)),
        "title": attempt(errors, lambda: sent.text("title", LONGEST_TITLE)),
        "state": attempt(errors, lambda: sent.one_of("state", frozenset(words.states()))),
        "done": attempt(errors, lambda: ticked(sent, "done", words.done())),
        "seen": attempt(errors, lambda: _seen(sent)),
        "spot": attempt(errors, lambda: sent.text("spot", LONGEST_SPOT)),
        "place": attempt(errors, lambda: _place(sent, incident)),
        "owner": attempt(errors, lambda: _owner(sent, incident)),
        "row": attempt(errors, lambda: _row(sent, incident)),
    }
    if not errors and not (found["hazards"] or found["materials"] or found["stuff"] or found["row"]):
        errors["material"] = _("tap what it is made of, or 'not sure'")
    if errors:
        raise BadForm(errors)
    return Typed(**found)


def ticked(sent: Sent, name: str, known: Mapping[str, str]) -> tuple[str, ...]:
    """Keys that were ticked, in the order they are shown."""
    said = {str(one) for one in sent.form.getlist(name)}
    if odd := sorted(said - known.keys()):
        raise BadForm({name: _("'%(got)s' cannot be ticked here") % {"got": odd[0][:60]}})
    return tuple(key for key in known if key in said)


def _hazards(sent: Sent) -> tuple[str, ...]:
    found = ticked(sent, "hazard", words.hazards())
    none = sent.form.get("none") == "1"
    if not found and not none:
        raise BadForm({"hazard": _("look first: tick what you see, or 'none of these'")})
    if found and none:
        raise BadForm({"hazard": _("'none of these' is ticked and a picture too; which is it?")})
    return found


def _seen(sent: Sent) -> tuple[str, ...]:
    found = ticked(sent, "seen", words.seen())
    if "bare" in found and {"paint", "gilding", "veneer"} & set(found):
        raise BadForm({"seen": _("'bare' is ticked and something on it too; which is it?")})
    return found


def _tag(sent: Sent, incident: Incident) -> str:
    typed = sent.text("tag", 40)
    try:
        return check_tag(tidy(typed)) if typed else _allotted(sent, incident)
    except (TagError, Refused) as error:
        raise BadForm({"tag": str(error)}) from error


def _allotted(sent: Sent, incident: Incident) -> str:
    """The next free tag, or the one that was free when the form came the first time."""
    first = Act.objects.filter(key=sent.caller.key, kind="receive").first()
    return str(first.payload["facts"]["tag"]) if first else next_tag(incident)


def _place(sent: Sent, incident: Incident) -> Place | None:
    uid = sent.uid("place")
    found = Place.objects.filter(incident=incident, uid=uid).first() if uid else None
    if uid and found is None:
        raise BadForm({"place": _("this place is none of %(code)s; choose again") % {"code": incident.code}})
    return found


def _owner(sent: Sent, incident: Incident) -> Party | None:
    uid = sent.uid("owner")
    of_incident = Party.objects.filter(roles__incident=incident, erased_at=None)
    found = of_incident.filter(uid=uid).first() if uid else None
    if uid and found is None:
        raise BadForm({"owner": _("this owner is none of %(code)s; choose again") % {"code": incident.code}})
    return found


def _row(sent: Sent, incident: Incident) -> ListRow | None:
    uid = sent.uid("row")
    found = ListRow.objects.filter(incident=incident, uid=uid).first() if uid else None
    if uid and found is None:
        raise BadForm({"row": _("this row is of another list; choose again")})
    return found


def moment_of(sent: Sent) -> datetime:
    """The moment the facts of a form are as at: its own, or that of the first time it was sent."""
    first = Act.objects.filter(key=sent.caller.key).first()
    return first.device_at if first else sent.at


def facts_of(typed: Typed, incident: Incident, at: datetime) -> Facts:
    """The facts of a thing as the reader of lists reads them, what its row says included."""
    kept = {**(typed.row.kept if typed.row else {}), **({FOUND_AT: typed.spot} if typed.spot else {})}
    facts = _read(typed, incident, at, _cells(typed), kept)
    if f"{OURS}parts" in kept:
        # The row states its parts, so its texts were not read for any: what was seen is read beside them.
        facts = _both(facts, _read(typed, incident, at, _seen_now(typed), {}))
    if typed.state:
        facts = replace(facts, known_by={**facts.known_by, "wet_state": "seen"})
    return facts if facts.title else replace(facts, title=_title(typed))


def _read(
    typed: Typed, incident: Incident, at: datetime, cells: dict[str, str], kept: dict[str, str]
) -> Facts:
    number = typed.row.row if typed.row else 0
    row = ListRow(incident=incident, row=number, cells={**cells, "tag": typed.tag}, kept=kept)
    facts, _problems = facts_of_row(row, typed.tag, incident, at)
    if facts is None:
        raise BadForm({"material": _("nothing here says what it is")})
    return facts


def _both(listed: Facts, seen: Facts) -> Facts:
    """Stated parts, behind them those seen; features seen on no part in particular are the whole's."""
    named = [part for part in seen.parts if part.material != "unknown"]
    loose = {key for part in seen.parts if part.material == "unknown" for key in part.features}
    first = 1 + max((int(part.id[1:]) for part in listed.parts if part.id[1:].isdecimal()), default=0)
    more = [replace(part, id=f"p{first + n}") for n, part in enumerate(named)]
    features = tuple(sorted({*listed.features, *seen.features, *loose}))
    return replace(listed, parts=(*listed.parts, *more), features=features)


def _seen_now(typed: Typed) -> dict[str, str]:
    """Cells for what was tapped and typed alone."""
    said = words.said()
    seen = [said["seen"][key] for key in typed.seen] + [said["hazard"][key] for key in typed.hazards]
    stuff = [said["material"][key] for key in typed.materials]
    return {"materials": _joined(*stuff, typed.stuff), "features": _joined(*seen)}


def _cells(typed: Typed) -> dict[str, str]:
    """Cells of the row, overruled or continued by what was tapped and typed."""
    listed = {key: str(text) for key, text in typed.row.cells.items()} if typed.row else {}
    now = _seen_now(typed)
    done = "; ".join(key.replace("_", " ") for key in typed.done)
    return {
        **listed,
        "title": typed.title or listed.get("title", ""),
        "materials": _joined(listed.get("materials", ""), now["materials"]),
        "features": _joined(listed.get("features", ""), now["features"]),
        "wet_state": typed.state.replace("_", " ") or listed.get("wet_state", ""),
        "done_already": done or listed.get("done_already", ""),
    }


def _joined(*texts: str) -> str:
    return "; ".join(text for text in texts if text.strip())


def _title(typed: Typed) -> str:
    """What a thing is called until somebody names it."""
    names = [words.hazards()[key] for key in typed.hazards]
    stuff = [words.materials()[key] for key in typed.materials if key != "not_sure"]
    parts = names or [*stuff, *([typed.stuff] if typed.stuff else [])]
    text = ", ".join(parts) or _("not named yet")
    return (text[0].upper() + text[1:])[:LONGEST_TITLE]
