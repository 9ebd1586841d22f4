"""Settings of the site. What differs between sites comes from ``environment.py`` and nothing else does."""

from __future__ import annotations

import tomllib
from functools import partial
from pathlib import Path

from csp.constants import NONE, SELF
from django.utils.translation import gettext_lazy as _

from roastery import environment, logs, places, sqlite

BASE_DIR = Path(__file__).resolve().parent.parent
SITE = environment.read(BASE_DIR)
VERSION = tomllib.loads((BASE_DIR / "pyproject.toml").read_text())["project"]["version"]

DEBUG = SITE.debug
DEMO = SITE.demo
SECRET_KEY = SITE.secret_key
SECRET_KEY_FALLBACKS = SITE.secret_key_fallbacks
PUBLIC_BASE_URL = SITE.public_base_url
DEMO_BASE_URL = environment.DEMO_BASE_URL
DATA_DIR = SITE.data_dir

# One address derives everything that a proxy usually breaks.
ALLOWED_HOSTS = [SITE.host, *SITE.extra_hosts]
CSRF_TRUSTED_ORIGINS = [PUBLIC_BASE_URL]
PROXY_DEPTH = SITE.proxy_depth
OFFLINE = SITE.offline
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if PROXY_DEPTH else None

INSTALLED_APPS = [
    "guides",
    "roastery.desk.DeskConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "django_tasks",
    "django_tasks_db",
    "axes",
    "csp",
    "django_otp",
    "django_otp.plugins.otp_totp",
    "django_otp.plugins.otp_static",
]

MIDDLEWARE = [
    "roastery.health.HealthMiddleware",
    "roastery.client_address.ClientAddressMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "roastery.middleware.PolicyHeadersMiddleware",
    "csp.middleware.CSPMiddleware",
    "roastery.middleware.DeskMethodsMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_otp.middleware.OTPMiddleware",
    "guides.admin.second_factor.SecondFactor",
    "guides.admin.language.DeskLanguage",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "roastery.urls"
WSGI_APPLICATION = "roastery.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

DATABASES = {"default": sqlite.tuned(SITE.database)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "guides.User"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
# Length counts, and not being on a list of common ones; no rules about kinds of characters, no changing by the calendar
# (NIST SP 800-63B, 3.1.1.2).
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "admin:login"

# Locked out is one person at one address, so that nobody else's guesses lock the owner out.
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_FAILURE_LIMIT = 6
AXES_COOLOFF_TIME = 0.25  # hours
AXES_RESET_ON_SUCCESS = True

# The second factor is offered to everybody at the desk, and asked of everybody where the site says so.
SECOND_FACTOR_REQUIRED = SITE.second_factor_required
OTP_TOTP_ISSUER = SITE.host

LANGUAGE_CODE = "en"
LANGUAGES = [("en", _("English")), ("sv", _("Swedish")), ("fi", _("Finnish"))]
LOCALE_PATHS = [BASE_DIR / "guides" / "locale"]
FORMAT_MODULE_PATH = ["roastery.formats"]
TIME_ZONE = SITE.time_zone
USE_TZ = True

# Processes keep finished pages, and ask this often, in seconds, whether anything on them has changed.
PAGE_STAMP_AGE_S = 0.8
# Where they lay them down for each other; None: nowhere.
PAGES_DIR: Path | None = DATA_DIR / "pages"

STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
MEDIA_ROOT = DATA_DIR / "media"
MEDIA_URL = "/media/"
_FILES_AT = SITE.files_at or DATA_DIR
STORAGES = {
    "default": places.storage(_FILES_AT, SITE.object_store, part="media"),
    "papers": places.storage(_FILES_AT, SITE.object_store, part="papers"),
    "codes": places.storage(_FILES_AT, SITE.object_store, part="codes", private=True),
    "staticfiles": {"BACKEND": "roastery.static_files.StaticFiles"},
}

if SITE.files_at is None:
    del STORAGES["default"]["OPTIONS"]  # MEDIA_ROOT says where
# For whoever takes the files elsewhere.
STORAGES_AT = partial(places.storages_at, store=SITE.object_store)

BACKUP_DIR = SITE.backups.folder
BACKUP_COPY_TO = SITE.backups.copy_to
BACKUP_EVERY_H = SITE.backups.every_h
BACKUP_KEEP = SITE.backups.keep
BACKUP_ALARM_H = SITE.backups.alarm_h
if SITE.backups.copy_to:
    STORAGES["backup copies"] = places.storage(SITE.backups.copy_to, SITE.object_store, private=True)
    STORAGES["code copies"] = places.storage(SITE.backups.copy_to, SITE.object_store, part="codes", private=True)

TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend", "QUEUES": ["default"]}}

REST_FRAMEWORK = {
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    # Who may ask and how often is said by the one view that all others are made from.
    "DEFAULT_AUTHENTICATION_CLASSES": [],
    "DEFAULT_PERMISSION_CLASSES": [],
    "DEFAULT_SCHEMA_CLASS": "guides.api.schema.Described",
    "EXCEPTION_HANDLER": "guides.api.problems.handle",
    "UNAUTHENTICATED_USER": None,
    "URL_FORMAT_OVERRIDE": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Brew guides of a coffee roastery",
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SERVE_INCLUDE_SCHEMA": False,
}

# How often one sender may ask the API.
API_RATE = "120/min"
API_RATE_WITH_TOKEN = "1200/min"  # noqa: S105 - a rate
# Whether webhooks may lead to machines of a private network, and without https.
WEBHOOK_PRIVATE_ADDRESSES = SITE.webhook_private_addresses

# Nothing inline, nothing from elsewhere.
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "media-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "upgrade-insecure-requests": SITE.secure,
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SECURE_SSL_REDIRECT = SITE.secure
SECURE_HSTS_SECONDS = 31_536_000 if SITE.secure else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SITE.secure
SECURE_HSTS_PRELOAD = SITE.secure
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SITE.secure
SESSION_COOKIE_AGE = 12 * 60 * 60
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
FILE_UPLOAD_HANDLERS = [
    "guides.media.bounded.BoundedUploads",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

# How often a process adds the openings of guides it has counted to the database; what a kill can lose.
OPENS_ADDED_EVERY_S = 10

# Everything worth knowing goes to standard error, also outside DEBUG, where Django's own set-up is silent.
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"()": logs.JsonLine if SITE.log_json else logs.Line}},
    "handlers": {"standard_error": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["standard_error"], "level": "WARNING"},
    "loggers": {"django": {"handlers": [], "level": "INFO"}, "guides": {"level": "INFO"}},
}
