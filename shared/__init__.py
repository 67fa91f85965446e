"""The invented demo film: its lists as text, its photographs painted on demand by `paint`."""
