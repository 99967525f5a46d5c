"""Rules about single values and about values of one row, judged once for each distinct combination."""
