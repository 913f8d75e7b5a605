"""Why, why not, what if, what would have to change: every sentence from the decision record and its knowledge."""
