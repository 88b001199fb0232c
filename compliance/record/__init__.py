"""What a record is: models by subject, loading with every problem at once, the view.

Must not know rules or limits. Start reading in `installation.py`, then `view.py`.
"""
