"""Edit decision lists as cut lists."""
