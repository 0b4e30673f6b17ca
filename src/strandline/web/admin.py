"""Django's admin: everything can be read, only log-ins changed.  Every other write goes through a service."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.apps import apps
from django.contrib import admin
from django.contrib.auth.models import User
from django.http import HttpRequest

from strandline.records.models.people import Person
from strandline.services.change_person import LAST_LEAD, other_leads

if TYPE_CHECKING:
    Base = admin.ModelAdmin[Any]
    BaseForm = forms.ModelForm[User]
else:
    Base = admin.ModelAdmin
    BaseForm = forms.ModelForm


class OnlyRead(Base):
    """A table to look at."""

    list_per_page = 50
    show_full_result_count = False

    def lookup_allowed(self, lookup: str, value: Any, request: HttpRequest) -> bool:
        """Nobody finds out a password's hash letter by letter."""
        return "password" not in lookup and super().lookup_allowed(lookup, value, request)

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


class ShutOrOpen(BaseForm):
    """Whether a log-in is open."""

    def clean(self) -> dict[str, Any]:
        """Keep the last lead who can sign in, also where two shut out each other at once."""
        given: dict[str, Any] = super().clean() or {}
        person = Person.objects.filter(user=self.instance, role="lead", active=True).first()
        if person is not None and not given.get("is_active", True) and not other_leads(person):
            raise forms.ValidationError(LAST_LEAD)
        return given


class LogIns(OnlyRead):
    """Log-ins: a lead may shut one out; names, roles and passwords are changed on the page of people."""

    form = ShutOrOpen
    search_fields = ()
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
