"""The decision for all parts of a category at once: the same verdicts as the reference engine, by look-up in columns.

What one thing weighed says of a part depends on the question and on what that one thing reads of the part. Parts that
look the same to it are one variant, so the reference engine is asked once a variant, and numpy does the rest.
"""
