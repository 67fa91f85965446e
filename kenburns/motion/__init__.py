"""Pure numbers: geometry, time, easing and paths. No pixels, no files."""
