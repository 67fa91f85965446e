"""Plain lines on standard output and standard error, and what tables are printed on."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console
from rich.text import Text

_WIDTH = 110  # columns where the output is no terminal


def console(*, to_error: bool = False) -> Console:
    """Return standard output or standard error, as wide as the terminal, else of a width that suits a file."""
    screen = Console(stderr=to_error, highlight=False)
    return screen if screen.is_terminal else Console(stderr=to_error, highlight=False, width=_WIDTH)


def say(text: str) -> None:
    """Print words on standard error."""
    print_lines((text,), to_error=True)


def print_lines(lines: Iterable[str], *, to_error: bool = False) -> None:
    """Print lines as they are, but for what would move a terminal's cursor; nothing where there are none."""
    text = "\n".join(lines)
    if text:
        console(to_error=to_error).print(Text(text), soft_wrap=True)


def print_list(heading: str, lines: tuple[str, ...]) -> None:
    """Print lines below a heading that counts them; nothing where there are none."""
    print_lines(list_lines(heading, lines))


def list_lines(heading: str, lines: tuple[str, ...]) -> tuple[str, ...]:
    """Return lines below a heading that counts them; nothing where there are none."""
    return ("", f"{heading} ({len(lines)})", *(f"  {line}" for line in lines)) if lines else ()
