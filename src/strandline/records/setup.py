"""Starts Django with settings made in code, once per process."""

from __future__ import annotations

from typing import Any

import django
from django.conf import settings


class AlreadyStarted(RuntimeError):
    """The record is already open in this process, with another database."""


def start(wanted: dict[str, Any]) -> None:
    """Configure Django and load the models; a second call must name the same database."""
    if settings.configured:
        if settings.DATABASES["default"]["NAME"] != wanted["DATABASES"]["default"]["NAME"]:
            raise AlreadyStarted("one process keeps one record; start another for another practice")
        return
    settings.configure(**wanted)
    django.setup()
