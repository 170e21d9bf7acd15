"""Pages: thin. Parse, ask, render."""
