"""Fields of forms that stand on one page several times: what was typed goes back where it was typed."""

from __future__ import annotations

from typing import Any

from django import template

register = template.Library()


def _mine(context: dict[str, Any], group: int) -> bool:
    typed = context.get("typed")
    return typed is not None and typed.get("group") == str(group)


@register.simple_tag(takes_context=True)
def came_back(context: dict[str, Any], group: int) -> bool:
    """Whether this form is the one that could not be used."""
    return _mine(context, group)


@register.simple_tag(takes_context=True)
def typed_in(context: dict[str, Any], group: int, name: str) -> str:
    """What was typed into a field of this form, ''."""
    return str(context["typed"].get(name, "")) if _mine(context, group) else ""


@register.simple_tag(takes_context=True)
def ticked(context: dict[str, Any], group: int, name: str, value: str) -> str:
    """checked, unless the form came back without this tick."""
    left_out = _mine(context, group) and value not in context["typed"].getlist(name)
    return "" if left_out else "checked"
