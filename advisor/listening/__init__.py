"""What a caller says, read into facts by the words of the vocabulary: the same every time, and nothing is run."""
