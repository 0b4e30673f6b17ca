"""The Django app of the pages."""

from __future__ import annotations

from django.apps import AppConfig


class WebConfig(AppConfig):
    """App ``web``: pages, their templates and static files; it has no tables."""

    name = "strandline.web"
    label = "web"
