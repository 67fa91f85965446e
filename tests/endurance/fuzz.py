"""A coverage-guided fuzzer over one reader: python -m tests.endurance.fuzz READER [libFuzzer's options] [corpus].

It ends with another status than 0, and writes down the content, where a reader raises what is no sentence for a person,
takes longer than it may, or more memory. Needs the extra `fuzz`.
"""

from __future__ import annotations

import sys

import atheris

with atheris.instrument_imports(include=["kenburns.cutlist", "kenburns.notes", "kenburns.film_file", "tomlkit"]):
    from tests.endurance.parsers import LONGEST, read_content

MOST_MEMORY = 2048  # MB


def main() -> None:
    reader, *rest = sys.argv[1:]
    limits = [f"-timeout={LONGEST:.0f}", f"-rss_limit_mb={MOST_MEMORY}", "-max_len=16384"]
    atheris.Setup([sys.argv[0], *limits, *rest], lambda content: read_content(reader, content))
    atheris.Fuzz()


if __name__ == "__main__":
    main()
