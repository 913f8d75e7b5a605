"""The interview: the next useful question, answers in any order, and nothing lost."""
