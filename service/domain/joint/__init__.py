"""One joint: its row, the judgement of a nail, how many and where."""
