"""Photographs, and facts about them."""
