"""What the networks are told. Pictures with a face, then pictures (or crops) without one, in one batch each, so that the
normalisation sees both at once."""

import torch, torch.nn.functional as F
from crops import gauss, softarg
from nets import CROP, HIDDEN, SMEARED, Reader
from raycast.base import V

bce = F.binary_cross_entropy_with_logits


def finder_loss(o, face, q, has, use):
    """o (B,4,h,w) against the face map, points q (canvas pixels); has: a face is in the picture; use: it counts at all."""
    size = o.shape[-1]
    face = face * V(has.float())[:, None]
    each = bce(o[:, 0], face[:, 0], reduction="none")
    # Without a face the worst hundredth counts most: one hot spot is a face found.
    worst = each.flatten(1).topk(size * size // 100, 1).values.mean(1) * ~has
    p = o[:, 0].sigmoid()
    dice = 1 - (2 * (p * face[:, 0]).sum((1, 2)) + 1) / (p.sum((1, 2)) + face[:, 0].sum((1, 2)) + 1)
    t = gauss(q[:, :4] / 4, size, 1.3).amax(1) * V(has.float())
    lc = (bce(o[:, 1], t, reduction="none") * (1 + 12 * t)).mean((1, 2))
    d = q[:, 4] - q[:, 6]
    d = d / (d.norm(dim=-1, keepdim=True) + 1e-6)
    ld = ((o[:, 2:4] - d[:, :, None, None]) ** 2 * face).sum((1, 2, 3)) / (face.sum((1, 2, 3)) + 8)
    L = each.mean((1, 2)) * 4 + worst * 0.6 + dice * 0.5 * has + lc * 4 + ld * 0.4 * has
    seen, true = o[:, 0] > 0, face[:, 0] > 0.5
    iou = (seen & true).sum((1, 2)) / (seen | true).sum((1, 2)).clamp(min=1)
    return (L * use).sum() / use.sum().clamp(min=1), iou


def points(h, q):
    """Score maps h of points against q (crop pixels): the loss of each, where each is seen, and whether it is in the crop."""
    g = gauss(q / 2, CROP // 2, 1.6)
    g = g / (g.sum((2, 3), keepdim=True) + 1e-6)
    ok = ((q > 2) & (q < CROP - 2)).all(-1).float()
    ls = -(g * h.float().flatten(2).log_softmax(-1).view_as(h)).sum((2, 3))
    pos = softarg(h) * 2
    return ls * 0.25 + F.smooth_l1_loss(pos, q, reduction="none").sum(-1) * 0.12, pos, ok


def reader_loss(o, v, t):
    """Maps o and values v against the truth t of crops around faces (see `truth_of`)."""
    n = o.shape[0]
    gm = t["good"] + t["smeared"]
    lf = bce(o[:, 0], t["face"], reduction="none").mean((1, 2)) * gm
    m = (t["face"] > 0.5).float()
    map_ok = gm * (~t["alike"]).float()
    lc = (bce(o[:, 1], t["comp"], reduction="none") * m).sum((1, 2)) / (m.sum((1, 2)) + 50) * map_ok
    q = t["q"]
    each, pos, ok = points(o[:, 2:], q)
    le = (each * ok).mean(1) * gm
    lt = F.cross_entropy(v[:, :4], t["tip"], reduction="none") * gm
    knows = t["good"] * t["seep"] * (~t["alike"])
    lp = bce(v[:, Reader.SEAM], (~t["clean"]).float(), reduction="none") * knows * 1.5
    lq = F.cross_entropy(v[:, 5:12], t["quality"], reduction="none") * t["judged"]
    lj = bce(v[:, Reader.JAW], torch.full_like(lp, 0.995), reduction="none") * t["jaw"]
    la = bce(v[:, Reader.ALIKE], t["alike"].float(), reduction="none") * t["good"]
    L = lf * 2 + lc * 4 + le + (lt + lp + lq + la) * 0.5 + lj
    st = dict(
        kp=((pos - q).norm(dim=-1) * ok * gm[:, None]).sum() / (ok * gm[:, None]).sum().clamp(min=1),
        comp=((((o[:, 1] > 0) != (t["comp"] > 0.5)).float() * m).sum((1, 2)) / m.sum((1, 2)).clamp(min=1) * map_ok).sum() / map_ok.sum().clamp(min=1),
        jaw=((v[:, Reader.JAW] > 0).float() * t["jaw"]).sum() / t["jaw"].sum().clamp(min=1),
    )
    return L.mean(), st


def reader_no_jaw(o, v):
    """Crops without a jaw's face: no face anywhere, corners nowhere, hidden, no jaw."""
    n = o.shape[0]
    lf = bce(o[:, 0], torch.zeros_like(o[:, 0]), reduction="none").mean((1, 2))
    flat = -o[:, 2:].float().reshape(n, 8, -1).log_softmax(-1).mean((1, 2))
    lq = F.cross_entropy(v[:, 5:12], torch.full((n,), HIDDEN, device=v.device), reduction="none")
    lj = bce(v[:, Reader.JAW], torch.full((n,), 0.005, device=v.device), reduction="none")
    return (lf * 2 + flat * 0.04 + lq * 0.5 + lj).mean()


def truth_of(b, face, comp, q, tip):
    ign, spoilt = b["ign"], b["spoilt"]
    good = (~b["lost"] & (b["q"] == 0) & ~ign & ~spoilt).float()
    smeared = ((b["q"] == SMEARED) & ~spoilt).float()
    return dict(
        face=face, comp=comp, q=q, tip=tip, quality=b["q"], alike=b["alike"], clean=b["clean"],
        good=good, smeared=smeared, judged=(~ign & ~b["alike"]).float(), jaw=(good + smeared).clamp(max=1),
        seep=(b["seep"] & (b["painted"] | b["clean"])).float(),
    )
