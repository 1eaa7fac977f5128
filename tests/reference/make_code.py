"""Writes fixtures/code.json: the QR code of one jaw set by another library, in all eight masks.

Which mask is used is the encoder's choice (ISO/IEC 18004, 7.8.3); all eight say the same.
segno 1.6.6 (BSD-3-Clause).
"""
import json
import pathlib

import segno

TEXT = "SEEPLINE:0123456789ABCDEF0123456789ABCDEF"


def rows(mask):
    code = segno.make(TEXT, error="q", boost_error=False, micro=False, mask=mask)
    return ["".join("#" if module else "." for module in row) for row in code.matrix]


path = pathlib.Path(__file__).parent / "fixtures" / "code.json"
path.write_text(json.dumps({"text": TEXT, "masks": [rows(m) for m in range(8)]}, indent=0) + "\n")
