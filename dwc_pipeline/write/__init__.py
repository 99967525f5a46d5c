"""Tables to files, each written whole or not at all; nothing is decided here."""
