"""Rules about places and positions."""
