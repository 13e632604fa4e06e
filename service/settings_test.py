"""The settings with what makes tests fast and keeps runs apart; nothing here changes behaviour under test."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

# Several runs may share one checkout, so each process gets a folder, and with it a database file, of its own.
_SCRATCH = Path(tempfile.mkdtemp(prefix="gudgeon-test-"))
atexit.register(shutil.rmtree, _SCRATCH, ignore_errors=True)
os.environ["GUDGEON_DATA_DIR"] = str(_SCRATCH)
# There before anything is collected into it: the static file server warns when it is not.
(_SCRATCH / "static").mkdir()
os.environ["GUDGEON_STATIC_DIR"] = str(_SCRATCH / "static")

from service.settings import *  # noqa: E402, F403 - the folder above must be known before the settings are read
from service.settings import ENV  # noqa: E402

DATABASES = {"default": ENV.database("GUDGEON_TEST_DATABASE_URL", default_file=_SCRATCH / "live.sqlite3")}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # A file, not memory: in memory all threads share one connection, which hides every locking fault.
    DATABASES["default"]["TEST"] = {"NAME": str(_SCRATCH / "test.sqlite3")}
    # Kept through the death of any process, which is tried; not through that of the machine, which is not.
    DATABASES["default"]["OPTIONS"]["init_command"] += "; PRAGMA synchronous=OFF"
else:
    # A pool would keep connections open and so keep the test database from being dropped.
    DATABASES["default"]["OPTIONS"].pop("pool")
    # Whatever the server's own locale is: lengths and comparisons are of characters, not of bytes.
    DATABASES["default"]["TEST"] = {"CHARSET": "UTF8", "TEMPLATE": "template0"}
    # Kept through the death of any process, which is tried; not through that of the machine, which is not.
    DATABASES["default"]["OPTIONS"]["options"] = "-c synchronous_commit=off"

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
