"""The words of the page `docs/system-file.md`."""
