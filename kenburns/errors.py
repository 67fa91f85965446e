"""One tree of errors.

::

    KenburnsError
    ├── RequestError          what was asked cannot be done: exit status 2, nothing is written
    │   ├── OptionError       an option or argument
    │   ├── FilmFileError     film.toml
    │   ├── PresetError       a file in presets/, or a name that is in none
    │   ├── ListError         a cut list or works list as a whole
    │   └── PlanFileError     a plan.json that cannot be read
    ├── PhotographError       one photograph cannot be used; the rest goes on
    ├── ShotError             one shot cannot be made from this still; the rest goes on
    ├── RenderError           one clip cannot be written; the rest goes on
    └── BrokenOffError        a run cannot go on; what is finished stands, and the next run goes on: exit status 3

Every message names the file or option, the rule, the value found, and what would work.
"""


class KenburnsError(Exception):
    """Base of every error this package raises on purpose."""


class RequestError(KenburnsError):
    """What was asked cannot be done; nothing has been written."""


class OptionError(RequestError):
    """An option or argument breaks its rule."""


class FilmFileError(RequestError):
    """film.toml breaks its rule."""


class PresetError(RequestError):
    """A preset file breaks its rule, or no preset has that name."""


class ListError(RequestError):
    """A cut list or works list cannot be read at all (single bad rows are reported, not raised)."""


class PlanFileError(RequestError):
    """A plan.json cannot be read, or has a version this release does not know."""


class PhotographError(KenburnsError):
    """One photograph cannot be opened or used."""


class ShotError(KenburnsError):
    """One shot cannot be made from this still."""


class RenderError(KenburnsError):
    """One clip could not be written."""


class BrokenOffError(KenburnsError):
    """A run cannot go on: the disk is full, say. What is finished stands, and the next run goes on."""
