"""Writes finder.onnx, reader.onnx, seam.onnx and film.onnx from the trained weights that are there: export.py WEIGHTS_DIR OUT_DIR"""

import os, sys, torch
import nets

src, dst = sys.argv[1], sys.argv[2]


def write(name, net, example, inputs, outputs, axes=None):
    if not os.path.exists(f"{src}/{name}.pt"):
        return
    net.load_state_dict(torch.load(f"{src}/{name}.pt", map_location="cpu"))
    torch.onnx.export(
        net.eval(), example, f"{dst}/{name}.onnx", input_names=inputs, output_names=outputs, dynamic_axes=axes, opset_version=17, dynamo=False
    )


write("finder", nets.Finder(), torch.rand(1, 3, 192, 256), ["picture"], ["maps"], {"picture": {2: "h", 3: "w"}, "maps": {2: "h4", 3: "w4"}})
write("reader", nets.Reader(), torch.rand(1, 3, nets.CROP, nets.CROP), ["crop"], ["maps", "values", "features"])
write("seam", nets.Seam(), torch.rand(1, 3, nets.CROP, nets.CROP), ["crop"], ["seam"])
write("film", nets.Film(), torch.rand(1, 3, nets.CROP, nets.CROP), ["crop"], ["compound"])
