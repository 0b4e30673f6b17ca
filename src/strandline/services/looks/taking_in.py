"""Taking things in: the walk, intake, the list and what was found."""

from __future__ import annotations

from strandline.services.looks.asked import HANDS, Look
from strandline.services.looks.taking_in_intake import take_in, taken
from strandline.services.looks.taking_in_list import list_found, list_in
from strandline.services.looks.taking_in_walk import walk
from strandline.services.looks.words import CODE

LOOKS: tuple[Look, ...] = (
    Look("walk", f"{CODE}/walk/", walk),
    Look("take_in", f"{CODE}/take-in/", take_in, HANDS),
    Look("taken", f"{CODE}/things/<str:tag>/taken/", taken),
    Look("list_in", f"{CODE}/list/in/", list_in, HANDS),
    Look("list_found", f"{CODE}/list/", list_found),
)
