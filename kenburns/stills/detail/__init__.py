"""How much of a photograph's pixel count is real detail: enlargement, softness, compression, noise."""
