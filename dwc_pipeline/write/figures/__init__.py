"""Figures as plain geometry: numbers in, positions out; templates/figures/*.svg draw them."""
