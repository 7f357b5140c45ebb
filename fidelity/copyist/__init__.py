"""The model of the copyist and the originals' language: start reading at ``model.py``."""
