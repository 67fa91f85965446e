"""A new cut takes over in an out folder: film.toml, the plan, the files and what notes were made on follow it."""

from __future__ import annotations

from dataclasses import replace

from .deliver.changeover import change_over, finish_changeover, no_changeover
from .deliver.manifest import Manifest
from .deliver.moving import announce, bring_to_end
from .deliver.refile import refiled
from .errors import OptionError
from .files import write_whole
from .film import load_film
from .notes.watched import WATCHED_FILE, read_watched
from .plan.document import write_plan
from .plan.last import plan_of_hand_edits
from .plan.recut import renamed
from .prepare import Prepared
from .remarks import watched_notes


def after_other_runs(prepared: Prepared) -> Prepared:
    """Return what was prepared, following the plan that the folder is made by now: another run may have been quicker.

    OptionError where that is neither the plan it was prepared from nor its own.
    """
    place, plan = prepared.place, prepared.plan
    stands = plan_of_hand_edits(place.out, load_film(place.file).slots if place.file else ())
    if stands == prepared.earlier:
        return prepared
    if stands == plan:
        return replace(prepared, earlier=plan, were={slot.slot: slot for slot in plan.slots})
    raise OptionError(f"--out: another run has followed another cut in '{place.out}' meanwhile; run again")


def follow_cut(prepared: Prepared, manifest: Manifest) -> Manifest:
    """Let film.toml, the plan and the files follow the cut; return the manifest then.

    Where a run was killed in that, first to the end of the cut before: no file then has the name of another slot.
    """
    place, text = prepared.place, write_plan(prepared.plan)
    with no_changeover(place.out):
        finish_changeover(place.file, place.out)
    manifest = bring_to_end(manifest, place.out)
    if prepared.earlier is not None:
        announce(refiled(manifest, prepared.plan, prepared.were, place.out), text, place.out)
    _keep_watched(prepared)
    change_over(text, renamed(prepared.were), place.file, place.out)
    return bring_to_end(manifest, place.out)


def _keep_watched(prepared: Prepared) -> None:
    """Keep the version that notes were made on, where another takes its place now."""
    watched, out = watched_notes(prepared), prepared.place.out
    # Reviews are of the main delivery; the others have no film.toml of their own.
    if prepared.place.file and prepared.plan != prepared.earlier and watched != read_watched(out):
        write_whole(out / WATCHED_FILE, (watched.model_dump_json(indent=1) + "\n").encode())
