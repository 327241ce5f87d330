"""Papers and pictures of a plan."""
