"""Starts from weights in ONNX, in which each batch normalisation is folded into the convolution before it.

A folded convolution is split again so that the network gives the same as before and its normalisation, in training, starts from
the statistics of real inputs. More values than the file has start near zero. warm.py ONNX_DIR: checks it against onnxruntime.
"""

import os, sys, numpy as np, onnx, torch, torch.nn as nn
from onnx import numpy_helper
import nets


def _folded(path):
    """Weights and biases of the file's convolutions and linear layers, in the order in which they are run."""
    g = onnx.load(path).graph
    w = {i.name: numpy_helper.to_array(i).astype(np.float32) for i in g.initializer}
    # Weights kept in half precision (half.py).
    w |= {n.output[0]: w[n.input[0]] for n in g.node if n.op_type == "Cast" and n.input[0] in w}
    out = []
    for n in g.node:
        if n.op_type == "Conv":
            out.append((w[n.input[1]], w[n.input[2]] if len(n.input) > 2 else None))
        elif n.op_type == "Gemm":
            out.append((w[n.input[1]], w[n.input[2]]))
    return out


def _in_order(net, x):
    """The convolutions and linear layers in the order in which they are run, each with the normalisation after it."""
    order, hooks = [], []
    norms = {}
    for m in net.modules():
        if isinstance(m, nn.Sequential):
            k = list(m)
            norms.update({a: b for a, b in zip(k, k[1:]) if isinstance(b, nn.BatchNorm2d)})
    for m in net.modules():
        if isinstance(m, (nn.Conv2d, nn.Linear)):
            hooks.append(m.register_forward_hook(lambda m, i, o: order.append(m)))
    net.eval()
    with torch.no_grad():
        net(x)
    [h.remove() for h in hooks]
    return [(m, norms.get(m)) for m in order]


@torch.no_grad()
def load(net, path, x):
    """x: inputs as in training (some hundred), for the statistics."""
    layers, folded = _in_order(net, x[:1]), _folded(path)
    assert len(layers) == len(folded), (path, len(layers), len(folded))
    for (m, bn), (w, b) in zip(layers, folded):
        w, b = torch.tensor(w).to(x.device), torch.zeros(w.shape[0]) if b is None else torch.tensor(b)
        m.weight.zero_() if m.weight.shape != w.shape else None
        m.weight[: w.shape[0]] = w
        if bn is None:
            m.bias[len(b):] = 0
            m.bias[: len(b)] = b.to(x.device)
        else:
            bn.weight.fill_(1), bn.running_mean.zero_(), bn.running_var.fill_(1 - bn.eps)
            bn.bias.copy_(b.to(x.device))
    stats, hooks = {}, []
    for m, bn in layers:
        if bn is not None:
            hooks.append(m.register_forward_hook(lambda m, i, o: stats.update({m: (o.mean((0, 2, 3)), o.var((0, 2, 3)))})))
    net.eval()
    net(x)
    [h.remove() for h in hooks]
    for m, bn in layers:
        if bn is not None:
            mean, var = stats[m]
            # A channel that hardly ever changes must not be blown up by the noise of a batch.
            var = var.clamp(min=1e-4)
            bn.running_mean.copy_(mean), bn.running_var.copy_(var)
            bn.bias.add_(mean), bn.weight.copy_((var + bn.eps).sqrt())
    return net


if __name__ == "__main__":
    import onnxruntime as ort

    torch.manual_seed(0)
    x = nn.functional.interpolate(torch.rand(40, 3, 24, 24), size=(192, 192), mode="bilinear")
    for name, net in (("finder", nets.Finder()), ("reader", nets.Reader()), ("seam", nets.Seam())):
        f = os.path.join(sys.argv[1], name + ".onnx")
        load(net, f, x)
        s = ort.InferenceSession(f)
        a = s.run(None, {s.get_inputs()[0].name: x[:1].numpy()})
        with torch.no_grad():
            b = net.eval()(x[:1])
        b = b if isinstance(b, tuple) else (b,)
        print(name, [float(np.abs(p - q.numpy()[:, : p.shape[1]]).max()) for p, q in zip(a, b)], [float(np.abs(p).max()) for p in a])
