"""Real pictures without a jaw, mined: those that fool the networks come up more often, at the places that fool them."""

import numpy as np, cv2, torch, torch.nn.functional as F
from crops import CANVAS, frame, grid_of, side_of, softarg, warp
from data import recoloured
from nets import CROP, HIDDEN
from raycast.base import Rng


class Negatives:
    """`quads`: per picture the outline that the finder proposed last and the corners that the reader settled on from it, -1..1."""

    def __init__(s, y, sizes, dev):
        s.y, s.dev = torch.tensor(y, device=dev), dev
        n, side = len(y), y.shape[-1]
        s.half = torch.tensor(np.asarray(sizes) / side, device=dev).float()  # height, width as shares of the canvas
        s.quads = torch.zeros(n, 2, 4, 2, device=dev)
        s.known = torch.zeros(n, 2, dtype=torch.bool, device=dev)
        s.hard = torch.full((n,), 0.3, device=dev)  # how much of a jaw it looked like last, 0..1

    def batch(s, n):
        i = torch.cat([torch.randint(0, len(s.y), (n - n // 2,), device=s.dev), torch.multinomial(s.hard + 0.02, n // 2, True)])
        y = recoloured(s.y[i].float() / 255, 0.08)
        side = y.shape[-1]
        g = (torch.arange(side, device=s.dev) + 0.5) / side * 2 - 1
        ins = ((g[None, :, None].abs() < s.half[i, 0].view(-1, 1, 1)) & (g[None, None, :].abs() < s.half[i, 1].view(-1, 1, 1))).float()
        y = torch.where(ins[:, None] > 0.5, y, 0.5)
        near = torch.rand(n, device=s.dev) < 0.4  # a part of the picture, turned: more kinds of picture than there are pictures
        y[near] = s._part(y[near], i[near])
        ins[near] = 1.0
        z = torch.zeros(n, side // 2, side // 2, device=s.dev)
        f = torch.zeros(n, dtype=torch.bool, device=s.dev)
        pts = (frame(0.3, s.dev) * side).repeat(n, 2, 1)  # gives the size of what blurs it, no more
        q = torch.full((n,), HIDDEN, device=s.dev)
        return dict(i=i, near=near, y=y, ins=ins, face=z, pts=pts, q=q, lost=~f, doubtful=f)

    def _part(s, y, i):
        r = Rng(len(i), s.dev)
        k = r.lu(0.3, 0.9) * s.half[i].min(1).values
        a = r.i(4) * 1.5708 + r.n((), 0.2)
        at = r.u(-1, 1, (2,)) * (s.half[i].flip(1) - k[:, None]).clamp(min=0)
        c, d = k * a.cos(), k * a.sin()
        M = torch.stack([torch.stack([c, -d, at[:, 0]], -1), torch.stack([d, c, at[:, 1]], -1)], 1)
        return F.grid_sample(y, F.affine_grid(M, y.shape, align_corners=False), align_corners=False, padding_mode="reflection")

    def crops_at(s, b):
        """Outlines to read: what the finder proposed, what the reader settled on, or anything. Pixels."""
        n, side = len(b["i"]), b["y"].shape[-1]
        r = Rng(n, s.dev)
        q, known = s.quads[b["i"]], s.known[b["i"]] & ~b["near"][:, None]
        k = torch.rand(n, device=s.dev)
        any_ = random_quads(r, torch.where(b["near"][:, None], torch.ones_like(s.half[b["i"]]), s.half[b["i"]]))
        p = torch.where(((k < 0.35) & known[:, 0]).view(-1, 1, 1), q[:, 0], any_)
        p = torch.where(((k > 0.65) & known[:, 1]).view(-1, 1, 1), q[:, 1], p)
        p = (p + 1) / 2 * side
        p = p + r.n((4, 2), 0.03) * (side_of(p) * r.p(0.6)).view(-1, 1, 1)
        return p.roll(int(torch.randint(0, 4, ()).item()), 1)

    @torch.no_grad()
    def proposed(s, b, o, M):
        """Takes in what the finder says of the batch: outlines of its hottest blobs, and how hot they are."""
        face = o[:, 0].float().sigmoid()
        top = torch.maximum(face.amax((1, 2)), 0.7 * o[:, 1].float().sigmoid().amax((1, 2)))
        s.hard[b["i"]] = 0.5 * s.hard[b["i"]] + 0.5 * top
        maps = face.cpu().numpy()
        q, ok = np.zeros((len(maps), 4, 2), np.float32), np.zeros(len(maps), bool)
        for j, m in enumerate(maps):
            _, lab = cv2.connectedComponents((m > max(0.02, 0.5 * m.max())).astype(np.uint8), connectivity=4)
            at = lab[np.unravel_index(m.argmax(), m.shape)]
            pts = np.argwhere(lab == at)[:, ::-1].astype(np.float32)
            if at and len(pts) >= 30:
                q[j], ok[j] = cv2.boxPoints(cv2.minAreaRect(pts + 0.5)) * 4, True
        q = torch.tensor(q / CANVAS * 2 - 1, device=s.dev)
        ok = torch.tensor(ok, device=s.dev)
        q = torch.einsum("bij,bnj->bni", M[:, :, :2], q) + M[:, None, :, 2]
        q = clockwise(q)
        ok = ok & ~b["near"]
        i = b["i"][ok]
        s.quads[i, 0], s.known[i, 0] = q[ok], True

    @torch.no_grad()
    def settled(s, b, o, v, H):
        """Takes in where the reader saw corners in the crops, and how much of a jaw it took them for."""
        i = b["i"]
        p = softarg(o[:, 2:6]) * 2 / CROP
        q = torch.einsum("bij,bnj->bni", H, torch.cat([p, torch.ones_like(p[..., :1])], -1))
        q = q[..., :2] / q[..., 2:].clamp(min=1e-4)
        ok = (area(q) > 0.02) & (q.abs().amax((1, 2)) < 1.1) & ~b["near"]
        s.quads[i[ok], 1], s.known[i[ok], 1] = q[ok], True
        s.hard[i] = torch.maximum(s.hard[i], v[:, 12].float().sigmoid())


def area(q):
    a, b = q[:, 2] - q[:, 0], q[:, 3] - q[:, 1]
    return 0.5 * (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def clockwise(q):
    return torch.where((area(q) < 0).view(-1, 1, 1), q.flip(1), q)


def random_quads(r, half):
    """Any place, size, turn and proportion inside a picture, a little out of square; -1..1, clockwise."""
    k = r.lu(0.18, 0.95)
    asp = r.lu(0.4, 2.4).sqrt()
    a = torch.where(r.p(0.6) > 0, r.n((), 0.08) + r.i(4) * 1.5708, r.u(0, 6.28))
    e = half.min(1).values * k
    u = torch.stack([a.cos(), a.sin()], -1) * (e * asp.clamp(max=1.3))[:, None]
    v = torch.stack([-a.sin(), a.cos()], -1) * (e / asp.clamp(min=0.75))[:, None]
    c = r.u(-1, 1, (2,)) * (half.flip(1) - e[:, None] * 0.8).clamp(min=0)
    q = torch.stack([c - u - v, c + u - v, c + u + v, c - u + v], 1)
    return q + r.n((4, 2), 0.06) * e.view(-1, 1, 1)


def beside_face(b, n):
    """Crops of synthetic scenes that are not the gripping face: other faces of the block, or anywhere. Returns indices and quads (pixels)
    of which little is face."""
    m, side, dev = b["y"].shape[0], b["y"].shape[-1], b["y"].device
    i = torch.randint(0, m, (4 * n,), device=dev)
    r = Rng(4 * n, dev)
    other = b["others"][i, r.i(3)]
    whole = ((other > -0.05 * side) & (other < 1.05 * side)).all(-1).all(-1) & (area(clockwise(other)) > 0.01 * side**2)
    any_ = (random_quads(r, torch.ones(4 * n, 2, device=dev)) + 1) / 2 * side
    q = clockwise(torch.where((whole & (torch.rand(4 * n, device=dev) < 0.7)).view(-1, 1, 1), other, any_))
    from homography import homog

    H = homog(frame(0.0, dev).expand(4 * n, -1, -1), q / side * 2 - 1)
    share = warp(b["face"][i][:, None], grid_of(H, 24)).mean((1, 2, 3))
    # Nor may the crop enclose a face that fills only part of it.
    lo, hi = q.amin(1), q.amax(1)
    c = b["pts"][i, :4].mean(1)
    around = ((c > lo) & (c < hi)).all(-1) & ~b["nojaw"][i]
    ok = torch.nonzero((share < 0.1) & ~around)[:, 0][:n]
    return i[ok], q[ok]
