"""The parts of an answer line: what a person sees in it before reading any mathematics.

phrases.toml   the words and signs that open a part, by language
records        the parts
mathematics    whether a line is mathematics and nothing else
by_element     values told apart by their elements
split          a line to its parts
instants       clauses that speak of another instant than the one asked
core           what is left of a line between words
beside         other values of the kind asked, each of which may be meant
remarks        words that belong to no part
chain          chains of equal signs
assemble       what the parsed parts of one claim say
choose         which part is the answer, and what else is worth telling
"""
