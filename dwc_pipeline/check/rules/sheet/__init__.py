"""Rules about rows and sheets: duplicates, totals, dates in order."""
