"""Files as they are: sheets with every cell as typed, and the tables found on them. Nothing is interpreted."""
