"""Reads the written bytes of a package back, and says what in it should have been withheld."""
