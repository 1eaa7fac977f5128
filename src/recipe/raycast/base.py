"""Random numbers for a whole batch, noise textures and the small functions that every part of the ray-caster uses."""

import math, torch


class Rng:
    """Random numbers, one per picture of the batch."""

    def __init__(s, B, dev):
        s.B, s.d = B, dev

    def u(s, a, b, n=()):
        return a + (b - a) * torch.rand((s.B,) + tuple(n), device=s.d)

    def lu(s, a, b, n=()):
        return torch.exp(s.u(math.log(a), math.log(b), n))

    def n(s, n=(), sd=1.0):
        return sd * torch.randn((s.B,) + tuple(n), device=s.d)

    def p(s, q, n=()):
        return (torch.rand((s.B,) + tuple(n), device=s.d) < q).float()

    def i(s, n):
        return torch.randint(0, n, (s.B,), device=s.d)


V = lambda t: t.view(t.shape[0], 1, 1)  # per-picture scalar -> broadcast over rows and columns
V3 = lambda t: t.view(t.shape[0], 1, 1, t.shape[-1])  # the same for a colour or a direction


def noise_bank(dev, n=24, S=256):
    """Tileable noise of several spectra, each of mean 0 and variance 1: isotropic, drawn out, and (from 16 on) of one wavelength."""
    fy = torch.fft.fftfreq(S, device=dev)[:, None]
    fx = torch.fft.fftfreq(S, device=dev)[None]
    out = []
    for i in range(n):
        beta = [0.6, 1.0, 1.4, 1.8][i % 4]
        an = [1.0, 1.0, 6.0, 0.18][(i // 4) % 4]
        f = torch.sqrt((fx * an) ** 2 + (fy / an) ** 2) + 1.0 / S
        a = f ** (-beta * 1.2)
        if i >= 16:
            wave = [0.02, 0.04, 0.08, 0.15, 0.25, 0.03, 0.06, 0.1][i - 16]
            a = torch.exp(-(((f - wave) / 0.02) ** 2))
        z = torch.fft.ifft2(torch.fft.fft2(torch.randn(S, S, device=dev)) * a).real
        out.append((z - z.mean()) / (z.std() + 1e-9))
    return torch.stack(out)


def tex(bank, idx, u, v):
    """Looks up bank (N,S,S) at u, v (B,H,W), in periods, between the four nearest texels; wraps."""
    S = bank.shape[-1]
    x = (u - torch.floor(u)) * S
    y = (v - torch.floor(v)) * S
    x0, y0 = torch.floor(x), torch.floor(y)
    fx, fy = x - x0, y - y0
    x0, y0 = x0.long() % S, y0.long() % S
    x1, y1 = (x0 + 1) % S, (y0 + 1) % S
    flat = bank.reshape(-1)
    b = idx.view(-1, 1, 1) * S * S
    g = lambda yy, xx: flat[b + yy * S + xx]
    return (g(y0, x0) * (1 - fx) + g(y0, x1) * fx) * (1 - fy) + (g(y1, x0) * (1 - fx) + g(y1, x1) * fx) * fy


def hsv(h, s, v):
    k = lambda n: (n + h * 6) % 6
    f = lambda n: v - v * s * torch.clamp(torch.minimum(k(n), 4 - k(n)), 0, 1)
    return torch.stack([f(5), f(3), f(1)], -1)


def norm(a):
    return a / (a.norm(dim=-1, keepdim=True) + 1e-9)


def smooth(x, a, b):
    t = torch.clamp((x - a) / (b - a + 1e-9), 0, 1)
    return t * t * (3 - 2 * t)


def reflect(view, normal):
    """Mirror direction of the unit vector towards the viewer."""
    return norm(2 * (normal * view).sum(-1, keepdim=True) * normal - view)


def blur(x, sig, wrap=False):
    """Gaussian blur with one sigma per picture (B,); x (B,C,H,W). `wrap`: the right border goes on at the left one."""
    B, C, H, W = x.shape
    n = int(min(3 * float(sig.max()) + 1, 40, H - 1, W - 1))
    t = torch.arange(-n, n + 1, device=x.device).float()
    k = torch.exp(-t[None] ** 2 / (2 * sig.view(-1, 1).clamp(min=0.05) ** 2))
    k = (k / k.sum(1, keepdim=True)).repeat_interleave(C, 0)
    x = x.reshape(1, B * C, H, W)
    x = torch.nn.functional.pad(x, (0, 0, n, n), mode="reflect")
    x = torch.nn.functional.pad(x, (n, n, 0, 0), mode="circular" if wrap else "reflect")
    x = torch.nn.functional.conv2d(x, k[:, None, None], groups=B * C)
    return torch.nn.functional.conv2d(x, k[:, None, :, None], groups=B * C).reshape(B, C, H, W)


def boxes(x, n):
    """Mean over a square of 2n + 1 pixels; the border repeats. x (B,C,H,W)."""
    return torch.nn.functional.avg_pool2d(torch.nn.functional.pad(x, (n, n, n, n), mode="replicate"), 2 * n + 1, 1)
