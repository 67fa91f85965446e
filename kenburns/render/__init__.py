"""The plan made into clips; decides nothing."""
