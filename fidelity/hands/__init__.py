"""Other hands: what he made of them in the survivors, and where a lost text may have had some.

Start reading at ``find.py``.
"""
