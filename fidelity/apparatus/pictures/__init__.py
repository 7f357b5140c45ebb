"""Pictures of what was found, for the page and for print, each drawn from the rows of a table."""
