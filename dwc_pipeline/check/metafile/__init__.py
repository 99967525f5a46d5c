"""What a metafile must say, and what its schema does not catch."""
