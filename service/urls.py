"""The address map: probes, documentation, problem pages, the versioned API and the pages."""

from django.contrib import admin
from django.urls import URLPattern, URLResolver, include, path
from drf_spectacular.views import SpectacularSwaggerSplitView

from service import docs, health, pages, people_pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("livez", health.livez, name="livez"),
    path("readyz", health.readyz, name="readyz"),
    path("api/openapi.json", docs.openapi, name="openapi"),
    # The split page keeps its script in a file of its own, which the content security policy asks for.
    path("api/docs/", SpectacularSwaggerSplitView.as_view(url_name="openapi"), name="docs"),
    path("api/v1/", include("catalog.api.urls")),
    path("api/v1/", include("kits.api.urls")),
    path("api/v1/", include("service.http.operation_urls")),
    path("", include("service.http.urls")),
    path("", include("kits.web.urls")),
    path("", pages.start, name="start"),
    path("catalogue/", admin.site.urls),
    path("sign-in/", pages.SignIn.as_view(), name="sign-in"),
    path("sign-out/", pages.SignOut.as_view(), name="sign-out"),
    path("password/", people_pages.OwnPassword.as_view(), name="own-password"),
    path("password/changed/", people_pages.own_password_changed, name="own-password-changed"),
    path("people/", people_pages.listed, name="people"),
    path("people/add/", people_pages.adding, name="add-person"),
    path("people/<int:number>/", people_pages.one, name="person"),
    path("people/<int:number>/change/", people_pages.changing, name="change-person"),
    path("people/<int:number>/password/", people_pages.giving_password, name="give-password"),
    path("people/<int:number>/withdraw/", people_pages.withdrawing, name="withdraw-person"),
    path("people/<int:number>/bring-back/", people_pages.bringing_back, name="bring-back-person"),
]

handler400 = "service.http.error_views.bad_request"
handler403 = "service.http.error_views.permission_denied"
handler404 = "service.http.error_views.not_found"
handler500 = "service.http.error_views.server_error"
