"""What stands at the head and foot of papers: which incident, what hour, which knowledge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from strandline.papers import when
from strandline.papers.compile import PaperError
from strandline.papers.wording import _, marks, not_reviewed
from strandline.things.tags import check_incident


@dataclass(frozen=True, slots=True)
class Head:
    """The incident (code and name), the hour the plans hold for (aware), the zone times are printed in,
    the knowledge version, and whether a practising conservator has reviewed it."""

    incident: str
    name: str
    as_of: datetime
    zone: str = "UTC"
    knowledge: str = ""
    reviewed: bool = False
    lang: str = "en"

    def __post_init__(self) -> None:
        check_incident(self.incident)
        if self.as_of.tzinfo is None:
            raise PaperError("as_of needs a time zone")

    @classmethod
    def of_care(cls, care: Mapping[str, Any], incident: str, name: str, zone: str = "UTC") -> Head:
        """The head of papers made from one ``strandline.care/1`` document."""
        made_by = care["made_by"]
        as_of = when.read(care["as_of"])
        if as_of is None:
            raise PaperError(f"as_of is no time: {care['as_of']!r}")
        knowledge = str(made_by["knowledge"])
        return cls(incident, name, as_of, zone, knowledge, bool(made_by["reviewed"]))

    @property
    def time(self) -> str:
        """The hour to the minute."""
        return when.minute(self.as_of, self.zone)

    def foot(self, what: str) -> str:
        """One line: the paper, the incident, the hour, the knowledge."""
        known = _("knowledge {version}").format(version=self.knowledge) if self.knowledge else ""
        return " · ".join(piece for piece in (what, self.incident, self.time, known) if piece)

    def data(self, title: str) -> dict[str, Any]:
        """What every template needs."""
        return {
            "title": f"{title} · {self.name}",
            "heading": title,
            "incident": self.incident,
            "name": self.name,
            "lang": self.lang,
            "as_of": self.as_of.isoformat(),
            "time": self.time,
            "foot": self.foot(title),
            "of": _("of"),
            "nothing": _("Nothing stands here: no object of this list calls for it."),
            "knowledge": self.knowledge,
            "review": "" if self.reviewed else not_reviewed(),
            "marks": marks(),
        }
