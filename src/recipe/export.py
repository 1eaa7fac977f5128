"""Writes finder.onnx and reader.onnx from trained weights: export.py WEIGHTS_DIR OUT_DIR."""

import sys, torch
import nets

src, dst = sys.argv[1], sys.argv[2]


class F1(torch.nn.Module):
    def __init__(s, n):
        super().__init__()
        s.n = n

    def forward(s, x):
        return s.n(x)


A = nets.Finder()
A.load_state_dict(torch.load(src + "/finder.pt"))
A.eval()
B = nets.Reader()
B.load_state_dict(torch.load(src + "/reader.pt"))
B.eval()
torch.onnx.export(
    A,
    torch.rand(1, 3, 192, 256),
    dst + "/finder.onnx",
    input_names=["picture"],
    output_names=["maps"],
    dynamic_axes={"picture": {2: "h", 3: "w"}, "maps": {2: "h4", 3: "w4"}},
    opset_version=17,
    dynamo=False,
)
torch.onnx.export(
    B,
    torch.rand(1, 3, 192, 192),
    dst + "/reader.onnx",
    input_names=["crop"],
    output_names=["maps", "values"],
    opset_version=17,
    dynamo=False,
)
