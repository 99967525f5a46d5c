"""Faults in tables and archives are found here and never corrected."""
