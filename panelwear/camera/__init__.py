"""The camera as second instrument: what is photographed, maps of wear made of it, what changed between them."""
