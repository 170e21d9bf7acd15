"""What the developers run: fitting, generated pages, pictures."""
