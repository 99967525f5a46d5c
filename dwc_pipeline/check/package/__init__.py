"""Rules about data packages."""
