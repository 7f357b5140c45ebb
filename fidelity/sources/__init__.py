"""Other witnesses: all of a text side by side, who copied whom, what the tradition says.

Arrives: witnesses of a text beside the copyist's own. Leaves: collations, attestations. Start reading at
``collate.py``, then ``attestation.py``.
"""
