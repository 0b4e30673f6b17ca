"""Addresses that give files instead of pages: pictures and papers."""

from __future__ import annotations

from collections.abc import Callable

from django.http.response import HttpResponseBase

from strandline.services.looks.words import CODE
from strandline.web.together import photo_view

FILES: tuple[tuple[str, str, Callable[..., HttpResponseBase]], ...] = (
    ("photo", f"{CODE}/photos/<uuid:uid>/<int:width>/", photo_view),
)
"""Name, route and view of each."""
