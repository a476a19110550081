"""Which swatches to sew next: those that pass and those that teach."""
