"""The whole job: photographs and a cut list in; clips, cards, plan, manifest, motion tables and contact sheet out.

First everything is decided and nothing written (`prepare`); then everything is made and nothing decided.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from threading import Event
from typing import Any

from .cards.look import rgb
from .deliver.captions import CAPTIONS, write_captions
from .deliver.film_sheet import SHEET, film_sheet, sheet_files
from .deliver.ledger import Ledger
from .deliver.manifest import Manifest, describe, fingerprint
from .deliver.motion_table import PATHS, write_motion_tables
from .deliver.moving import MOVING_FILE
from .deliver.ours import Ours, our_folder
from .deliver.sheet_file import write_sheet
from .deliver.timelines import TIMELINE_FILES, write_timelines
from .deliver.worked_out import WORKED_OUT_FILE, load_worked_out
from .foresight import foresee
from .last_answer import ANSWER_FILE
from .new_cut import after_other_runs, follow_cut
from .notes.watched import WATCHED_FILE
from .plan.document import Plan, PlannedSlot
from .plan.labels import label
from .plan.last import CHANGEOVER_FILE, PLAN_FILE
from .plan.recut import Recut
from .prepare import Options, Prepared, prepare_all
from .records import RECORDS_FILE
from .render.clip import Recipe
from .render.encode import Encoding, raster_for
from .render.lanes import Here
from .render.schedule import Job, Made, Makers, Progress
from .resolution import Verdict
from .run_log import RunLog
from .stills.folder import Refusal
from .worth_knowing import flags_of, remarks_of


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a run made, what stood already, what needs a person's attention, and what is merely worth knowing."""

    out: Path
    plan: Plan
    manifest: Manifest
    rendered: tuple[str, ...]
    unchanged: tuple[str, ...]
    failed: tuple[str, ...]
    attention: tuple[str, ...]
    remarks: tuple[str, ...]
    verdicts: tuple[Verdict, ...]
    refused: tuple[Refusal, ...]
    recut: Recut | None = None
    others: tuple[Outcome, ...] = ()
    """What became of the film's other deliveries."""

    @property
    def needs_attention(self) -> bool:
        """Whether a person should look at anything, in this delivery or another."""
        return bool(self.attention) or any(other.needs_attention for other in self.others)

    def as_json(self) -> dict[str, Any]:
        """Return what `kenburns make --json` prints."""
        return {
            "film": self.plan.title,
            "out": str(self.out),
            "frame": self.plan.frame.model_dump(),
            "rate": self.plan.rate,
            "codec": self.plan.codec,
            "slots": [asdict(entry) for entry in self.manifest.slots],
            "rendered": list(self.rendered),
            "unchanged": list(self.unchanged),
            "failed": list(self.failed),
            "photographs": [verdict.as_json() for verdict in self.verdicts],
            "refused": [{"file": refusal.name, "reason": refusal.reason} for refusal in self.refused],
            "recut": self.recut.as_json() if self.recut else None,
            "attention": list(self.attention),
            "remarks": list(self.remarks),
            "deliveries": [other.as_json() for other in self.others],
        }


def no_progress(_slot: str, _done: int, _total: int) -> None:
    """Tell nobody."""


def make(
    target: Path | str,
    *,
    cut_list: Path | str | None = None,
    frame: str | None = None,
    rate: str | None = None,
    codec: str | None = None,
    out: Path | str | None = None,
    progress: Progress = no_progress,
) -> Outcome:
    """Make every clip and card of `target`: a folder of photographs, a film folder or a film.toml.

    What is left out comes from film.toml, or from the defaults. Files that would come out the same are left as they
    are. RequestError when the request itself is wrong; then nothing has been written.
    """
    options = Options(
        cut_list=None if cut_list is None else Path(cut_list),
        frame=frame,
        rate=rate,
        codec=codec,
        out=None if out is None else Path(out),
    )
    return together([carry_out(prepared, progress) for prepared in prepare_all(Path(target), options)])


def together(outcomes: Sequence[Outcome]) -> Outcome:
    """Return the main delivery's outcome with those of the others in it."""
    main, *others = outcomes
    return replace(main, others=tuple(others))


def carry_out(
    prepared: Prepared,
    progress: Progress = no_progress,
    log: RunLog | None = None,
    only: Collection[str] | None = None,
    enough: Event | None = None,
    makers: Makers | None = None,
) -> Outcome:
    """Make what was decided; a slot that fails is told of and does not keep the others back.

    `only`: the slots to render; the files of others stay as they stand, while plan, sheet, timelines and tables are
    those of the whole film. Once `enough` is set no further slot is begun. `makers`: where files are made, by default
    on this machine. OptionError where the out folder cannot be used, another run is at work in it, or the makers are
    not ready for it; then nothing but the names of what is to come has been written. BrokenOffError where the folder
    can no longer be written to; what is finished then stands.
    """
    with our_folder(prepared.place.out, _names(prepared)) as ours:
        job, crew = _job(prepared, enough or Event()), makers or Here()
        crew.ready(job)
        return _carry_out(prepared, ours, progress, log or RunLog(), only, job, crew)


def _carry_out(
    prepared: Prepared,
    ours: Ours,
    progress: Progress,
    log: RunLog,
    only: Collection[str] | None,
    job: Job,
    makers: Makers,
) -> Outcome:
    prepared = after_other_runs(prepared)
    plan, out = prepared.plan, prepared.place.out
    marks = {slot.slot: fingerprint(slot, plan, prepared.codec, prepared.look) for slot in plan.slots}
    summary = foresee(prepared).recut
    prepared.records.save(out)
    ledger = Ledger(out, follow_cut(prepared, ours.manifest), ours.lock)
    current = ledger.current(plan, marks)
    due = [slot for slot in plan.slots if slot.slot not in current and (only is None or slot.slot in only)]
    log.tell("run begins", out=str(out), slots=len(plan.slots), due=[slot.slot for slot in due])
    rendered, failed, remarks = _render(makers, due, job, prepared, ledger, marks, progress, log)
    _write_beside(prepared, ledger.manifest)
    _bring_sheet_up_to_date(prepared, ledger, whole=not failed)
    return Outcome(
        out=out,
        plan=plan,
        manifest=ledger.manifest,
        rendered=tuple(rendered),
        unchanged=current,
        failed=tuple(failed),
        attention=(*failed, *_attention(prepared)),
        remarks=(*prepared.remarks, *remarks, *remarks_of(plan), *log.summary()),
        verdicts=prepared.verdicts,
        refused=prepared.refused,
        recut=summary,
    )


def _render(
    makers: Makers,
    due: list[PlannedSlot],
    job: Job,
    prepared: Prepared,
    ledger: Ledger,
    marks: dict[str, str],
    progress: Progress,
    log: RunLog,
) -> tuple[list[str], list[str], list[str]]:
    def tell(slot: str, done: int, total: int) -> None:
        log.frame(slot, done, total)
        progress(slot, done, total)

    finished: dict[str, Made] = {}
    with ledger.in_the_end(prepared.plan):
        for made in makers.make(due, job, tell):
            finished[made.slot.slot] = made
            if made.error is None:
                entry = describe(made.slot, prepared.plan, marks[made.slot.slot], ledger.out)
                ledger.keep(entry, prepared.plan)
                log.made(made, entry.bytes)
            else:
                log.failed(made.slot.slot, made.error)
    in_order = [finished[slot.slot] for slot in due if slot.slot in finished]
    return (
        [made.slot.slot for made in in_order if made.error is None],
        [f"slot '{made.slot.slot}': {made.error}" for made in in_order if made.error is not None],
        [remark for made in in_order for remark in made.remarks],
    )


def _job(prepared: Prepared, enough: Event) -> Job:
    plan, codec = prepared.plan, prepared.codec
    encoding = Encoding(codec.encoder, codec.container, codec.pixel_format, codec.options)
    raster = raster_for(codec.pixel_format, plan.frame.size, codec.dither)
    return Job(
        frame=plan.frame,
        recipe=Recipe(raster, encoding, plan.exact_rate, plan.kernel, rgb(plan.matte), codec.intent),
        look=prepared.look,
        handles=plan.handles,
        shutter=plan.shutter,
        photographs=prepared.material.photographs,
        out=prepared.place.out,
        labels={slot.slot: label(slot, plan) for slot in plan.slots},
        enough=enough,
    )


def _names(prepared: Prepared) -> Iterator[str]:
    """Yield every file that the out folder will hold beside the manifest."""
    yield from (PLAN_FILE, CHANGEOVER_FILE, MOVING_FILE, RECORDS_FILE, WATCHED_FILE, ANSWER_FILE, WORKED_OUT_FILE)
    yield from (*_sheet_files(prepared), *TIMELINE_FILES)
    for slot in prepared.plan.slots:
        yield slot.file
        yield PATHS.name(slot.slot)
        if slot.overlay:
            yield CAPTIONS.name(slot.slot)


def lasting_files(prepared: Prepared) -> Iterator[str]:
    """Yield every file that stands in the out folder once all is made, beside the manifest."""
    yield from (PLAN_FILE, RECORDS_FILE, *_sheet_files(prepared), *TIMELINE_FILES)
    for slot in prepared.plan.slots:
        yield slot.file
        if slot.still:
            yield PATHS.name(slot.slot)
        if slot.overlay:
            yield CAPTIONS.name(slot.slot)


def _sheet_files(prepared: Prepared) -> tuple[str, ...]:
    return sheet_files(prepared.plan, [verdict.photograph.name for verdict in prepared.verdicts])


def _write_beside(prepared: Prepared, manifest: Manifest) -> None:
    """Write what lies beside the clips: motion tables, captions, timelines."""
    plan, out, owned = prepared.plan, prepared.place.out, frozenset(manifest.owned)
    known = load_worked_out(out)
    write_motion_tables(plan, out, owned, known.contents)
    write_captions(plan, prepared.look, out, owned, known.contents)
    write_timelines(plan, manifest, out, known.keyframes)
    known.keep(out)


def _bring_sheet_up_to_date(prepared: Prepared, ledger: Ledger, *, whole: bool) -> None:
    """Draw the pages of the sheet that would look different; all again next time after a failure (not `whole`)."""
    rooms = {verdict.photograph.name: verdict.room for verdict in prepared.verdicts}
    sheet = film_sheet(prepared.plan, prepared.material, rooms, prepared.refused, prepared.look)
    marks = write_sheet(sheet, ledger.out, SHEET, ledger.manifest.owned, ledger.manifest.sheet.split())
    ledger.write(prepared.plan, " ".join(marks) if whole else "")


def _attention(prepared: Prepared) -> tuple[str, ...]:
    return (*prepared.problems, *flags_of(prepared.plan), *(refusal.reason for refusal in prepared.refused))
