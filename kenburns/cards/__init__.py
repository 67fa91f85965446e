"""Text to picture: titles, chapters, quotes, captions, credits and placeholders, in every common script."""
