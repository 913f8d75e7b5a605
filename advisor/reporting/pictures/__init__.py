"""Drawings and plots for the sheets, as SVG."""
