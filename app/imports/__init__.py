"""Files that people bring in: read as rows of texts, and laid on measures or fields of a book."""
