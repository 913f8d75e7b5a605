"""How a shop changes its rules: drafts, what differs in words, what it would do, versions adopted with a name."""
