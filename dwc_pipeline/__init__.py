"""From a field season's messy spreadsheets to checked Darwin Core events, occurrences and effort."""
