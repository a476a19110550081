"""Whether a machine still behaves as its log says."""
