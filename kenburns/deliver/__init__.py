"""What goes out beside the clips: manifest, paths, contact sheet."""
