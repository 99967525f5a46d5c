"""Rules about the trap log, checks, sessions, runs and their effort."""
