"""How far to believe it: the blind test, start reading at ``blind.py``."""
