"""Text for a terminal: the advice, the whole derivation, the rules as they read."""
