"""Which letters of the copy answer which letters of the original: start reading at ``align.py``."""
