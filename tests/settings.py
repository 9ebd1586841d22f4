"""The site as tests see it: real settings, a throw-away data folder, quick passwords."""

import os
import tempfile

os.environ.setdefault("SECRET_KEY", "a-key-for-tests-that-nobody-else-has-0123456789-abcdefghij")
os.environ.setdefault("PUBLIC_BASE_URL", "http://guides.test")
os.environ.setdefault("DATA_DIR", tempfile.mkdtemp(prefix="guides-tests-"))

from roastery.settings import *  # noqa: F403
from roastery.settings import STORAGES

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
