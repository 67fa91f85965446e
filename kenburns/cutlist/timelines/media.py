"""What a clip shows: the still's file by name where its media is a picture."""

from __future__ import annotations

import re
from pathlib import PurePosixPath
from urllib.parse import unquote, urlsplit

from ..names import base_name
from ..vocabulary import SUFFIXES
from .file import Object, schema, text_of

DEFAULT_MEDIA = "DEFAULT_MEDIA"
"""The key of a clip's only media (opentimelineio, Clip.DEFAULT_MEDIA_KEY)."""

# Suffixes of moving pictures and sound (common practice).
_FILMED = frozenset(
    {"mov", "mp4", "m4v", "mxf", "avi", "mkv", "mts", "webm", "braw", "r3d", "wav", "aif", "aiff", "mp3"}
)

_SCHEME = re.compile(r"[A-Za-z][A-Za-z0-9+.-]+://")  # two letters at least: "C:" is a drive
_NOT_IN_URLS = re.compile(r"[^!-~]|[\\\"<>^`{|}]")  # RFC 3986, section 2: what a reference never holds as it is


def media_of(clip: Object) -> Object:
    """Return the media reference that a clip uses, an empty one where it has none."""
    several = clip.get("media_references")
    if isinstance(several, dict):
        held = several.get(text_of(clip, "active_media_reference_key") or DEFAULT_MEDIA)
    else:
        held = clip.get("media_reference")  # Clip.1
    return held if isinstance(held, dict) else {}


def still_of(clip: Object) -> str:
    """Return the name of the picture file that a clip shows, without folders; "" where it shows none.

    A picture is an external reference to a file with a picture's suffix, or a sequence of one image.
    """
    name = base_name(_file_of(media_of(clip)))
    return name if is_picture(name) else ""


def is_film(clip: Object) -> bool:
    """Whether a clip's media is a file that is no picture, or several images; where it is missing its name decides."""
    media = media_of(clip)
    if schema(media) == "ImageSequenceReference":
        return _images(media) != 1
    if schema(media) == "ExternalReference":
        return not still_of(clip)
    return PurePosixPath(text_of(clip, "name")).suffix[1:].lower() in _FILMED


def is_picture(name: str) -> bool:
    """Whether a file's name ends as a picture's does."""
    return PurePosixPath(name.strip()).suffix[1:].lower() in SUFFIXES


def path_in(url: str) -> str:
    """Return the path that a target_url means: a URL, a reference relative to the timeline (RFC 3986), or a bare path.

    What holds a character that no URL holds is a path as it stands: '%' is a per cent sign there.
    """
    if _SCHEME.match(url):
        scheme, _, rest = url.partition("://")
        # '?' and '#' are letters of a file's name; on the web they end the path.
        path = rest[rest.find("/") :] if scheme.lower() == "file" else _web_path(url)
        return unquote(path)
    return url if _NOT_IN_URLS.search(url) else unquote(url)


def _web_path(url: str) -> str:
    try:
        return urlsplit(url).path
    except ValueError:
        return ""


def _file_of(media: Object) -> str:
    if schema(media) == "ExternalReference":
        return path_in(text_of(media, "target_url"))
    if schema(media) == "ImageSequenceReference" and _images(media) == 1:
        return _first_image(media)
    return ""


def _images(media: Object) -> int:
    """Count the images of a sequence: its available range in frames; 0 where it is not said."""
    held = media.get("available_range")
    duration = held.get("duration") if isinstance(held, dict) else None
    value = duration.get("value") if isinstance(duration, dict) else None
    return int(value) if isinstance(value, int | float) and 0 <= value < 1e9 else 0


def _first_image(media: Object) -> str:
    """Name the first image (opentimelineio, ImageSequenceReference.target_url_for_image_number)."""
    start, padding = media.get("start_frame"), media.get("frame_zero_padding")
    number = start if isinstance(start, int) else 0
    width = padding if isinstance(padding, int) and 0 <= padding <= 20 else 0
    digits = f"{'-' * (number < 0)}{abs(number):0{width}d}"
    return unquote(f"{text_of(media, 'name_prefix')}{digits}{text_of(media, 'name_suffix')}")
