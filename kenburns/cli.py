"""The command line: arguments in, exit codes out.

0: done. 1: done, but something needs attention. 2: the request itself is wrong, and nothing was written. 3: broken off;
what is finished stands, and the next run goes on. 130: ended by the person (128 + SIGINT, as shells have it).
With --json only JSON goes to standard output; progress and words go to standard error.
"""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .errors import KenburnsError, OptionError, RequestError

if TYPE_CHECKING:
    from .last_answer import Question
    from .render.schedule import Makers

DONE, ATTENTION, WRONG, BROKEN_OFF, ENDED = 0, 1, 2, 3, 130

app = typer.Typer(
    name="kenburns",
    help="Artwork photographs and a cut list in; finished clips, frame-exact, out.",
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

Target = Annotated[Path, typer.Argument(help="A folder of photographs, a film folder, or a film.toml.")]
FrameOption = Annotated[
    str | None, typer.Option("--frame", metavar="P|WxH", help="Frame: a preset such as hd or uhd, or 1920x1080.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for scripts.")]


@app.callback(invoke_without_command=True)
def start(context: typer.Context) -> None:
    """Artwork photographs and a cut list in; finished clips, frame-exact, out. Without a command: the desk, here."""
    if context.invoked_subcommand is None:
        desk(Path())


@app.command()
def make(
    target: Target,
    cut_list: Annotated[
        Path | None, typer.Option("--cut-list", metavar="F", help="The cut list: CSV, EDL or OTIO.")
    ] = None,
    track: Annotated[
        str | None, typer.Option("--track", metavar="T", help="Its track that holds the stills, by name or number.")
    ] = None,
    reel: Annotated[str | None, typer.Option("--reel", metavar="R", help="Its reel that holds the stills.")] = None,
    frame: FrameOption = None,
    rate: Annotated[
        str | None, typer.Option("--rate", metavar="R", help="Frames a second: 25, 23.976, 30000/1001.")
    ] = None,
    codec: Annotated[
        str | None,
        typer.Option("--codec", metavar="PRESET", help="How clips are written: edit, edit-rdd36, review, archive."),
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", metavar="DIR", help="Where everything goes.")] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Say what a new cut changes and what would be made; make nothing.")
    ] = False,
    log: Annotated[
        Path | None, typer.Option("--log", metavar="F", help="Add what happens to this file, a JSON object a line.")
    ] = None,
    cluster: Annotated[
        str | None, typer.Option("--cluster", metavar="ADDRESS", help="Let the workers of a Dask scheduler make them.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Make a clip or a card for every slot."""

    def run() -> int:
        from .last_answer import answered, question
        from .terminal import print_lines

        asked = None if dry_run else question(target, cut_list, out, frame, rate, codec, track, reel)
        answer = answered(asked) if asked and not (log or cluster) else None
        if answer is not None:
            print_lines(answer.foreseen, to_error=True)
            _print(answer.document) if as_json else print_lines(answer.said)
            return ATTENTION if answer.needs_attention else DONE
        return make_it(asked)

    def make_it(asked: Question | None) -> int:
        from .bars import film_progress
        from .foresight import foresee
        from .job import carry_out, together
        from .prepare import Options, prepare_all
        from .run_log import run_log
        from .telling import foreseen_lines, keep_for_next, outcome_lines
        from .terminal import print_lines

        outcomes = []
        prepared = prepare_all(target, Options(cut_list, frame, rate, codec, out, track, reel))
        foreseen = [foresee(one) for one in prepared]
        if dry_run and as_json:
            _print({"deliveries": [one.as_json() for one in foreseen]})
        else:
            print_lines(foreseen_lines(foreseen), to_error=not dry_run)
        if dry_run:
            return DONE
        with run_log(log) as events, _makers(cluster) as makers:
            for one in prepared:
                with film_progress(one.plan) as progress:
                    outcomes.append(carry_out(one, progress, events, makers=makers))
        outcome = together(outcomes)
        _print(outcome.as_json()) if as_json else print_lines(outcome_lines(outcome))
        if asked is not None:
            keep_for_next(asked, prepared, outcome)
        return ATTENTION if outcome.needs_attention else DONE

    _answer(run)


@app.command()
def check(
    target: Target,
    frame: FrameOption = None,
    zoom: Annotated[
        float | None, typer.Option("--zoom", metavar="Z", help="How close a shot shall go; 1 fills the frame.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Judge every photograph: how close it may be shown."""

    def run() -> int:
        from .resolution import check as judge_all
        from .screen import print_check

        result = judge_all(target, frame=frame, zoom=zoom)
        _print(result.as_json()) if as_json else print_check(result)
        return ATTENTION if result.needs_attention else DONE

    _answer(run)


@app.command()
def details(target: Target, frame: FrameOption = None, as_json: JsonOption = False) -> None:
    """List and draw each photograph's work and details."""

    def run() -> int:
        from .proposals import draw, proposals
        from .screen import print_details

        proposed = proposals(target, frame=frame)
        page = draw(proposed)
        _print(proposed.as_json()) if as_json else print_details(proposed, page)
        return ATTENTION if proposed.refused else DONE

    _answer(run)


@app.command()
def spot(
    target: Target,
    transcript: Annotated[
        Path | None, typer.Option("--transcript", metavar="F", help="What is said in the film: WebVTT or SubRip.")
    ] = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Only say what would be written.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Propose a cut list from what is said in the film."""

    def run() -> int:
        from .screen import print_proposal
        from .spotting import propose_slots, write_proposal

        proposal = propose_slots(target, transcript)
        written = None if dry_run else write_proposal(proposal)
        _print(proposal.as_json()) if as_json else print_proposal(proposal, written)
        return ATTENTION if proposal.problems else DONE

    _answer(run)


@app.command()
def request(target: Target, as_json: JsonOption = False) -> None:
    """Ask for better files: a table, and a letter to each owner."""

    def run() -> int:
        from .review import ask
        from .review_screen import print_request

        asked = ask(target)
        _print(asked.request.as_json()) if as_json else print_request(asked)
        return ATTENTION if asked.request.asks else DONE

    _answer(run)


@app.command("credits")
def credit(
    target: Target,
    order: Annotated[str, typer.Option("--order", metavar="O", help="appearance or alphabetical.")] = "appearance",
    as_json: JsonOption = False,
) -> None:
    """Say who must be named, and what is not cleared."""

    def run() -> int:
        from .review import credits_of
        from .review_screen import print_credits

        found = credits_of(target, order)
        _print(found.as_json()) if as_json else print_credits(found)
        return ATTENTION if found.unnamed or found.uncleared else DONE

    _answer(run)


@app.command()
def notes(
    target: Target,
    file: Annotated[Path | None, typer.Option("--file", metavar="F", help="Text, CSV or captions with times.")] = None,
    done: Annotated[list[str] | None, typer.Option("--done", metavar="ID", help="Mark a note as dealt with.")] = None,
    reopen: Annotated[list[str] | None, typer.Option("--reopen", metavar="ID", help="Take such a mark away.")] = None,
    as_json: JsonOption = False,
) -> None:
    """Lay a review's remarks on the slots they are about."""

    def run() -> int:
        from .review import remarked
        from .review_screen import print_notes

        found = remarked(target, file, done or (), reopen or ())
        changed = [answer.as_json() for answer in found.answered]
        _print(found.laid.as_json() | {"changed": changed}) if as_json else print_notes(found)
        return ATTENTION if found.laid.open or found.laid.problems else DONE

    _answer(run)


@app.command()
def status(target: Target, as_json: JsonOption = False) -> None:
    """Say how far the film is, on one screen."""

    def run() -> int:
        from .review import film_status
        from .review_screen import print_status

        found = film_status(target)
        _print(found.as_json()) if as_json else print_status(found)
        return ATTENTION if found.needs_attention else DONE

    _answer(run)


@app.command()
def reel(
    target: Target,
    over: Annotated[
        Path | None, typer.Option("--over", metavar="F", help="The rough cut: its picture and sound lie below.")
    ] = None,
    to: Annotated[Path | None, typer.Option("--to", metavar="F", help="The .mp4 file to write.")] = None,
    burn_in: Annotated[bool, typer.Option("--burn-in", help="Draw timecode and slot into the picture.")] = False,
    over_black: Annotated[bool, typer.Option("--over-black", help="Only the rough cut's sound, over black.")] = False,
) -> None:
    """Make the review reel: all slots as one film."""

    def run() -> int:
        from .review import film_reel
        from .review_screen import print_reel, reel_progress

        with reel_progress() as progress:
            made = film_reel(target, over, to, burn_in=burn_in, over_black=over_black, progress=progress)
        print_reel(made)
        return DONE

    _answer(run)


@app.command()
def demo(
    folder: Annotated[Path, typer.Argument(metavar="[DIR]", help="Where the demo film goes.")] = Path("demo-film"),
) -> None:
    """Paint and make an invented film."""

    def run() -> int:
        from .bars import film_progress
        from .demo_film import as_it_should_be, prepare_demo
        from .job import carry_out
        from .telling import outcome_lines
        from .terminal import print_lines, say

        say(f"Painting the photographs of the demo film in '{folder}' ...")
        prepared = prepare_demo(folder)
        with film_progress(prepared.plan) as progress:
            outcome = carry_out(prepared, progress)
        print_lines(outcome_lines(outcome))
        return DONE if as_it_should_be(outcome) else ATTENTION

    _answer(run)


@app.command()
def new(folder: Annotated[Path, typer.Argument(metavar="DIR", help="The film folder to make.")]) -> None:
    """Make a fresh film folder."""

    def run() -> int:
        from .fresh_film import new_film
        from .terminal import say

        for path in new_film(folder):
            say(f"made {path}")
        return DONE

    _answer(run)


@app.command()
def desk(
    target: Annotated[
        Path, typer.Argument(metavar="[TARGET]", help="A film folder, a folder of photographs, or an empty folder.")
    ] = Path(),
    port: Annotated[int, typer.Option("--port", metavar="N", help="The port of this machine; 0: any free one.")] = 0,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the page in the browser.")] = True,
) -> None:
    """See every shot and set it by hand, on a page in the browser."""

    def run() -> int:
        from .desk.server import serve
        from .terminal import say

        serve(target, port, open_browser=browser, tell=say)
        return DONE

    _answer(run)


def _makers(address: str | None) -> AbstractContextManager[Makers | None]:
    """Return where files are made: by the workers of the scheduler at this address, else on this machine."""
    if address is None:
        return nullcontext()
    try:
        from .cluster.makers import cluster
    except ModuleNotFoundError as error:
        raise OptionError(f"--cluster: {error}; install it with: pip install 'kenburns[cluster]'") from error
    return cluster(address)


def _answer(run: Callable[[], int]) -> None:
    """End the command with the status of `run`; what keeps it from its end is a sentence on standard error."""
    try:
        status = run()
    except RequestError as error:
        typer.echo(f"kenburns: {error}", err=True)
        status = WRONG
    except (KenburnsError, OSError) as error:
        typer.echo(f"kenburns: broken off: {error}", err=True)
        status = BROKEN_OFF
    except KeyboardInterrupt:
        typer.echo("kenburns: ended; what is finished stands, and the next run goes on from here", err=True)
        status = ENDED
    raise typer.Exit(status)


def _print(document: Mapping[str, Any]) -> None:
    # All in ASCII, so that it is the same JSON in every terminal's encoding and with file names in none.
    sys.stdout.write(json.dumps(document, indent=2) + "\n")


def main() -> None:
    """Run the command line."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")  # a file name that is no text must not end a run
    app()
