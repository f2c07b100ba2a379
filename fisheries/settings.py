"""Settings of an Earstone installation: one file, the environment decides.

With nothing set, Earstone runs for this machine only: a key made up anew at every
start, local addresses, plain HTTP. An installation that others reach sets
EARSTONE_SECRET_KEY, EARSTONE_HOSTS and EARSTONE_PUBLIC_ADDRESS, and gets TLS-only cookies.
"""

import os
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from django.core.exceptions import ImproperlyConfigured
from django.core.management.utils import get_random_secret_key

from fisheries.database import database_from
from fisheries.demo import is_local_demo
from fisheries.environment import listed, secret
from fisheries.files import WORDS as BUCKET_WORDS
from fisheries.files import storages_for
from fisheries.logs import logging_config
from fisheries.work import from_environment, tasks_for, tries_cache

# Read when numpy loads, which every way in does after its settings. Findings multiply many small
# matrices, and requests run beside each other: a pool of threads in each only makes them wait.
for name in (
    "OPENBLAS_NUM_THREADS",
    "OMP_NUM_THREADS",
    "MKL_NUM_THREADS",
    "VIPS_CONCURRENCY",
):
    os.environ.setdefault(name, "1")

BASE_DIR = Path(__file__).resolve().parent.parent

# ---------- Who may reach it, and how ----------

GIVEN_SECRET_KEY = secret("EARSTONE_SECRET_KEY")
LOCAL = GIVEN_SECRET_KEY is None
if GIVEN_SECRET_KEY == "":
    raise ImproperlyConfigured(
        "EARSTONE_SECRET_KEY is empty. Run sh docker/make_env.sh HOST, or set 50 random characters."
    )
SECRET_KEY = GIVEN_SECRET_KEY or get_random_secret_key()
SECRET_KEY_FALLBACKS = listed("EARSTONE_OLD_SECRET_KEYS")
DEBUG = False
ALLOWED_HOSTS = listed("EARSTONE_HOSTS", "localhost,127.0.0.1,[::1],testserver" if LOCAL else "")
# The address that printed labels lead to. Labels stay for years: choose it once.
PUBLIC_ADDRESS = os.environ.get("EARSTONE_PUBLIC_ADDRESS", "").rstrip("/")
_public = urlsplit(PUBLIC_ADDRESS)
CSRF_TRUSTED_ORIGINS = [f"https://{_public.netloc}"] if _public.scheme == "https" else []

# Secure cookies stop every sign-in over plain HTTP, so a demo on a laptop goes without.
PLAIN_HTTP = os.environ.get("EARSTONE_PLAIN_HTTP", "1" if LOCAL else "") == "1"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = not PLAIN_HTTP
# Browsers take a cookie of such a name from this very host over TLS, and from nowhere else.
SESSION_COOKIE_NAME = "sessionid" if PLAIN_HTTP else "__Host-sessionid"
CSRF_COOKIE_NAME = "csrftoken" if PLAIN_HTTP else "__Host-csrftoken"
SECURE_SSL_REDIRECT = not PLAIN_HTTP
SECURE_HSTS_SECONDS = 0 if PLAIN_HTTP else 60 * 60 * 24 * 365
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
X_FRAME_OPTIONS = "DENY"
# How many proxies of our own stand in front; what they add to X-Forwarded-For names the caller.
PROXY_COUNT = int(os.environ.get("EARSTONE_PROXY_COUNT", "0"))
if PROXY_COUNT:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
# Subdomains and preload lists are for the agency that owns the domain to decide, not us.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]

CONTENT_SECURITY_POLICY: dict[str, Any] = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "img-src": ["'self'", "data:"],
        "connect-src": ["'self'"],
        "manifest-src": ["'self'"],
        "worker-src": ["'self'"],
        "form-action": ["'self'"],
        "frame-ancestors": ["'none'"],
        "base-uri": ["'none'"],
    }
}

# ---------- What runs ----------

INSTALLED_APPS = [
    "whitenoise.runserver_nostatic",
    "fisheries.apps.OfficeAdminConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django.forms",
    "rest_framework",
    "drf_spectacular",
    "simple_history",
    "axes",
    "django_tasks_db",
    "samples",
]

MIDDLEWARE = [
    "fisheries.middleware.RequestIdMiddleware",
    "fisheries.middleware.ProbeMiddleware",
    "fisheries.middleware.ProxyMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "samples.accounts.middleware.SessionUnderItsNewName",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "samples.accounts.middleware.LinkStillGood",
    "samples.accounts.middleware.NothingOfAPersonIsStored",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "fisheries.urls"
WSGI_APPLICATION = "fisheries.wsgi.application"

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
                "samples.context_processors.frame",
            ],
        },
    }
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

# ---------- Where things are kept ----------

DATABASES = {
    "default": database_from(
        os.environ.get("DATABASE_URL") or f"sqlite:///{BASE_DIR / 'earstone.sqlite3'}",
        password=secret("EARSTONE_DB_PASSWORD"),
    )
}
# Only `manage.py demo` on this machine: its sign-in page signs a role in without typing.
DEMO = is_local_demo(
    mark=os.environ.get("EARSTONE_DEMO", ""),
    database=DATABASES["default"]["NAME"],
    public_address=PUBLIC_ADDRESS,
    own_key=not LOCAL,
    proxies=PROXY_COUNT,
)
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_USER_MODEL = "samples.User"

STATIC_URL = "/static/"
STATIC_ROOT = Path(os.environ.get("EARSTONE_STATIC") or BASE_DIR / "staticfiles")
WHITENOISE_USE_FINDERS = LOCAL
# No other site has a use for our scripts.
WHITENOISE_ALLOW_ALL_ORIGINS = False
STORAGES = {
    # "default" holds uploads; "tiles" parts of pictures, which are drawn again and in no backup.
    **storages_for(
        os.environ.get("EARSTONE_S3_BUCKET", ""),
        {word: secret(f"EARSTONE_S3_{word}") for word in BUCKET_WORDS},
    ),
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if LOCAL
        else "fisheries.storage.HashedStaticFiles"
    },
}
# The folder, where no bucket is named. Nothing in either is served as a file: a page asks who may
# see one, and sends it.
MEDIA_ROOT = os.environ.get("EARSTONE_MEDIA") or str(BASE_DIR / "media")
FILE_UPLOAD_PERMISSIONS = 0o600
# Where `manage.py backup` writes, and the folder of PostgreSQL's own programs that it runs:
# those of the server's version, which the machine's own may not be.
BACKUP_FOLDER = Path(os.environ.get("EARSTONE_BACKUPS") or BASE_DIR / "backups")
# How many backups stay where the command says no other number; 0: all of them.
BACKUP_KEEP = int(os.environ.get("EARSTONE_BACKUP_KEEP") or "0")
PG_TOOLS = os.environ.get("EARSTONE_PG_TOOLS", "")
# A spreadsheet of fifty megabytes is refused with a sentence, not with a broken connection.
DATA_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024

# ---------- Work beside the pages ----------

# Who does it: "embedded", a process beside the site's own; "apart", `manage.py worker` as a
# service; "none", the page that asks.
WORKER, _results = from_environment(DATABASES["default"])
TASKS = tasks_for(WORKER)
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"},
    "results": _results,
    # Apart from the rest, which is pushed out when there is much of it.
    "tries": tries_cache(os.environ.get("EARSTONE_REDIS", "")),
}
# What works each kind out: called with its arguments, and with what it tells its progress to.
COMPUTATIONS = {
    "finding": "samples.findings.computed.compute_finding",
    "figure": "samples.findings.computed.compute_figure",
    "labels": "samples.vials.computed.compute_labels",
    "tiles": "samples.pictures.computed.compute_tiles",
    "donor_mail": "samples.donors.computed.compute_mailing",
    "report": "samples.reports.computed.compute_report",
}
# Work whose lease ran out is begun again by another worker.
COMPUTATION_LEASE_S = 60.0
COMPUTATION_LONGEST_S = 15 * 60.0
# How often a worker that has nothing to do looks for work, and its supervisor after it.
WORKER_INTERVAL_S = 1.0

# ---------- Signing in ----------

AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "samples.accounts.password_validation.NoWordsOfTheSite"},
]
# What was said to one person ends with their session: phones and desks are shared.
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
LOGIN_URL = "accounts:sign_in"
LOGIN_REDIRECT_URL = "home"
# A guide signs in once and stays signed in on that phone for the season; a link's own
# end date and its revocation are looked at on every request.
SESSION_COOKIE_AGE = 60 * 60 * 24 * 400

# Ten phones at a ramp share one address: only this name from this address is locked.
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.25
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "accounts/locked.html"
AXES_CLIENT_IP_CALLABLE = "samples.accounts.client_address.client_network"
AXES_ENABLE_ADMIN = False
AXES_VERBOSE = False
# Its list of sign-ins would keep the address of every personal link that was used.
AXES_DISABLE_ACCESS_LOG = True

# ---------- The phone's door ----------

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["samples.accounts.api_auth.PhoneTokenAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["samples.accounts.json_body.JSONBody"],
    # Far above a real day, where a phone sends some dozen batches: an app of version 1 takes 429
    # for trouble, halves its batches and sends more of them.
    "DEFAULT_THROTTLE_RATES": {"phone": "300/min", "person": "900/min"},
    "EXCEPTION_HANDLER": "samples.accounts.json_body.answer_failure",
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Earstone phone API",
    "DESCRIPTION": "Takes in what phones wrote down at the ramp, and tells them the pick lists.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["rest_framework.permissions.AllowAny"],
    "OAS_VERSION": "3.0.3",
    "ENUM_NAME_OVERRIDES": {"LengthUnitEnum": ["in", "mm"]},
}

# ---------- Mail ----------

# Without a mail server nothing is sent, and the administrator hands out password links.
EMAIL_HOST = os.environ.get("EARSTONE_MAIL_HOST", "")
EMAIL_PORT = int(os.environ.get("EARSTONE_MAIL_PORT") or "587")
EMAIL_USE_TLS = os.environ.get("EARSTONE_MAIL_TLS", "1") == "1"
EMAIL_HOST_USER = os.environ.get("EARSTONE_MAIL_USER", "")
EMAIL_HOST_PASSWORD = secret("EARSTONE_MAIL_PASSWORD") or ""
DEFAULT_FROM_EMAIL = os.environ.get("EARSTONE_MAIL_FROM") or EMAIL_HOST_USER
# A page waits for the mail server; somebody stands before it.
EMAIL_TIMEOUT = 10

# ---------- Words and clocks ----------

LANGUAGE_CODE = "en"
TIME_ZONE = "UTC"
USE_TZ = True
USE_I18N = False
FORMAT_MODULE_PATH = "fisheries.formats"

# ---------- What the administrator watches ----------

try:
    LOGGING = logging_config(
        os.environ.get("EARSTONE_LOG_LEVEL") or "WARNING",
        os.environ.get("EARSTONE_LOG_FORMAT") or "plain",
    )
except ValueError as problem:
    raise ImproperlyConfigured(str(problem)) from problem
LEAST_FREE_MB = int(os.environ.get("EARSTONE_LEAST_FREE_MB") or "500")
BACKUP_MAX_AGE_HOURS = int(os.environ.get("EARSTONE_BACKUP_MAX_AGE_HOURS") or "30")
