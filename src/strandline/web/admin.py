"""Django's admin: everything can be read, only log-ins changed.  Every other write goes through a service."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.apps import apps
from django.contrib import admin
from django.contrib.auth.models import User
from django.http import HttpRequest

if TYPE_CHECKING:
    Base = admin.ModelAdmin[Any]
else:
    Base = admin.ModelAdmin


class OnlyRead(Base):
    """A table to look at."""

    list_per_page = 50
    show_full_result_count = False

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """A lead looks at everything."""
        return bool(request.user.is_active and request.user.is_staff)

    def has_module_permission(self, request: HttpRequest) -> bool:
        """The same."""
        return self.has_view_permission(request)

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Nobody."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Nobody."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Nobody."""
        return False


class LogIns(OnlyRead):
    """Log-ins: a lead may shut one out; names, roles and passwords are changed on the page of people."""

    fields = ("username", "is_active", "last_login", "date_joined")
    readonly_fields = ("username", "last_login", "date_joined")
    list_display = ("username", "is_active", "last_login")

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """A lead, but nobody shuts themselves out."""
        return self.has_view_permission(request) and obj != request.user


def register() -> None:
    """Register every table of the record, and the log-ins."""
    for model in apps.get_app_config("records").get_models():
        if not admin.site.is_registered(model):
            admin.site.register(model, OnlyRead)
    if not admin.site.is_registered(User):
        admin.site.register(User, LogIns)
