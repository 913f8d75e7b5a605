"""Templates, style and workshop limits of the sheets (package data)."""
