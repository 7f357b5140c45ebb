"""Why each difference came about, and the patterns to review: start reading at ``decide.py``."""
