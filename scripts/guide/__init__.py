"""What the pages of `docs/guide/` show that the program wrote: its answers."""
