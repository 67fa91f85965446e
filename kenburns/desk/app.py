"""Addresses and answers: each request becomes one question to the session, the rendering, or the pictures."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from anyio import CapacityLimiter, to_thread
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from ..errors import KenburnsError, PhotographError, RequestError
from ..prepare import Prepared
from .asked import asked_in, chosen_in, index_in, mark_in, photograph_in, version_in, width_in
from .bring import Brought, bring
from .changes import ConflictError
from .events import Events
from .images import Images, Picture, as_taken
from .own_folder import own_folder
from .paths import slot_motion
from .rendering import Rendering
from .session import Session
from .snapshot import Snapshot
from .static import page_files
from .uploads import Upload, receive_files

_DECODERS = 2  # pictures made at once; each decoder has threads of its own


class Desk:
    """What the addresses answer from."""

    def __init__(self, session: Session, rendering: Rendering, events: Events) -> None:
        """Take the parts; nothing runs yet."""
        self.session, self.rendering, self.events = session, rendering, events
        self._images = Images()
        self._files = page_files()
        self._decoders = CapacityLimiter(_DECODERS)

    def routes(self) -> list[Route]:
        """Return all addresses."""
        return [
            Route("/", self.page),
            Route("/page/{name}", self.file),
            Route("/image/{photograph}", self.image),
            Route("/card/{index}", self.card),
            Route("/api/film", self.film),
            Route("/api/path/{index}", self.path),
            Route("/api/events", self.news),
            Route("/api/edit", self.edit, methods=["POST"]),
            Route("/api/undo", self.undo, methods=["POST"]),
            Route("/api/redo", self.redo, methods=["POST"]),
            Route("/api/note", self.note, methods=["POST"]),
            Route("/api/bring", self.bring, methods=["POST"]),
            Route("/api/render", self.rendered, methods=["GET"]),
            Route("/api/render", self.render, methods=["POST"]),
            Route("/api/render/stop", self.stop, methods=["POST"]),
        ]

    async def page(self, _request: Request) -> Response:
        """Answer with the page itself."""
        return self._file("index.html")

    async def file(self, request: Request) -> Response:
        """Answer with one of the page's files."""
        name = request.path_params["name"]
        if name not in self._files:
            raise HTTPException(404, "no such file")
        return self._file(name)

    def _file(self, name: str) -> Response:
        file = self._files[name]
        return Response(file.content, media_type=file.media_type, headers={"cache-control": "no-cache"})

    async def film(self, _request: Request) -> Response:
        """Answer with the film's state."""
        return _state(self.session.now)

    async def path(self, request: Request) -> Response:
        """Answer with the motion of one slot."""
        prepared = self._prepared()
        index = index_in(request, len(prepared.plan.slots))
        motion = await to_thread.run_sync(slot_motion, prepared, index)
        return JSONResponse({**motion, "version": self.session.now.version})

    async def image(self, request: Request) -> Response:
        """Answer with a photograph, as shown or `as=taken`."""
        prepared, width = self._prepared(), width_in(request)
        photograph = photograph_in(request.path_params["photograph"], prepared)
        wanted = as_taken(photograph) if request.query_params.get("as") == "taken" else photograph
        folder = own_folder(prepared.place.out, "images")
        return await self._picture(request, lambda: self._images.photograph(wanted, width, prepared.plan.matte, folder))

    async def card(self, request: Request) -> Response:
        """Answer with the card of one slot."""
        prepared, width = self._prepared(), width_in(request)
        slot = prepared.plan.slots[index_in(request, len(prepared.plan.slots))]
        if slot.kind != "card":
            raise HTTPException(404, f"slot '{slot.slot}' has a photograph and no card")
        size, look = prepared.plan.frame.size, prepared.look
        behind = prepared.material.photographs.get(slot.photograph.file) if slot.photograph else None
        return await self._picture(request, lambda: self._images.card(slot, size, look, width, behind))

    async def _picture(self, request: Request, make: Callable[[], Picture]) -> Response:
        try:
            picture = await to_thread.run_sync(make, limiter=self._decoders)
        except (PhotographError, ValueError) as wrong:
            raise HTTPException(404, str(wrong)) from None
        headers = {"etag": f'"{picture.mark}"', "cache-control": "private, no-cache"}
        if request.headers.get("if-none-match") == headers["etag"]:
            return Response(status_code=304, headers=headers)
        return Response(picture.jpeg, media_type="image/jpeg", headers=headers)

    async def edit(self, request: Request) -> Response:
        """Set keys by hand."""
        asked = await asked_in(request)
        return await self._changed(self.session.edit, version_in(asked), asked.get("changes"))

    async def undo(self, request: Request) -> Response:
        """Take back the last edit."""
        return await self._changed(self.session.undo, version_in(await asked_in(request)))

    async def redo(self, request: Request) -> Response:
        """Take again the edit taken back last."""
        return await self._changed(self.session.redo, version_in(await asked_in(request)))

    async def note(self, request: Request) -> Response:
        """Mark a note of a review as done, or open it again."""
        return await self._changed(self.session.mark, *mark_in(await asked_in(request)))

    async def _changed(self, change: Callable[..., Snapshot], *asked: object) -> Response:
        try:
            return _state(await to_thread.run_sync(change, *asked))
        except ConflictError as conflict:
            now = await to_thread.run_sync(partial(self.session.refresh, remember=False))
            return JSONResponse({"error": str(conflict), "film": json.loads(now.body)}, 409)
        except (KenburnsError, ValueError, OSError) as wrong:
            return JSONResponse({"error": str(wrong)}, 422)

    async def render(self, request: Request) -> Response:
        """Begin to render all that is due, or some slots."""
        chosen = chosen_in((await asked_in(request)).get("slots"), self._prepared())
        self._begin(chosen)
        return JSONResponse(self.rendering.progress.as_json(), 202)

    def _begin(self, chosen: frozenset[str] | None) -> None:
        try:
            self.rendering.start(
                lambda: self.session.to_render(whole=chosen is None), self.session.refresh, only=chosen
            )
        except RequestError as wrong:
            raise HTTPException(409, str(wrong)) from None

    async def rendered(self, _request: Request) -> Response:
        """Answer with how far the rendering is."""
        return JSONResponse(self.rendering.progress.as_json())

    async def stop(self, _request: Request) -> Response:
        """Let the rendering end after the slots in work."""
        self.rendering.stop()
        return JSONResponse(self.rendering.progress.as_json())

    async def news(self, _request: Request) -> Response:
        """Answer with news for as long as the page is open."""
        if self.events.is_full:
            raise HTTPException(503, "too many pages are open on this desk; close one")
        first = {
            "film": json.dumps({"version": self.session.now.version}),
            "render": json.dumps(self.rendering.progress.as_json()),
        }
        return StreamingResponse(self.events.stream(first), media_type="text/event-stream")

    async def bring(self, request: Request) -> Response:
        """Take in files that were dropped on the page."""
        prepared = self.session.now.prepared
        try:
            folder = await to_thread.run_sync(_folder_for_uploads, self.session.target, prepared)
            try:
                content_type = request.headers.get("content-type", "")
                uploads = await receive_files(content_type, request.stream(), folder)
                brought = await to_thread.run_sync(self._take_in, uploads)
            finally:
                await to_thread.run_sync(_clear, folder)
        except (RequestError, OSError) as wrong:
            return JSONResponse({"error": str(wrong)}, 422)
        now = await to_thread.run_sync(self.session.replaced, brought.target)
        return JSONResponse({**json.loads(now.body), "brought": _told(brought)})

    def _take_in(self, uploads: tuple[Upload, ...]) -> Brought:
        return bring(self.session.target, uploads, has_film=self.session.now.prepared is not None)

    def _prepared(self) -> Prepared:
        prepared = self.session.now.prepared
        if prepared is None:
            raise HTTPException(404, "there is no film here yet")
        return prepared


def _state(snapshot: Snapshot) -> Response:
    return Response(snapshot.body, media_type="application/json")


async def failed(_request: Request, wrong: Exception) -> Response:
    """Answer a request that cannot be served, with its sentence."""
    status = wrong.status_code if isinstance(wrong, HTTPException) else 500
    detail = wrong.detail if isinstance(wrong, HTTPException) else "something is wrong inside the desk"
    headers = dict(wrong.headers or {}) if isinstance(wrong, HTTPException) else {}
    return JSONResponse({"error": detail}, status, headers)


def _folder_for_uploads(target: Path, prepared: Prepared | None) -> Path:
    """Make a folder for files on their way: on the film's own disk, so that they need only be moved."""
    own = own_folder(prepared.place.out) if prepared else None
    beside = target if target.is_dir() else target.parent
    return Path(tempfile.mkdtemp(prefix=".incoming-", dir=own or beside))


def _clear(folder: Path) -> None:
    shutil.rmtree(folder, ignore_errors=True)


def _told(brought: Brought) -> dict[str, Any]:
    return {
        "files": [{"name": name, "as": lies} for name, lies in brought.taken],
        "left_out": [{"name": name, "reason": reason} for name, reason in brought.left_out],
    }
