"""One module for each step; each states the tables as they were then."""
