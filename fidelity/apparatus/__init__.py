"""From results to rows to files, page and terminal: start reading at ``entries.py``."""
