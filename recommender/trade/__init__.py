"""What the trade knows: cloth, thread, stitches, machines and the rules of thumb that set one for the other."""
