"""Reading and writing texts: start reading at ``read.py``."""
