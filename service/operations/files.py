"""Keeping the files that jobs work on, and letting them go when nobody needs them any more."""

from __future__ import annotations

import hashlib
from datetime import datetime

from service.errors import NotFound
from service.operations.models import Dealer, StoredFile
from service.operations.models.stored_file import NAME_LENGTH


def keep_file(content: bytes, *, name: str, dealer: Dealer | None, now: datetime) -> StoredFile:
    """Keep the bytes as they came; of the name, what can be printed."""
    digest = hashlib.sha256(content).hexdigest()
    shown = "".join(character for character in name if character.isprintable()).strip()[:NAME_LENGTH] or "unnamed"
    return StoredFile.objects.create(dealer=dealer, name=shown, sha256=digest, content=content, created_at=now)


def content_of(file_id: str) -> bytes:
    """The bytes of a file. Raises NotFound where it has been cleared away."""
    found = StoredFile.objects.filter(pk=file_id).values_list("content", flat=True).first()
    if found is None:
        raise NotFound("The file is kept no longer; send it again.", code="file_gone")
    return bytes(found)


def clear_files_before(instant: datetime) -> int:
    """Let go of the files kept before this instant; answers how many went."""
    gone, _ = StoredFile.objects.filter(created_at__lt=instant).delete()
    return gone
