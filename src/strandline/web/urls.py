"""Addresses: one page per look, its JSON twin beside it, signing in, and the read-only admin."""

from __future__ import annotations

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

from strandline.services.looks.table import LOOKS
from strandline.web.admin import register
from strandline.web.deeds import deeds_of
from strandline.web.files import FILES
from strandline.web.pages import page_view
from strandline.web.signing import begin_view, sign_in_view, sign_out_view

register()

OWN_SIGN_IN = RedirectView.as_view(pattern_name="sign_in", query_string=True)
OWN_PASSWORD = RedirectView.as_view(pattern_name="me")
"""The admin has no sign-in and no form for passwords of its own: those of the pages are slowed down and
logged."""

urlpatterns = [
    path("sign-in/", sign_in_view, name="sign_in"),
    path("sign-out/", sign_out_view, name="sign_out"),
    path("begin/", begin_view, name="begin"),
    path("admin/login/", OWN_SIGN_IN),
    path("admin/logout/", sign_out_view),
    path("admin/password_change/", OWN_PASSWORD),
    path("admin/password_change/done/", OWN_PASSWORD),
    path("admin/", admin.site.urls),
    path("", include("strandline.api.urls")),
    *(path(route, view, name=name) for name, route, view in FILES),
    *(path(look.route, page_view(look, deeds_of(look.name)), name=look.name) for look in LOOKS.values()),
]

handler404 = "strandline.web.refusals.not_found"
handler400 = "strandline.web.refusals.bad_request"
handler500 = "strandline.web.refusals.failed"
