"""The differences, what happened in each, and its chances: start reading at ``collect.py``."""
