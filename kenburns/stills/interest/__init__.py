"""Where to look in a picture: what draws the eye, faces, writing, and the details worth going to."""
