"""What the short demo must give, kept as text: a change of any of it is seen, and meant."""
