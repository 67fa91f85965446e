"""Print the table of what is measured: `python -m benchmarks [NAME ...]`, all of it by default."""

from __future__ import annotations

import sys

from benchmarks import (
    flicker,
    frames_ratio,
    looking_ratio,
    memory,
    moviepy_ratio,
    reel_ratio,
    render_ratio,
    scale,
    startup,
)

TABLES = {
    "render_ratio": render_ratio,
    "frames_ratio": frames_ratio,
    "moviepy_ratio": moviepy_ratio,
    "flicker": flicker,
    "memory": memory,
    "looking_ratio": looking_ratio,
    "reel_ratio": reel_ratio,
    "scale": scale,
    "startup": startup,
}


def main() -> None:
    for name in sys.argv[1:] or TABLES:
        for row in TABLES[name].measure():
            print(row, flush=True)


main()
