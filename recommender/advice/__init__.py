"""From coefficients to what a sewer reads: proposal, bands, reasons, moves."""
