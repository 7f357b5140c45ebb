"""Which letters he takes for which, per chance, and beyond chance: start reading at ``measure.py``."""
