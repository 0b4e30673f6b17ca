"""Every look there is.  Pages and JSON are both made from this table: neither lacks what the other has."""

from __future__ import annotations

from strandline.services.looks import now, site, taking_in, things, together, work
from strandline.services.looks.asked import Look

LOOKS: dict[str, Look] = {
    look.name: look
    for area in (now.LOOKS, site.LOOKS, taking_in.LOOKS, things.LOOKS, together.LOOKS, work.LOOKS)
    for look in area
}
