"""One module for each question a brewer asks; each gives a typed answer."""
