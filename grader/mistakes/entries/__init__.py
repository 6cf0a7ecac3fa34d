"""The mistakes, one function each, in the file of what is found wrongly first; found by folder."""
