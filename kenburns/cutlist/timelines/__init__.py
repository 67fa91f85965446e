"""OpenTimelineIO timelines as cut lists."""
