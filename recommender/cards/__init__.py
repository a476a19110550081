"""The setup card: one setting on paper, to be pinned up beside the machine.

`card` makes the value, `pdf` prints it; they are imported by name, so that a page that only shows a card loads no fonts.
"""
