"""Closed lists of words that several shapes share; the API's description names each of them once (see settings)."""

from __future__ import annotations

from catalog.domain.answers import Basis, SourceKind
from catalog.domain.approvals import Lapse
from catalog.domain.data_errors import DataErrorKind
from catalog.domain.fuels import RecordMode
from catalog.domain.outcomes import OutcomeKind
from catalog.domain.parts import PartCondition, StatementKind, SuppliedAs
from catalog.domain.rules import Approver
from catalog.domain.supersessions import SupersessionKind
from catalog.models import ErrorState, Status, WorkState
from catalog.usecases.import_files import Mode

SOURCE_KINDS = [kind.value for kind in SourceKind]
STATUSES = [status.value for status in Status]
STATEMENT_KINDS = [kind.value for kind in StatementKind]
BASES = [basis.value for basis in Basis]
DEMAND_BASES = [Basis.STATED.value, Basis.COMPUTED.value]
SUPERSESSION_KINDS = [kind.value for kind in SupersessionKind]
RECORD_MODES = [mode.value for mode in RecordMode]
CONDITIONS = [condition.value for condition in PartCondition]
OUTCOME_KINDS = [kind.value for kind in OutcomeKind]
WORK_STATES = [state.value for state in WorkState]
LAPSES = [lapse.value for lapse in Lapse]
APPROVERS = [approver.value for approver in Approver]
HOLD_STATES = ["own", "all", "closed"]
SUPPLIED_AS = [form.value for form in SuppliedAs]
IMPORT_MODES = [mode.value for mode in Mode]
DATA_ERROR_KINDS = [kind.value for kind in DataErrorKind]
ERROR_STATES = [state.value for state in ErrorState]
HOLDER_KINDS = ["kit", "matched_set", "assembly"]
