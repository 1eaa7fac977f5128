"""Light: lamps as smooth lobes, or what a camera caught all around a real place, mirrored in the metal."""

import math, torch, torch.nn.functional as F
from .base import V, V3, norm, reflect, blur, hsv


class Lamps:
    """Light from all around as a smooth function of direction: gradient, lobes, slow waves."""

    def __init__(s, r, many=7):
        s.n = many
        s.l = norm(r.n((s.n, 3)))
        s.l[:, :, 2] = s.l[:, :, 2].abs() * 0.9 + 0.1
        s.l = norm(s.l)
        s.k = r.lu(4, 600, (s.n,))
        s.a = r.lu(0.3, 14, (s.n,)) * r.p(0.6, (s.n,)) * torch.where(s.k > 60, 1.0, 0.35)
        warmth = lambda t, b: torch.stack([torch.exp(t), torch.ones_like(t), torch.exp(-t * b)], -1)
        s.c = warmth(r.u(-0.35, 0.35, (s.n,)) * r.p(0.7).view(-1, 1), 1.1)
        s.up = norm(r.n((3,)) + torch.tensor([0, 0, 0.8], device=r.d))
        s.amb = r.lu(0.08, 0.9)
        s.grad = r.u(0, 0.9)
        s.tint = warmth(r.u(-0.3, 0.3), 1.1)
        s.w, s.ph, s.wa = r.n((6, 3), 3.0), r.u(0, 6.28, (6,)), r.u(0, 0.5, (6,))
        s.wc = 1 + r.n((6, 3), 0.15)
        s.s = r.lu(0.25, 1.0)

    def radiance(s, P, view, N, T, Bt, ax, ay, jitter=None, gloss=False):
        """Specular light towards the viewer; lobes ax wide along T and ay along Bt (after Ward 1992)."""
        rd = reflect(view, N)
        base = V(s.amb) * (1 + V(s.grad) * (rd * V3(s.up)).sum(-1))
        wav = torch.zeros_like(rd)
        soft = torch.exp(-3.0 * (ax + ay))[..., None]
        for i in range(6):
            q = torch.sin((rd * V3(s.w[:, i])).sum(-1) + V(s.ph[:, i])) * V(s.wa[:, i])
            wav = wav + q[..., None] * V3(s.wc[:, i]) * soft
        out = base[..., None] * torch.clamp(1 + wav, 0.05) * V3(s.tint)
        for i in range(s.n):
            L = V3(s.l[:, i])
            h = norm(L + view)
            hn = torch.clamp((h * N).sum(-1), 0.05)
            w2 = 1.0 / V(s.k[:, i])  # a wide light widens the lobe
            a2, b2 = ax**2 + 0.25 * w2, ay**2 + 0.25 * w2
            e = ((h * T).sum(-1) ** 2 / a2 + (h * Bt).sum(-1) ** 2 / b2) / hn**2
            f = torch.exp(-e) * w2.sqrt() / torch.sqrt(a2 * b2).clamp(0.02) * 0.35
            nl = torch.clamp((L * N).sum(-1), 0) ** 0.5
            out = out + (f * nl * V(s.a[:, i]))[..., None] * V3(s.c[:, i]) * 0.25
        return out * V(s.s)[..., None]

    def irradiance(s, N):
        out = (V(s.amb) * (1 + 0.5 * V(s.grad) * (N * V3(s.up)).sum(-1)))[..., None] * V3(s.tint)
        for i in range(s.n):
            nl = torch.clamp((V3(s.l[:, i]) * N).sum(-1), 0)
            k = V(s.a[:, i]) * torch.clamp(6 / V(s.k[:, i]), 0.02, 0.6)
            out = out + (nl * k)[..., None] * V3(s.c[:, i])
        return out * V(s.s)[..., None]


# Quantiles of the normal distribution: the directions into which the turned lines scatter a mirror image.
TAPS = (-1.6, -1.05, -0.65, -0.31, 0.0, 0.31, 0.65, 1.05, 1.6)


def directions(h, w, dev):
    """Unit vectors at the pixels of an equirectangular map, z up."""
    th = (torch.arange(h, device=dev) + 0.5) / h * math.pi
    ph = (torch.arange(w, device=dev) + 0.5) / w * 2 * math.pi - math.pi
    th, ph = torch.meshgrid(th, ph, indexing="ij")
    return torch.stack([th.sin() * ph.cos(), th.sin() * ph.sin(), th.cos()], -1), th.sin()


class Surroundings:
    """An environment map per picture, turned at random, with things put before it. Bare metal mirrors it, blurred by its
    roughness and drawn out across the turning lines; paint takes the cosine-weighted mean of what it faces."""

    def __init__(s, r, maps, photos, rough):
        B, dev = r.B, r.d
        s.r = r
        pick = r.i(maps.shape[0])
        m = maps[pick].float()
        m = torch.where(r.p(0.5).view(-1, 1, 1, 1) > 0, m.flip(3), m)
        m = m ** r.u(0.75, 1.25).view(-1, 1, 1, 1)
        m = s._put(m, photos)
        # The reader must not take the light's colour for the compound's: maps are pulled to white and away from it.
        grey = m.mean(1, keepdim=True)
        m = (grey + (m - grey) * r.u(0.2, 1.7).view(-1, 1, 1, 1)).clamp(min=0)
        _, sin = directions(*m.shape[2:], dev)
        mean = (m.mean(1) * sin).sum((1, 2)) / sin.sum()
        s.map = m * (r.lu(0.25, 1.0) / mean.clamp(min=1e-3)).view(-1, 1, 1, 1)
        px = s.map.shape[3] / (2 * math.pi)
        s.sharp = blur(s.map, 2 * rough * px, True)  # a mirror image turns twice as far as the normal
        s.gloss = blur(s.map, r.u(0.06, 0.5) * px, True)
        s.irr = s._irradiance()
        z = norm(r.n((3,)) + torch.tensor([0, 0, 0.8], device=dev))
        x = norm(torch.linalg.cross(norm(r.n((3,))), z))
        s.turn = torch.stack([x, torch.linalg.cross(z, x), z], 1)
        # What stands near is mirrored from another place at each point of the face.
        s.near = torch.where(r.p(0.6) > 0, r.lu(40, 500), torch.full((B,), 1e4, device=dev))

    def _put(s, m, photos):
        """Real photographs, boards, cloths, windows and lamps stand around the jaw."""
        r, dev = s.r, m.device
        B, _, h, w = m.shape
        yy = ((torch.arange(h, device=dev) + 0.5) / h * 2 - 1)[None, :, None]
        xx = ((torch.arange(w, device=dev) + 0.5) / w * 2 - 1)[None, None, :]
        mean = m.mean((1, 2, 3)).clamp(min=1e-3)
        for i in range(6):
            photo = i < 2 and photos is not None
            du = (xx - V(r.u(-1, 1)) + 1) % 2 - 1  # a map goes round
            u = du / V(r.lu(0.04, 0.5))
            v = (yy - V(r.u(-0.6, 0.8))) / V(r.lu(0.06, 0.7))
            q = torch.where(V(r.p(0.6)) > 0, torch.maximum(u.abs(), v.abs()), torch.hypot(u, v))
            a = torch.sigmoid((1 - q) * V(r.lu(6, 60))) * V(r.p(0.45))
            if photo:
                g = torch.stack(torch.broadcast_tensors(u, v), -1)
                c = F.grid_sample(photos(r), g, align_corners=False, padding_mode="border") * (mean * r.lu(0.4, 4)).view(-1, 1, 1, 1)
            else:
                grey = r.p(0.4)
                bright = torch.where(r.p(0.3) > 0, r.lu(2, 25), r.lu(0.02, 1.2))
                col = hsv(r.u(0, 1), torch.where(grey > 0, r.u(0, 0.1), r.u(0.2, 0.95)), mean * bright)
                c = col.view(B, 3, 1, 1).expand_as(m)
            m = m * (1 - a[:, None]) + c * a[:, None]
        return m

    def _irradiance(s):
        small = F.adaptive_avg_pool2d(s.map, (24, 48))
        d, sin = directions(24, 48, small.device)
        to, _ = directions(16, 32, small.device)
        k = (to.reshape(-1, 3) @ d.reshape(-1, 3).T).clamp(min=0) * sin.reshape(1, -1)
        k = k / k.sum(1, keepdim=True)
        return torch.einsum("on,bcn->bco", k, small.flatten(2)).view(-1, 3, 16, 32)

    def _look(s, which, d):
        d = torch.einsum("bij,bhwj->bhwi", s.turn, d)
        u = torch.atan2(d[..., 1], d[..., 0]) / math.pi
        v = torch.acos(d[..., 2].clamp(-0.9999, 0.9999)) / math.pi * 2 - 1
        return F.grid_sample(which, torch.stack([u, v], -1), align_corners=False, padding_mode="border").permute(0, 2, 3, 1)

    def radiance(s, P, view, N, T, Bt, ax, ay, jitter=None, gloss=False):
        away = P / V(s.near)[..., None]
        if gloss:
            return s._look(s.gloss, norm(reflect(view, N) + away))
        out = 0
        for q in TAPS:
            k = ay * q if jitter is None else ay * (q + 0.25 * jitter)
            out = out + s._look(s.sharp, norm(reflect(view, norm(N + k[..., None] * Bt)) + away))
        return out / len(TAPS)

    def irradiance(s, N):
        return s._look(s.irr, N)
