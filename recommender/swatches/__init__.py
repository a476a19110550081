"""The log of swatches: what a row may hold, where rows are kept, how they come in and go out."""
