"""What a phone makes of the light: exposure, local tone mapping, noise and its smearing away, sharpening; then what a messenger makes of the file."""

import torch, torch.nn.functional as F
from .base import Rng, V, V3, blur, boxes


def expose(img, r, meter):
    """Exposure on the face or the whole, white balance, vignette; linear."""
    S = img.shape[1]
    lum = img.mean(-1).flatten(1)[:, ::97]
    m = torch.quantile(lum, r.u(0.5, 0.9).mean().item(), dim=1).clamp(min=1e-4)
    m = torch.where(r.p(0.8) > 0, meter.clamp(min=1e-4), m)
    ev = r.n((), 0.45).clamp(-1.4, 1.2)
    x = img * V(0.38 / m * 2**ev)[..., None]
    w = r.n((3,), 0.10) * r.p(0.8).view(-1, 1)
    x = x * V3(torch.exp(w - w.mean(-1, keepdim=True)))
    g = torch.linspace(-1, 1, S, device=img.device)
    return x * (1 - V(r.u(0, 0.28)) * (g[None, None, :] ** 2 + g[None, :, None] ** 2))[..., None]


def tone(x, r):
    """Shoulder, sRGB curve, contrast, saturation; x (B,C,H,W)."""
    k4 = lambda t: V(t)[:, None]
    y = x / (1 + 0.25 * x * k4(r.u(0, 1)))
    y = torch.where(y <= 0.0031308, y * 12.92, 1.055 * y.clamp(min=1e-6) ** (1 / 2.4) - 0.055).clamp(0, 1)
    y = y + k4(r.u(-0.2, 0.6)) * (y * y * (3 - 2 * y) - y)
    grey = y.mean(1, keepdim=True)
    return (grey + (y - grey) * k4(r.u(0.65, 1.5))).clamp(0, 1)


def lift(x, r):
    """Local tone mapping: takes out part of the large differences of brightness, as phones do; linear."""
    k = V(r.u(0.1, 0.55) * r.p(0.4))[:, None]
    S = x.shape[-1]
    small = F.avg_pool2d(x.mean(1, keepdim=True), 16)
    base = blur((small.clamp(0, 8) + 0.02).log(), r.u(1.0, 4.0))
    base = F.interpolate(base, size=(S, S), mode="bilinear", align_corners=False)
    return x * torch.exp(-k * (base - base.mean((2, 3), keepdim=True)))


def smear(y, eps, n=3):
    """Noise reduction that keeps edges and loses texture: the guided filter (He, Sun & Tang 2013) by the picture's own grey values."""
    g = y.mean(1, keepdim=True)
    mg, my = boxes(g, n), boxes(y, n)
    a = (boxes(g * y, n) - mg * my) / ((boxes(g * g, n) - mg * mg).clamp(min=0) + V(eps)[:, None])
    return boxes(a, n) * g + boxes(my - a * mg, n)


def picture(d):
    """The ray-caster's light -> a phone's picture (B,3,S,S), 0 to 1."""
    img, face = d["img"], d["face"].float()
    B, S = img.shape[:2]
    r = Rng(B, img.device)
    meter = (img.mean(-1) * face).sum((1, 2)) / face.sum((1, 2)).clamp(min=1)
    meter = torch.where(face.sum((1, 2)) < 50, img.mean((1, 2, 3)), meter)
    x = expose(img, r, meter * r.lu(0.5, 1.6)).permute(0, 3, 1, 2)
    x = blur(x.clamp(0, 8), r.u(0.25, 1.3))
    flare = blur(F.avg_pool2d((x - 1.1).clamp(0, 8), 8), r.u(1, 6))
    x = x + F.interpolate(flare, size=(S, S), mode="bilinear", align_corners=False) * V(r.u(0.0, 0.08))[:, None]
    x = lift(x, r)
    fine = torch.randn_like(x)
    coarse = F.interpolate(torch.randn(B, 3, S // 2, S // 2, device=x.device), size=(S, S), mode="bilinear", align_corners=False)
    noise = (fine * 0.7 + coarse * 0.8) * V(r.lu(0.002, 0.05))[:, None]
    y = tone((x + noise * torch.sqrt(x.clamp(0, 1.2) + 0.02)).clamp(min=0), r)
    return sharpen(y, r, 0.6)


def sharpen(y, r, share):
    """Unsharp masking, with the halos of a strong one."""
    k = V(r.u(0, 0.9) * r.p(share))[:, None]
    y = (y + k * (y - blur(y, r.u(0.8, 1.6))).clamp(-0.12, 0.12)).clamp(0, 1)
    wide = V(r.u(0.3, 1.4) * r.p(0.2))[:, None]
    return (y + wide * (y - boxes(y, 3)).clamp(-0.2, 0.2)).clamp(0, 1)


def _dct(dev):
    k = torch.arange(8, device=dev).float()
    m = torch.cos((2 * k[None] + 1) * k[:, None] * torch.pi / 16) * 0.5
    m[0] *= 0.5**0.5
    return m


# Quantisation tables of ITU-T T.81, annex K.
LUMA = (16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56, 14, 17, 22, 29, 51, 87, 80, 62,
        18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92, 49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99)
CHROMA = (17, 18, 24, 47, 99, 99, 99, 99, 18, 21, 26, 66, 99, 99, 99, 99, 24, 26, 56, 99, 99, 99, 99, 99, 47, 66, 99, 99, 99, 99, 99, 99) + (99,) * 32


def _quantise(x, table, q):
    """One plane (B,H,W), -128 to 127, both sides multiples of 8, coded in blocks with the table scaled to quality q (B,)."""
    B, H, W = x.shape
    D = _dct(x.device)
    s = torch.where(q < 50, 5000 / q, 200 - 2 * q) / 100
    t = (torch.tensor(table, device=x.device).float().view(1, 8, 8) * s.view(-1, 1, 1)).round().clamp(1, 255).view(B, 1, 1, 8, 8)
    b = x.view(B, H // 8, 8, W // 8, 8).permute(0, 1, 3, 2, 4)
    c = (D @ b @ D.T / t).round() * t
    return (D.T @ c @ D).permute(0, 1, 3, 2, 4).reshape(B, H, W)


def jpeg(y, q):
    """JPEG with 4:2:0 colour at quality q (B,), as far as it loses anything; sides multiples of 16."""
    R, G, Bl = (y * 255).unbind(1)
    lum = 0.299 * R + 0.587 * G + 0.114 * Bl
    cb, cr = (Bl - lum) * 0.564, (R - lum) * 0.713
    half = lambda c: F.avg_pool2d(c[:, None], 2)[:, 0]
    back = lambda c: F.interpolate(c[:, None], scale_factor=2, mode="bilinear", align_corners=False)[:, 0]
    lum = _quantise(lum - 128, LUMA, q) + 128
    cb, cr = back(_quantise(half(cb), CHROMA, q)), back(_quantise(half(cr), CHROMA, q))
    return (torch.stack([lum + 1.403 * cr, lum - 0.344 * cb - 0.714 * cr, lum + 1.773 * cb], 1) / 255).clamp(0, 1)


def messenger(y):
    """Smearing, sharpening, shrinking and recompression that any picture may go through; the same for pictures with and without a
    jaw, so that none of it tells them apart. y (B,3,S,S), 0 to 1."""
    B, _, S, _ = y.shape
    r = Rng(B, y.device)
    pick = lambda share: torch.rand(B, device=y.device) < share
    k = pick(0.22)
    if k.any():
        y = y.clone()
        y[k] = smear(y[k], r.lu(0.0006, 0.02)[k], int(torch.randint(1, 5, ()).item()))
    k = pick(0.2)
    if k.any():
        y = y.clone()
        y[k] = sharpen(y[k], Rng(int(k.sum()), y.device), 1.0)
    k = pick(0.3)
    if k.any():  # one size a batch, since all of it is resized at once
        n = 16 * int(torch.randint(S // 40, S // 16, ()).item())
        small = F.interpolate(y[k], size=(n, n), mode="area")
        small = jpeg(small, r.u(25, 90)[k])
        y = y.clone()
        y[k] = F.interpolate(small, size=(S, S), mode="bicubic", align_corners=False).clamp(0, 1)
    k = pick(0.5)
    if k.any():
        y = y.clone()
        y[k] = jpeg(y[k], r.u(25, 92)[k])
    return y


def motion(x, ln, ang):
    """Straight motion blur by averaging shifted copies; ln in pixels (B,)."""
    B, C, H, W = x.shape
    out, n = 0, 13
    th = torch.zeros(B, 2, 3, device=x.device)
    th[:, 0, 0] = th[:, 1, 1] = 1
    for i in range(n):
        q = (i / (n - 1) - 0.5) * ln
        th[:, 0, 2] = q * ang.cos() * 2 / W
        th[:, 1, 2] = q * ang.sin() * 2 / H
        out = out + F.grid_sample(x, F.affine_grid(th, x.shape, align_corners=False), align_corners=False, padding_mode="reflection")
    return out / n
