"""The plan that an out folder was last made by."""

from __future__ import annotations

from pathlib import Path

from ..errors import PlanFileError
from .document import Plan, read_plan

PLAN_FILE = "plan.json"


def last_plan(out: Path) -> Plan | None:
    """Return the plan in an out folder; None where there is none yet, or none of this version that can be read."""
    try:
        return read_plan(out / PLAN_FILE)
    except PlanFileError:
        return None
