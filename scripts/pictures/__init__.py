"""The pictures of the documents, by the program's own draw layer: the same bytes each time."""
