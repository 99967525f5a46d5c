"""Standard rows -> the event tree with its effort, occurrences on the deepest event, measurements, identifiers."""
