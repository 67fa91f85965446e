"""How long `import kenburns` and `kenburns --help` take beyond an empty interpreter, in seconds."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator

from benchmarks.render_ratio import seconds
from benchmarks.table import Row

ROUNDS = 7


def measure() -> Iterator[Row]:
    for what, words, bound in (
        ("import kenburns", ["-c", "import kenburns"], "<= 0.15"),
        ("kenburns --help", ["-m", "kenburns", "--help"], "<= 0.4"),
    ):
        values = [run(words) - run(["-c", "pass"]) for _ in range(ROUNDS)]
        yield Row(f"{what}, beyond an empty interpreter", values, bound, " s")


def run(words: list[str]) -> float:
    def start() -> None:
        subprocess.run([sys.executable, *words], check=True, capture_output=True)

    return seconds(start)
