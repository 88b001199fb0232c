"""The rule language: syntax, kinds, truth, explanation, generated code.

Knows no installation, no calculation and no file: names, units and functions are
handed in as plain data. Start reading in `syntax.py`.
"""
