"""Expressions with two evaluators, tables of them, and the book that computes each column once."""
