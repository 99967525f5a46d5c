"""Rules about animals: names, measurements, marks, fates."""
