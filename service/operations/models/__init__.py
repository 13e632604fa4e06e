"""Who asks, with which key, what runs in the background, what changed, and what was already answered."""

from service.operations.models.answered import IdempotencyRecord
from service.operations.models.change import Change, FeedHorizon
from service.operations.models.dealer import Branch, ClosedDate, Dealer
from service.operations.models.job import Job, JobProblem, JobState
from service.operations.models.key import Key, KeyMode, Scope
from service.operations.models.owned import OwnedQuerySet
from service.operations.models.person import Person, Role, RoleName
from service.operations.models.stored_file import StoredFile

__all__ = [
    "Branch",
    "Change",
    "ClosedDate",
    "Dealer",
    "FeedHorizon",
    "IdempotencyRecord",
    "Job",
    "JobProblem",
    "JobState",
    "Key",
    "KeyMode",
    "OwnedQuerySet",
    "Person",
    "Role",
    "RoleName",
    "Scope",
    "StoredFile",
]
