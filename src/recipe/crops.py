"""Cuts what the networks see out of pictures with truth: the finder's canvas, the reader's crop."""

import math, torch, torch.nn.functional as F
from homography import homog
from nets import CROP, MARGIN
from raycast.base import Rng, V

CANVAS = 256


def warp(img, grid):
    return F.grid_sample(img, grid, align_corners=False, padding_mode="zeros")


def mapp(H, p):
    q = torch.einsum("bij,bnj->bni", H, torch.cat([p, torch.ones_like(p[..., :1])], -1))
    return q[..., :2] / q[..., 2:].clamp(min=1e-4)


def gauss(p, size, sig):
    """Bumps (B,N,size,size) around points (B,N,2)."""
    g = torch.arange(size, device=p.device) + 0.5
    d2 = (g[None, None, None, :] - p[..., 0, None, None]) ** 2 + (g[None, None, :, None] - p[..., 1, None, None]) ** 2
    return torch.exp(-d2 / (2 * sig**2))


def finder_input(b, train=True):
    """Random crop, turn, mirror, scale to the canvas with a grey margin. Returns picture, face map, points, and canvas -> picture (-1..1)."""
    y, n, w = b["y"], b["y"].shape[0], b["y"].shape[-1]
    dev = y.device
    r = Rng(n, dev)
    if train:
        th = torch.randint(0, 4, (n,), device=dev) * math.pi / 2 + r.n((), 0.12) * r.p(0.5)
        fl, sc, sh = 1 - 2 * r.p(0.5), r.lu(0.8, 1.12), r.u(-0.12, 0.12, (2,))
    else:
        th, fl, sc, sh = torch.zeros(n, device=dev), torch.ones(n, device=dev), torch.full((n,), 240 / 256, device=dev), torch.zeros(n, 2, device=dev)
    c, s = th.cos() / sc, th.sin() / sc
    M = torch.stack([torch.stack([c * fl, -s, sh[:, 0]], -1), torch.stack([s * fl, c, sh[:, 1]], -1)], 1)
    g = F.affine_grid(M, (n, 1, CANVAS, CANVAS), align_corners=False)
    x = warp(F.avg_pool2d(y, 2 if w >= 400 else 1), g)
    ins = warp(b["ins"][:, None], g)
    x = torch.where(ins > 0.5, x, 0.5)
    g4 = F.affine_grid(M, (n, 1, CANVAS // 4, CANVAS // 4), align_corners=False)
    face = warp(F.avg_pool2d(b["face"][:, None], 2), g4)
    q = torch.einsum("bij,bnj->bni", torch.linalg.inv(M[:, :, :2]), b["pts"] / w * 2 - 1 - sh[:, None])
    return x, face, (q + 1) / 2 * CANVAS, M


def frame(m, dev):
    return torch.tensor([[m, m], [1 - m, m], [1 - m, 1 - m], [m, 1 - m]], device=dev)[None]


def cut(b, quad, i=None):
    """The crop around a quad (n,4,2, pixels) of pictures i, and the homography crop (0..1) -> picture (-1..1)."""
    y, ins = b["y"], b["ins"][:, None]
    if i is not None:
        y, ins = y[i], ins[i]
    n, w, dev = quad.shape[0], y.shape[-1], y.device
    H = homog(frame(MARGIN, dev).expand(n, -1, -1), quad / w * 2 - 1)
    grid = grid_of(H, CROP)
    size = (quad - quad.roll(-1, 1)).norm(dim=-1).mean(1)
    big = size / (CROP * (1 - 2 * MARGIN)) > 1.6
    x = torch.where(big.view(-1, 1, 1, 1), warp(F.avg_pool2d(y, 2), grid), warp(y, grid))
    return torch.where(warp(ins, grid) > 0.5, x, 0.5), H


def grid_of(H, size):
    g = (torch.arange(size, device=H.device) + 0.5) / size
    G = torch.stack(torch.meshgrid(g, g, indexing="xy"), -1).view(1, -1, 2).expand(H.shape[0], -1, -1)
    return mapp(H, G).view(H.shape[0], size, size, 2)


def turned(p, mid, k, mirror):
    """Corners and middles with another side on top, mirrored or not; and the tip's side then."""
    idx = (torch.arange(4, device=p.device)[None] + k[:, None]) % 4
    take = lambda a, j: torch.gather(a, 1, j[..., None].expand(-1, -1, 2))
    p, mid = take(p, idx), take(mid, idx)
    m = mirror.view(-1, 1, 1)
    return torch.where(m, p[:, [1, 0, 3, 2]], p), torch.where(m, mid[:, [0, 3, 2, 1]], mid), torch.where(mirror, k % 4, (-k) % 4)


def jitter(r, p, size, most, fixed=None):
    """Corners a little off: each by itself and all together."""
    j = r.u(0.0, most) if fixed is None else torch.full_like(size, fixed)
    return p + (r.n((4, 2)).clamp(-2, 2) + r.n((1, 2), 0.5)) * (j * size).view(-1, 1, 1)


def side_of(p):
    return (p - p.roll(-1, 1)).norm(dim=-1).mean(1)


def reader_input(b, train=True, most=0.09, turn=0.2, maps=("face", "comp")):
    """Crop around the true corners, jittered. Returns crop, maps, points in the crop, side of the tip."""
    y, n, w = b["y"], b["y"].shape[0], b["y"].shape[-1]
    r = Rng(n, y.device)
    p = b["pts"][:, :4]
    size = side_of(p)
    bad = size < 8
    any_ = frame(0.3, y.device) * w + r.n((4, 2), 0.06) * w
    p, size = torch.where(bad.view(-1, 1, 1), any_, p), torch.where(bad, w * 0.4, size)
    k = torch.where(r.p(turn) > 0, r.i(4), 0) if train else torch.zeros_like(r.i(4))
    mirror = r.p(0.5 if train else 0.0).bool()
    p, mid, tip = turned(p, b["pts"][:, 4:], k, mirror)
    x, H = cut(b, jitter(r, p, size, most, None if train else 0.025))
    grid = grid_of(H, CROP // 2)
    q = mapp(torch.linalg.inv(H), torch.cat([p, mid], 1) / w * 2 - 1) * CROP
    return x, *(warp(b[k][:, None], grid)[:, 0] for k in maps), q, tip


def softarg(h):
    """Expected place under the softmax of score maps (B,N,h,w), cells."""
    B, C, Hh, Ww = h.shape
    p = h.float().view(B, C, -1).softmax(-1).view(B, C, Hh, Ww)
    g = torch.arange(Ww, device=h.device) + 0.5
    return torch.stack([(p.sum(2) * g).sum(-1), (p.sum(3) * g).sum(-1)], -1)
