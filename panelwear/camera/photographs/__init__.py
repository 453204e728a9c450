"""Photographs become maps: what the files hold, which shot each is, where the panel lies, the light of its cells."""
