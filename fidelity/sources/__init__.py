"""Other witnesses: all of a text side by side, who copied whom, what the copy has from elsewhere.

Arrives: witnesses of a text beside the copyist's own. Leaves: collations, attestations, stretches of a copy
that come from another witness. Start reading at ``collate.py``, then ``attestation.py`` and ``imported.py``.
"""
