"""The Django app of the record."""

from __future__ import annotations

from importlib import import_module

from django.apps import AppConfig

MODEL_FILES: tuple[str, ...] = ("sites", "people", "objects", "facts", "plans", "acts")
"""Files of the models package, whose ``__init__`` stays empty."""


class RecordsConfig(AppConfig):
    """App ``records``: the lasting record."""

    name = "strandline.records"
    label = "records"

    def import_models(self) -> None:
        """Import every file of models, as the package itself imports none."""
        super().import_models()
        for name in MODEL_FILES:
            import_module(f"strandline.records.models.{name}")
