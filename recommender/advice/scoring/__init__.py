"""How good the proposals are on the studio's own log: every swatch predicted before it was learned, beside the baseline."""
