"""A simulated camera: from what stands on the simulated panel to photographs, with the truth kept beside."""
