"""Reserve tags: a range of numbers is printed, or set aside for one device, and nobody else is given them."""

from __future__ import annotations

from strandline.records.models.objects import Fragment, Tag, TagRange
from strandline.records.models.people import Device
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.receive import next_tag
from strandline.services.together import hold
from strandline.things.tags import LEAST_DIGITS

MOST = 2000
LONGEST_SHEET = 100


def reserve_tags(
    caller: Caller, incident: Incident, count: int, sheet: str = "", device: Device | None = None
) -> TagRange:
    """Set the next ``count`` numbers aside: for one device, or as printed stock for everybody.

    Raises Refused for no tag or more than ``MOST`` at once, and for too long a name of the sheet.
    """

    def work(changes: Changes) -> None:
        if not 1 <= count <= MOST:
            raise Refused(f"1 to {MOST} tags are reserved at once; got {count}")
        if len(sheet) > LONGEST_SHEET:
            raise Refused(f"a sheet has a name of {LONGEST_SHEET} characters at most")
        hold(incident)
        first = int(next_tag(incident))
        changes.create(
            TagRange, incident=incident, first=first, last=first + count - 1, device=device,
            sheet=sheet.strip(), reserved_at=now(),
        )  # fmt: skip

    payload = {"incident": incident, "count": count, "sheet": sheet, "device": device}
    return made_by(perform(caller, Wanted("reserve_tags", payload, incident), work), TagRange)


def next_printed(incident: Incident) -> str | None:
    """The lowest number of printed stock that hangs on nothing yet; None where there is no stock left."""
    ranges = TagRange.objects.filter(incident=incident, device__isnull=True).order_by("first")
    for stock in ranges:
        texts = [f"{number:0{LEAST_DIGITS}d}" for number in range(stock.first, stock.last + 1)]
        used = set(Tag.objects.filter(incident=incident, text__in=texts).values_list("text", flat=True))
        used |= set(Fragment.objects.filter(incident=incident, tag__in=texts).values_list("tag", flat=True))
        left = [text for text in texts if text not in used]
        if left:
            return left[0]
    return None
