"""How long deciding takes, against hand-written code and general-purpose engines, in one run.

Knows no file of a job: records are made up here. Start reading in `__main__.py`.
"""
