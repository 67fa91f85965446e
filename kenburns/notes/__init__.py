"""Notes on a film in the making: time-stamped remarks, laid on its slots."""
