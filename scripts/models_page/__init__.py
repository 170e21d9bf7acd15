"""The page `docs/models.md`: each model, its source, its constants, and how far off it is."""
