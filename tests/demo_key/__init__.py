"""The truth of the demo dossiers, for tests only, and what the long one is made from."""
