"""A survey file proposed from raw files that nobody has described yet, with the evidence for every line of it."""
