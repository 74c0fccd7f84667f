"""Django's settings; nothing here is the farm's to fill in.

The data folder comes from the environment variable ``PINFEATHER_DATA``, which the commands set
from ``--data``; without it, the user's data folder is used. ``PINFEATHER_DATABASE``, set from
``--database``, is the address of a PostgreSQL database; without it, the records are in that folder.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path

import platformdirs

from pinfeather.web.database import database

DATA_DIR = Path(
    os.environ.get("PINFEATHER_DATA") or platformdirs.user_data_dir("pinfeather", appauthor=False)
)
DATA_DIR.mkdir(parents=True, exist_ok=True)


def _secret_key(path: Path) -> str:
    """Keep one key per data folder, readable by its owner only."""
    if not path.exists():
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(secrets.token_urlsafe(48))
    return path.read_text(encoding="ascii")


SECRET_KEY = _secret_key(DATA_DIR / "secret-key")
DEBUG = False
LAN_ADDRESSES = tuple(filter(None, os.environ.get("PINFEATHER_LAN_ADDRESSES", "").split(",")))
"""This computer's own addresses on the home network, where phones are let in; else empty."""
LAN_URL = os.environ.get("PINFEATHER_LAN_URL", "")
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *LAN_ADDRESSES]

INSTALLED_APPS = [
    "django.contrib.staticfiles",
    "django_htmx",
    "pinfeather.records",
    "pinfeather.web",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "pinfeather.web.security.content_security_policy",
    "pinfeather.web.rescue.Rescue",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "pinfeather.web.reader.Reader",
    "pinfeather.web.door.Door",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "pinfeather.web.owner.OwnerPin",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "pinfeather.web.errors.SentencePages",
]
CSRF_FAILURE_VIEW = "pinfeather.web.pages.trouble.stale"
ROOT_URLCONF = "pinfeather.web.urls"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.messages.context_processors.messages",
                "pinfeather.web.context.farm",
            ],
            "builtins": ["pinfeather.web.templatetags.show"],
            "string_if_invalid": "",
        },
    }
]
DATABASES = {"default": database(os.environ.get("PINFEATHER_DATABASE", ""), data_dir=DATA_DIR)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

SESSION_ENGINE = "django.contrib.sessions.backends.signed_cookies"
# Both farms may be open in one browser, and cookies do not tell ports apart.
_PRETEND = "pretend-" if os.environ.get("PINFEATHER_PRETEND") else ""
SESSION_COOKIE_NAME = f"{_PRETEND}sessionid"
CSRF_COOKIE_NAME = f"{_PRETEND}csrftoken"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Strict"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 400
CSRF_COOKIE_SAMESITE = "Strict"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.PBKDF2PasswordHasher"]
MESSAGE_STORAGE = "django.contrib.messages.storage.cookie.CookieStorage"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "SAMEORIGIN"
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
# A sent file stays in memory until somebody has looked at it and keeps it in the store.
FILE_UPLOAD_HANDLERS = ["django.core.files.uploadhandler.MemoryFileUploadHandler"]
FILE_UPLOAD_MAX_MEMORY_SIZE = 21 * 1024 * 1024
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "OPTIONS": {"MAX_ENTRIES": 6},
    }
}

USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"
LANGUAGE_CODE = "en-us"
LANGUAGES = [("en", "English"), ("es", "Español")]
LANGUAGE_COOKIE_NAME = f"{_PRETEND}language"
LANGUAGE_COOKIE_AGE = SESSION_COOKIE_AGE
LOCALE_PATHS = [Path(__file__).resolve().parent.parent / "locale"]

STATIC_URL = "static/"
STATIC_ROOT = None
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
WHITENOISE_MAX_AGE = 3600
