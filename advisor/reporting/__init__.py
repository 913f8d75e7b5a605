"""Text, JSON, sheets and plots, all rendered from the decision record."""
