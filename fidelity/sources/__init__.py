"""Other witnesses of a text: what stands in them, and what the copy has from them."""
