"""What a caller says, read into facts: deterministic, by the words that stand in the vocabulary; nothing is evaluated."""
