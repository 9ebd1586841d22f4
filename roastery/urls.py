"""Every address of the site."""

from django.conf.urls.i18n import i18n_patterns
from django.contrib import admin
from django.urls import path

from guides.urls import localized, permanent

handler400 = "guides.public.errors.bad_request"
handler403 = "guides.public.errors.forbidden"
handler404 = "guides.public.errors.not_found"
handler500 = "guides.public.errors.broken"

urlpatterns = [path("admin/", admin.site.urls), *permanent, *i18n_patterns(*localized)]
