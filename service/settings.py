"""Django settings, read once from the environment; `service/env.py` holds the table of variables."""

import os
from pathlib import Path
from typing import Any

from service import VERSION
from service.description import DESCRIPTION
from service.env import Environment, kept_secret
from service.logs import is_no_probe

BASE_DIR = Path(__file__).resolve().parent.parent
ENV = Environment(os.environ, base=BASE_DIR)

DATA_DIR = ENV.folder("GUDGEON_DATA_DIR")
DEMO_PORT = ENV.whole("GUDGEON_PORT", low=1, high=65535)
SECRET_KEY = ENV.text("GUDGEON_SECRET_KEY") or kept_secret(DATA_DIR)
CALLS_PER_MINUTE = ENV.whole("GUDGEON_CALLS_PER_MINUTE", low=0, high=1_000_000)
# Used on SQLite alone.
CALL_COUNTS_FILE = DATA_DIR / "calls.sqlite3"
DEBUG = ENV.flag("GUDGEON_DEBUG")
ALLOWED_HOSTS = ENV.names("GUDGEON_ALLOWED_HOSTS")

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_filters",
    "rest_framework",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    # Before the admin, whose frame it has its own version of.
    "service.apps.ServiceConfig",
    "service.apps.EditingDeskConfig",
    "service.operations",
    "catalog",
    "kits",
]

MIDDLEWARE = [
    # First, so that whatever answers below carries a request id.
    "service.http.request_ids.RequestIdMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "service.security.SecurityHeadersMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "service.http.call_limits.CallLimitHeadersMiddleware",
]

ROOT_URLCONF = "service.urls"
WSGI_APPLICATION = "service.wsgi.application"
# A redirect to the address with its slash would turn a POST into a GET; such an address is answered 404 instead.
APPEND_SLASH = False

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "service.pages.places",
            ],
        },
    },
]

# ATOMIC_REQUESTS stays off: with IMMEDIATE transactions every request, even a read, would take the write lock.
DATABASES: dict[str, dict[str, Any]] = {
    "default": ENV.database("GUDGEON_DATABASE_URL", default_file=DATA_DIR / "gudgeon.sqlite3")
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    Path(DATABASES["default"]["NAME"]).parent.mkdir(parents=True, exist_ok=True)
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "operations.Person"
AUTHENTICATION_BACKENDS = ["service.operations.sign_in.NameOrAddressBackend"]
LOGIN_URL = "sign-in"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]

LANGUAGE_CODE = "en"
USE_I18N = False
TIME_ZONE = "UTC"
USE_TZ = True

STATIC_URL = "/static/"
STATIC_ROOT = ENV.folder("GUDGEON_STATIC_DIR")
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}

# Every view has a limit of its own (service.http.bodies); Django's is above the largest of them.
DATA_UPLOAD_MAX_MEMORY_SIZE = 32_000_000

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "service.http.authentication.KeyAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    # Counted first, so that a key which asks again and again for what it may not have is held back too.
    "DEFAULT_PERMISSION_CLASSES": [
        "service.http.call_limits.WithinCallLimit",
        "service.http.permissions.KeyOrPerson",
    ],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": [
        "service.http.parsers.StrictJSONParser",
        "service.http.parsers.MergePatchParser",
    ],
    "DEFAULT_PAGINATION_CLASS": "service.http.pagination.KeysetPagination",
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "service.http.problems.exception_handler",
    "DEFAULT_VERSIONING_CLASS": None,
    # `?format=` would be one more unknown query parameter; the Accept header says it.
    "URL_FORMAT_OVERRIDE": None,
    "FORMAT_SUFFIX_KWARG": None,
    "COERCE_DECIMAL_TO_STRING": True,
    "UNAUTHENTICATED_USER": "django.contrib.auth.models.AnonymousUser",
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}

SPECTACULAR_SETTINGS = {
    "TITLE": "Gudgeon",
    "DESCRIPTION": DESCRIPTION,
    "VERSION": VERSION,
    "OAS_VERSION": "3.1.1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PUBLIC": True,
    "SERVE_PERMISSIONS": ["rest_framework.permissions.AllowAny"],
    "SERVE_AUTHENTICATION": [],
    "COMPONENT_SPLIT_REQUEST": True,
    "SORT_OPERATIONS": True,
    # Lists of words that several shapes use under one field name; without a name each the generator makes one up.
    "ENUM_NAME_OVERRIDES": {
        "ImportModeEnum": "catalog.api.vocabulary.IMPORT_MODES",
        "RecordModeEnum": "catalog.api.vocabulary.RECORD_MODES",
        "SourceKindEnum": "catalog.api.vocabulary.SOURCE_KINDS",
        "StatusEnum": "catalog.api.vocabulary.STATUSES",
        "BasisEnum": "catalog.api.vocabulary.BASES",
        "DemandBasisEnum": "catalog.api.vocabulary.DEMAND_BASES",
        "StatementKindEnum": "catalog.api.vocabulary.STATEMENT_KINDS",
        "SupersessionKindEnum": "catalog.api.vocabulary.SUPERSESSION_KINDS",
        "DataErrorKindEnum": "catalog.api.vocabulary.DATA_ERROR_KINDS",
        "HolderKindEnum": "catalog.api.vocabulary.HOLDER_KINDS",
        "DataErrorStateEnum": "catalog.api.vocabulary.ERROR_STATES",
        "OutcomeKindEnum": "catalog.api.vocabulary.OUTCOME_KINDS",
        "WorkStateEnum": "catalog.api.vocabulary.WORK_STATES",
        "HoldStateEnum": "catalog.api.vocabulary.HOLD_STATES",
        "ApprovableByEnum": "catalog.api.vocabulary.APPROVERS",
        "LapseEnum": "catalog.api.vocabulary.LAPSES",
        "TaskKindEnum": "kits.api.vocabulary.TASK_KINDS",
        "ObservationKindEnum": "kits.api.vocabulary.OBSERVATION_KINDS",
        "DueStateEnum": "kits.api.vocabulary.DUE_STATES",
        "MeterUnitEnum": "kits.api.vocabulary.METER_UNITS",
        "OrderPlanStateEnum": "kits.api.order_vocabulary.PLAN_STATES",
        "OrderStateEnum": "kits.api.order_vocabulary.ORDER_STATES",
        "ServedFromEnum": "kits.api.order_vocabulary.SERVED_FROM",
        "OldStockEnum": "kits.api.order_vocabulary.OLD_STOCK",
        "FluidBuyingEnum": "kits.api.order_vocabulary.FLUID_BUYING",
        "KitStateEnum": "kits.api.vocabulary.KIT_STATES",
        "KitUnitEnum": "kits.api.vocabulary.KIT_UNITS",
        "LineStateEnum": "kits.api.vocabulary.LINE_STATES",
        "PassedOverEnum": "kits.api.vocabulary.PASSED_OVER",
    },
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "SWAGGER_UI_SETTINGS": {"deepLinking": True, "persistAuthorization": False},
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "service.openapi.add_problem_responses",
    ],
}

SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
if ENV.flag("GUDGEON_TLS"):
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    SECURE_SSL_REDIRECT = True
    # Probes come from inside, over plain HTTP.
    SECURE_REDIRECT_EXEMPT = [r"^livez$", r"^readyz$"]
    SECURE_HSTS_SECONDS = 31_536_000
BEHIND_PROXY = ENV.flag("GUDGEON_BEHIND_PROXY")
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    USE_X_FORWARDED_HOST = True

LOG_LEVEL = ENV.one_of("GUDGEON_LOG_LEVEL", ("DEBUG", "INFO", "WARNING", "ERROR"))
LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {
        "request_id": {"()": "service.http.request_ids.RequestIdFilter"},
        "no_probes": {"()": "django.utils.log.CallbackFilter", "callback": is_no_probe},
    },
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(request_id)s %(name)s: %(message)s"}},
    "handlers": {
        "stderr": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["request_id", "no_probes"]}
    },
    "root": {"handlers": ["stderr"], "level": LOG_LEVEL},
    "loggers": {"django": {"handlers": ["stderr"], "level": LOG_LEVEL, "propagate": False}},
}
