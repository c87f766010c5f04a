"""The printed pages, as data, and one reader."""
