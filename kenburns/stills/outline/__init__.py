"""Where the work is in a photograph of it: its outline, apart from wall, mount, frame and what else is there."""
