"""Stills for filmed interviews: artwork photographs and a cut list in, frame-exact clips out."""
