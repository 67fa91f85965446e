"""Text to picture: placeholder cards."""
