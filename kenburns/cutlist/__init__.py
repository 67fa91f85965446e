"""Slots from a cut list, and which still belongs where."""
