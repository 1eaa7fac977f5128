"""Writes fixtures/code.json: the QR code of one jaw set by another library, in all eight masks.

Which mask is used is the encoder's choice (ISO/IEC 18004, 7.8.3); all eight say the same.
segno 1.6.6 (BSD-3-Clause).
"""
import json
import pathlib

import segno

# No run of digits long enough for an encoder to switch modes, which would be as right but not alike.
TEXT = "SEEPLINE:A1B2C3D4E5F6A7B8C9D0E1F2A3B4C5D6"


def rows(mask):
    code = segno.make(TEXT, error="q", boost_error=False, micro=False, mask=mask)
    return ["".join("#" if module else "." for module in row) for row in code.matrix]


path = pathlib.Path(__file__).parent / "fixtures" / "code.json"
path.write_text(json.dumps({"text": TEXT, "masks": [rows(m) for m in range(8)]}, indent=0) + "\n")
