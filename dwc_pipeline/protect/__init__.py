"""Records tables -> tables for an audience."""
