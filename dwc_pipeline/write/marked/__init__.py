"""Copies of the raw sheets with the cells of findings marked; the raw files are never written to."""
