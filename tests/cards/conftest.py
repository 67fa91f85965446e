from __future__ import annotations

import pytest

from kenburns.cards.wording import CardText


@pytest.fixture
def card() -> CardText:
    return CardText(
        "014-harbour",
        "Winter Harbour, the whole picture",
        "01:02:10:00",
        "01:02:14:24",
        "5.0 s · 125 frames",
        "Ask Ilse Marrow for the scan of the transparency.",
    )
