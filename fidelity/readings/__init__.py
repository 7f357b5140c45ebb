"""Proposed readings for the lost text, with evidence: start reading at ``restore.py``."""
