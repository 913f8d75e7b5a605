"""Screens, sheets, pictures and worksheets, all rendered from the decision record."""
