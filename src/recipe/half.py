"""Keeps the weights of networks in half the bytes: half.py ONNX...

Weights are read once and rounded to half precision (IEEE 754 binary16, 11 significant bits), each behind a Cast to single
precision that the program folds when it loads them: it computes as before. Biases, a hundredth of the bytes, stay as they are.
A second time changes nothing."""

import sys, numpy as np, onnx
from onnx import TensorProto, helper, numpy_helper


def halved(model):
    graph, casts = model.graph, []
    for tensor in graph.initializer:
        weights = numpy_helper.to_array(tensor)
        if tensor.data_type != TensorProto.FLOAT or weights.ndim < 2:
            continue
        half = weights.astype(np.float16)
        # The largest number of half precision; a weight beyond it would be none.
        assert np.isfinite(half).all(), tensor.name
        name = tensor.name
        tensor.CopyFrom(numpy_helper.from_array(half, f"{name}.half"))
        casts.append(helper.make_node("Cast", [f"{name}.half"], [name], to=TensorProto.FLOAT))
    nodes = casts + list(graph.node)
    del graph.node[:]
    graph.node.extend(nodes)
    onnx.checker.check_model(model)
    return model


for place in sys.argv[1:]:
    onnx.save(halved(onnx.load(place)), place)
