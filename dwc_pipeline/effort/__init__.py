"""Formulas of sampling effort, catch and completeness: plain arrays in, plain arrays out, with units and sources."""
