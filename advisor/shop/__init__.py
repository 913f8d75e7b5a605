"""A shop's own data: its lists read as they come, what is missing, what stands on its shelf."""
