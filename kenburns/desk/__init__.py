"""The desk: a local page on which every shot is seen and set by hand, and the server behind it."""
