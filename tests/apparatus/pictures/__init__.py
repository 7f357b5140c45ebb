"""Pictures: drawn to scale, heard, printed, and never markup."""
