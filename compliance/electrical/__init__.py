"""Pure calculations on plain numbers: no record, no file, standard library only.

Every parameter carries its unit as suffix; an impossible input raises, a missing one
never gets here. Start reading in `dc.py`.
"""
