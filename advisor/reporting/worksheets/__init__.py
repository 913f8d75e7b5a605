"""What a fitter measures, worked out and held against the workshop's limits; the readings stand in worksheets.yaml."""
