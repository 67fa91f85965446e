"""What a card says, and the same in characters that its typeface has."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from .text import tidy
from .typeface import missing_characters, substitute


@dataclass(frozen=True, slots=True)
class CardText:
    """What a placeholder says. Times and length are ready text, such as "01:00:10:00" and "5.0 s · 125 frames"."""

    slot: str
    wanted: str
    start_timecode: str
    end_timecode: str
    length: str
    note: str = ""
    reason: str = "no photograph yet"


def drawable(card: CardText, family: str) -> tuple[CardText, tuple[str, ...]]:
    """Return the card tidied, with "?" for each character the typeface lacks, and a remark that names those."""
    tidied = {name: "\n".join(tidy(text)) for name, text in asdict(card).items()}
    missing = missing_characters("".join(tidied.values()).replace("\n", ""), family)
    shown = CardText(**{name: substitute(text, family) for name, text in tidied.items()})
    return shown, (_lacking(missing, family),) if missing else ()


def _lacking(missing: tuple[str, ...], family: str) -> str:
    named = ", ".join(f"U+{ord(character):04X}" for character in missing[:8])
    more = f" and {len(missing) - 8} more" if len(missing) > 8 else ""
    return f"{family} and its fallbacks lack {named}{more}; '?' is drawn instead"
