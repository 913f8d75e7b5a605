"""From answers to the least clutch: stages, requirements, figures, checks, ladder."""
