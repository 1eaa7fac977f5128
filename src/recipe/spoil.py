"""Makes some pictures unreadable: shaken, too dark, burnt out. A little of each is harmless."""

import torch
import nets
from raycast import phone
from raycast.base import Rng, V, blur


def spoil(b):
    y, n, w = b["y"], b["y"].shape[0], b["y"].shape[-1]
    dev = y.device
    r = Rng(n, dev)
    size = (b["pts"][:, :4].max(1).values - b["pts"][:, :4].min(1).values).amin(-1).clamp(20, w)
    k = torch.rand(n, device=dev)
    ok, q = b["q"] == 0, b["q"]
    shaken, doubtful, dark, bright = k < 0.07, (k >= 0.07) & (k < 0.10), (k >= 0.30) & (k < 0.35), (k >= 0.36) & (k < 0.41)
    length = torch.where(shaken, size * r.u(0.35, 0.9), torch.where(doubtful, size * r.u(0.1, 0.35), size * r.u(0, 0.05)))
    m = k < 0.30
    y = y.clone()
    if m.any():
        y[m] = phone.motion(y[m], length[m], r.u(0, 3.14)[m])
    if shaken.any():
        y[shaken] = blur(y[shaken], r.u(0.5, 4)[shaken])
    lin = lambda i: y[i].clamp(0, 1) ** 2.2
    if dark.any():
        d = lin(dark) * V(torch.exp2(-r.u(5.5, 9.5)))[dark][:, None]
        y[dark] = (d + r.lu(0.0003, 0.004)[dark].view(-1, 1, 1, 1) * torch.randn_like(d)).clamp(0, 1) ** (1 / 2.2)
    if bright.any():
        y[bright] = (lin(bright) * V(torch.exp2(r.u(2.8, 5.5)))[bright][:, None] + V(r.u(0, 0.4))[bright][:, None]).clamp(0, 1) ** (1 / 2.2)
    for cls, which in ((nets.BLURRED, shaken), (nets.DARK, dark), (nets.BURNT, bright)):
        q = torch.where(ok & which, cls, q)
    ins = b["ins"][:, None]
    return dict(b, y=torch.where(ins > 0.5, y, 0.5), q=q, ign=(ok & doubtful) | (b["doubtful"] & (q == 0)), spoilt=dark | bright | shaken | (b["q"] == nets.DARK) | (b["q"] == nets.BURNT))
