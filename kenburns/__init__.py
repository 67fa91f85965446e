"""Stills for filmed interviews: artwork photographs and a cut list in, frame-exact clips out.

::

    make(target)        the whole job, as `kenburns make` does it; returns an Outcome
    check(target)       the verdict on every photograph; returns a Check
    demo(folder)        the invented demo film
    new_film(folder)    a fresh film folder
    shot_clip(plan, slot, photographs)      a slot as a moviepy clip

and, for whoever builds on the parts: `Size`, `Rect`, `Pace`, `Shot`, `headroom`, `plan_shots`, `shot_path`,
`read_plan`. Every error on purpose is a `KenburnsError`; a wrong request is a `RequestError`.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from .errors import KenburnsError, RequestError

if TYPE_CHECKING:
    from .composing import shot_clip
    from .demo_film import demo
    from .fresh_film import new_film
    from .job import Outcome, make
    from .motion.geometry import Rect, Size
    from .motion.headroom import Headroom, headroom
    from .motion.path import Shot, shot_path
    from .motion.shots import Pace, plan_shots
    from .plan.document import Plan, read_plan
    from .resolution import Check, check

__all__ = [
    "Check",
    "Headroom",
    "KenburnsError",
    "Outcome",
    "Pace",
    "Plan",
    "Rect",
    "RequestError",
    "Shot",
    "Size",
    "check",
    "demo",
    "headroom",
    "make",
    "new_film",
    "plan_shots",
    "read_plan",
    "shot_clip",
    "shot_path",
]

__version__ = "0.1.0"

# Loaded when first asked for: decoders, encoders and compilers take a second that `import kenburns` need not cost.
_HOME = {
    "Check": "resolution",
    "Headroom": "motion.headroom",
    "Outcome": "job",
    "Pace": "motion.shots",
    "Plan": "plan.document",
    "Rect": "motion.geometry",
    "Shot": "motion.path",
    "Size": "motion.geometry",
    "check": "resolution",
    "demo": "demo_film",
    "headroom": "motion.headroom",
    "make": "job",
    "new_film": "fresh_film",
    "plan_shots": "motion.shots",
    "read_plan": "plan.document",
    "shot_clip": "composing",
    "shot_path": "motion.path",
}


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'kenburns' has no attribute '{name}'")
    value = getattr(import_module(f".{_HOME[name]}", __name__), name)
    globals()[name] = value
    return value
