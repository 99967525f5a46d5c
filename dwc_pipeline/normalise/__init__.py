"""Pure readings of distinct cell texts: one file a kind of value, each giving a verdict."""
