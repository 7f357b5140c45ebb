"""The short demo's scenario: what the tool should find in it, and what it should refuse to decide.

Ten items and four refusals, each with the numbers that the story of the demo gives. What stood in the lost
text, and what was planted, is read from ``tests/demo_key`` to score by; the dossier does not hold it. Each
item has further tests elsewhere:

1. the table of confusions: ``test_audit.py``, ``confusions/test_measure.py``
2. the base rate: ``test_audit.py``
3. words and non-words: ``test_place.py`` (the rank of the right reading of each)
4. coupled changes: ``test_pairs.py``, ``test_witnesses.py`` (X 15), ``causes/test_coupled_pairs.py``
5. the stretch from K: ``sources/test_imported.py``, ``test_witnesses.py`` (its effect on votes)
6. other hands: ``hands/test_demo.py``
7. word division: ``test_pairs.py``, ``causes/test_demo_key.py``
8. consistency: ``test_pairs.py``, ``readings/test_consistency.py``
9. numerals: ``test_pairs.py``, ``variants/test_numeral_slips.py``
10. the forecast: ``trial/test_forecast.py``
"""
