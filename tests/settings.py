"""The site as tests see it: real settings, a throw-away data folder, quick passwords."""

import atexit
import os
import shutil
import tempfile

os.environ.setdefault("SECRET_KEY", "a-key-for-tests-that-nobody-else-has-0123456789-abcdefghij")
os.environ.setdefault("PUBLIC_BASE_URL", "http://guides.test")
if "DATA_DIR" not in os.environ:
    os.environ["DATA_DIR"] = tempfile.mkdtemp(prefix="guides-tests-")
    atexit.register(shutil.rmtree, os.environ["DATA_DIR"], ignore_errors=True)

from roastery.settings import *  # noqa: F403
from roastery.settings import DATA_DIR, DATABASES, STATIC_ROOT, STORAGES

STATIC_ROOT.mkdir(exist_ok=True)
OPENS_ADDED_EVERY_S = 0  # tests add what was counted themselves
BACKUP_EVERY_H = 0  # no worker makes one by itself
API_RATE = API_RATE_WITH_TOKEN = "1000000/min"
PAGE_STAMP_AGE_S = 0.0  # tests look at what they have just changed
PAGES_DIR = None  # nor find what another test has made
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
# Tests that run beside each other have a database each, so what is recorded of its codes lies apart, too.
STORAGES["codes"]["OPTIONS"]["location"] = DATA_DIR / "codes" / os.environ.get("PYTEST_XDIST_WORKER", "")

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # In a file, as on a real site: a database in memory answers "locked" at once where a file waits its turn.
    DATABASES["default"]["TEST"] = {"NAME": DATA_DIR / "test.sqlite3"}
    DATABASES["default"]["OPTIONS"]["init_command"] += "PRAGMA synchronous=OFF;"  # nothing here outlives a crash
