"""The pages in a browser: what Chromium says of them, what a reader of the page sees."""
