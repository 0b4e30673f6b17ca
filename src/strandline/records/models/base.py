"""What every table has in common."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.db import models
from django.db.models.functions import Length
from django.db.models.lookups import GreaterThanOrEqual


class Row(models.Model):
    """A row that can leave this database: it is known outside by ``uid`` alone.

    ``private`` names fields that never enter the log of acts: they name people or would let them be found.
    """

    private: ClassVar[frozenset[str]] = frozenset()

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return f"{type(self).__name__} {self.uid}"


def choices(*keys: str) -> list[tuple[str, str]]:
    """Choices whose stored key is also what is shown to developers."""
    return [(key, key.replace("_", " ")) for key in keys]


def one_of(field: str, keys: list[tuple[str, str]], name: str) -> models.CheckConstraint:
    """A check constraint: the field holds one of the keys."""
    return models.CheckConstraint(condition=models.Q(**{f"{field}__in": [key for key, _ in keys]}), name=name)


def filled(field: str, name: str, least: int = 1) -> models.CheckConstraint:
    """A check constraint: the text has at least ``least`` characters."""
    return models.CheckConstraint(condition=GreaterThanOrEqual(Length(field), least), name=name)


KNOWN_BY = choices("stated", "assumed", "seen", "measured", "family_worst", "unknown")
"""How a fact is known: the keys of things.facts.KnownBy."""
