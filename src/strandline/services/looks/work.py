"""The work: the order, what waits for the lead, search, papers."""

from __future__ import annotations

from strandline.services.looks.asked import HANDS, SENIOR, Look
from strandline.services.looks.words import CODE
from strandline.services.looks.work_find import find
from strandline.services.looks.work_order import order
from strandline.services.looks.work_papers import papers
from strandline.services.looks.work_refer import refer

LOOKS: tuple[Look, ...] = (
    Look("order", f"{CODE}/order/", order),
    Look("referrals", f"{CODE}/referrals/", refer, SENIOR),
    Look("find", f"{CODE}/find/", find),
    Look("papers", f"{CODE}/papers/", papers, HANDS),
)
