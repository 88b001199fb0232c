"""Files at the edge: strict YAML, hashes, paths that stay inside, shipped resources.

Must not know what a record, ruleset or pack is.
Start reading in `yaml.py`.
"""
