"""The plan that an out folder was last made by, and that by whose ids film.toml speaks of slots.

They are one and the same, but for the moment in which both change over to a new cut, and after a run that was killed in
it. What is to be the next plan lies beside the plan then, with the ids that film.toml has when it has changed over.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

from ..errors import PlanFileError
from .document import Plan, parse_plan, read_plan

PLAN_FILE = "plan.json"
CHANGEOVER_FILE = ".changeover.json"


def last_plan(out: Path) -> Plan | None:
    """Return the plan in an out folder; None where there is none yet, or none of this version that can be read."""
    try:
        return read_plan(out / PLAN_FILE)
    except PlanFileError:
        return None


def plan_of_hand_edits(out: Path, ids: Iterable[str]) -> Plan | None:
    """Return the plan whose ids film.toml uses, of whose slots `ids` (in its order) have something set by hand.

    None where nothing was made yet.
    """
    begun = begun_changeover(out, ids)
    return parse_plan(begun, out / CHANGEOVER_FILE) if begun else last_plan(out)


def begun_changeover(out: Path, ids: Iterable[str]) -> str:
    """Return the text of the plan that film.toml has changed over to already while the plan has not; "" for none."""
    try:
        told = json.loads((out / CHANGEOVER_FILE).read_bytes())
    except (OSError, ValueError):
        return ""
    if not isinstance(told, dict) or not isinstance(told.get("plan"), str) or not isinstance(told.get("ids"), list):
        return ""
    # Others may have been set by hand since, before the next run.
    known = set(map(str, told["ids"]))
    return told["plan"] if [each for each in ids if each in known] == told["ids"] else ""


def changeover(ids: Iterable[str], plan: str) -> bytes:
    """Return what lies beside the plan while film.toml and the plan change over; `plan` is the text of the new one."""
    return json.dumps({"ids": list(ids), "plan": plan}).encode()
