"""Archives: a file of questions, one a line, answered as the API answers each, on Dask."""
