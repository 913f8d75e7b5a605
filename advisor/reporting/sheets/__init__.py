"""Sheets for customer, fitter and lead; template and style lie beside them (package data)."""
