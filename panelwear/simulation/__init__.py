"""A simulated panel and probe: light of the pixels a screen really holds, and rehearsals of the whole job."""
