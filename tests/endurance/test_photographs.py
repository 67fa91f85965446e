"""Photographs with accidents of every kind: each is used or told of once, the rest is looked at, nothing hangs."""

from __future__ import annotations

import io
import random
import shutil
import time
import zlib
from pathlib import Path

import numpy as np
import pi_heif
import pillow_heif
import pytest
import pyvips
from PIL import Image

from kenburns.resolution import check

WIDTH, HEIGHT = 96, 80
BATCH = 50
LONGEST = 10.0  # seconds a file, of a whole batch's time, on a busy machine


@pytest.fixture(scope="module", autouse=True)
def compiled(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Let what is compiled when it is first needed be there before anything is timed: a fresh checkout has none."""
    folder = tmp_path_factory.mktemp("compiled")
    (folder / "a.jpg").write_bytes(samples()["a.jpg"])
    assert check(folder, frame="96x64").refused == ()


def samples() -> dict[str, bytes]:
    """Return a sound photograph in every format, and pictures of formats that are told of."""
    rng = np.random.default_rng(0)
    coarse = Image.fromarray(rng.integers(0, 256, (5, 7, 3), dtype=np.uint8))
    picture = coarse.resize((WIDTH, HEIGHT), Image.Resampling.BICUBIC)
    eight = pyvips.Image.new_from_array(np.asarray(picture))
    deep = (eight.cast("ushort") * 257).cast("ushort").copy(interpretation="rgb16")
    heic = io.BytesIO()
    pillow_heif.from_pillow(picture).save(heic, quality=80)
    return {
        "a.jpg": eight.jpegsave_buffer(Q=88),
        "progressive.jpg": eight.jpegsave_buffer(Q=70, interlace=True),
        "a.png": eight.pngsave_buffer(),
        "deep.png": deep.pngsave_buffer(),
        "a.tif": eight.tiffsave_buffer(compression="lzw"),
        "tiles.tif": eight.tiffsave_buffer(compression="deflate", tile=True, pyramid=True),
        "deep.tif": deep.tiffsave_buffer(),
        "a.webp": eight.webpsave_buffer(Q=80),
        "lossless.webp": eight.webpsave_buffer(lossless=True),
        "a.avif": eight.heifsave_buffer(compression="av1", effort=0),
        "a.heic": heic.getvalue(),
        "a.gif": saved(picture, "GIF"),
        "a.jp2": saved(picture, "JPEG2000"),
        "a.bmp": saved(picture, "BMP"),
    }


def saved(picture: Image.Image, kind: str, **options: object) -> bytes:
    file = io.BytesIO()
    picture.save(file, kind, **options)
    return file.getvalue()


def endless(kind: str, frames: int) -> bytes:
    """Return an animation of so many frames."""
    shown = [Image.new("RGB", (48, 40), (n % 256, n // 256, 99)) for n in range(frames)]
    return saved(shown[0], kind, save_all=True, append_images=shown[1:], loop=0)


def png_chunk(kind: bytes, data: bytes) -> bytes:
    return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")


def bombs() -> dict[str, bytes]:
    """Return small files that claim, or hold, very much."""
    ones = zlib.compress(bytes(200_000_000), 9)  # 200 MB of zeros in 200 kB

    def png(width: int, height: int) -> bytes:
        head = width.to_bytes(4, "big") + height.to_bytes(4, "big") + b"\x08\x02\0\0\0"  # W3C PNG, section 11.2.1
        return b"\x89PNG\r\n\x1a\n" + png_chunk(b"IHDR", head) + png_chunk(b"IDAT", ones) + png_chunk(b"IEND", b"")

    jpeg = bytearray(samples()["a.jpg"])
    at = jpeg.index(b"\xff\xc0")  # ITU-T T.81, section B.2.2: SOF0, its length, precision, lines, samples a line
    jpeg[at + 5 : at + 9] = b"\xff\xdc\xff\xdc"
    text = b"\0\0" + zlib.compress(bytes(300_000_000), 9)
    sound = samples()["a.png"]
    return {
        "claims.png": png(2_000_000_000, 2_000_000_000),
        "large.png": png(60_000, 60_000),
        "wide.png": png(1_000_000, 3),
        "claims.jpg": bytes(jpeg),
        "text.png": sound[:33] + png_chunk(b"zTXt", b"Comment" + text) + sound[33:],
        "profile.png": sound[:33] + png_chunk(b"iCCP", b"icc" + text) + sound[33:],
        "many.gif": endless("GIF", 2_000),
        "many.webp": endless("WEBP", 600),
        "many.png": endless("PNG", 1_000),
    }


def accident(content: bytes, chance: random.Random) -> bytes:
    """Change a file: bits flipped, a run of bytes lost or overwritten, a length made huge, or its end cut off."""
    data = bytearray(content)
    kind = chance.randrange(5)
    at = chance.randrange(min(len(data), chance.choice([64, 512, len(data)])))
    if kind == 0:
        for _ in range(chance.randint(1, 20)):
            data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    elif kind == 1:
        data[at : at + chance.randint(1, 64)] = chance.randbytes(chance.randint(0, 64))
    elif kind == 2:
        data[at : at + 4] = chance.choice([b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff", b"\0\0\0\0", b"\x80\0\0\0"])
    elif kind == 3:
        data[at:at] = data[: chance.randint(1, 400)]
    else:
        data = data[: len(data) * chance.randrange(20) // 20]
    return bytes(data)


def spoilt(chance: random.Random, count: int) -> dict[str, bytes]:
    """Return so many files that accidents have happened to, some under another format's suffix."""
    sound, files = samples(), {}
    suffixes = [Path(name).suffix for name in sound]
    for number in range(count):
        name, content = chance.choice(sorted(sound.items()))
        suffix = chance.choice(suffixes) if chance.random() < 0.1 else Path(name).suffix
        files[f"{number:05d} {Path(name).stem}{suffix}"] = accident(content, chance)
    return files


def answered(folder: Path, files: dict[str, bytes]) -> dict[str, int]:
    """Look at files in a folder; return how many were used and refused, each of them having been answered once."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    for name, content in files.items():
        (folder / name).write_bytes(content)
    began = time.monotonic()
    found = check(folder, frame="96x64")
    took = time.monotonic() - began
    used, refused = [v.photograph.name for v in found.verdicts], [r.name for r in found.refused]
    assert sorted([*used, *refused]) == sorted(files)
    assert all(name in refusal.reason for name, refusal in zip(refused, found.refused, strict=True))
    assert {name: (folder / name).read_bytes() for name in files} == files  # photographs are only read
    assert took < LONGEST * len(files)
    return {"used": len(used), "refused": len(refused)}


def test_sound_photographs_are_used_whatever_their_suffix_and_other_pictures_told_of(tmp_path: Path) -> None:
    files = samples()
    others = {name for name in files if Path(name).suffix in {".gif", ".jp2", ".bmp"}}
    assert answered(tmp_path / "a", files) == {"used": len(files) - len(others), "refused": len(others)}
    swapped = {"b.png": files["a.jpg"], "b.jpg": files["a.webp"], "b.tif": files["a.heic"], "b.heic": files["deep.tif"]}
    assert answered(tmp_path / "b", swapped) == {"used": 4, "refused": 0}
    assert pi_heif.is_supported(files["a.heic"])  # it is one


def test_files_that_claim_or_hold_very_much_are_answered(tmp_path: Path) -> None:
    # Used: two whose bombs are no pixels, and the first picture of those with many.
    assert answered(tmp_path / "photographs", bombs()) == {"used": 4, "refused": 5}


def test_files_cut_off_at_every_twentieth_are_answered(tmp_path: Path, full: bool) -> None:
    cuts = range(20) if full else (0, 1, 9, 19)
    files = {
        f"{cut:02d} {name}": content[: len(content) * cut // 20] for name, content in samples().items() for cut in cuts
    }
    assert answered(tmp_path / "photographs", files)["refused"] >= len(files) // 2


@pytest.mark.xdist_group("endurance")
def test_files_that_accidents_have_happened_to_are_answered(tmp_path: Path, chance: random.Random, full: bool) -> None:
    # Among the files of these two are a HEIC without a picture and one 0 px high, each of which ended a run once.
    moments = [random.Random(3), random.Random(15), *[chance] * (398 if full else 0)]
    answers = [answered(tmp_path / "photographs", spoilt(moment, BATCH)) for moment in moments]
    used, refused = (sum(one[what] for one in answers) for what in ("used", "refused"))
    print(f"{used} used, {refused} refused")
    assert refused
