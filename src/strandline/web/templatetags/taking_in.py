"""Tags of the intake pages: what was ticked when a form comes back."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.safestring import SafeString

register = template.Library()


@register.simple_tag(takes_context=True)
def ticked(context: dict[str, Any], name: str, value: str, usual: str = "") -> SafeString:
    """``checked`` for a value that was ticked, or that is the usual one of a form nobody has sent yet."""
    typed = context.get("typed")
    chosen = value in typed.getlist(name) if typed else bool(usual) and value == usual
    return SafeString("checked") if chosen else SafeString("")


@register.simple_tag(takes_context=True)
def picked(context: dict[str, Any], name: str, value: str, usual: str = "") -> SafeString:
    """``selected`` for the choice of a list that was made before, or the usual one."""
    typed = context.get("typed")
    chosen = (typed.get(name, "") if typed else usual) == value
    return SafeString("selected") if chosen else SafeString("")
