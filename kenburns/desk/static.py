"""The page's own files, read once; what is not in this list cannot be asked for."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

PAGE = Path(__file__).resolve().parent / "page"

_TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
    ".txt": "text/plain; charset=utf-8",
}

_NO_PAGE = b"<!doctype html><title>Desk</title><p>The page is missing from this installation; install it again."


@dataclass(frozen=True, slots=True)
class PageFile:
    """One file of the page."""

    content: bytes
    media_type: str


def page_files(folder: Path = PAGE) -> dict[str, PageFile]:
    """Return the files of the page by name; index.html is always among them."""
    found = {
        path.name: PageFile(path.read_bytes(), _TYPES[path.suffix])
        for path in (sorted(folder.iterdir()) if folder.is_dir() else ())
        if path.is_file() and path.suffix in _TYPES
    }
    return {"index.html": PageFile(_NO_PAGE, _TYPES[".html"]), **found}
