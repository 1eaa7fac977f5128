"""What is around and before the jaw: bench or backdrop (plain, or a real photograph), clutter, another block, a hand, a rag."""

import torch, torch.nn.functional as F
from .base import V, V3, hsv, norm, smooth, tex


class Photographs:
    """Real photographs without a jaw, 8-bit sRGB squares (N,3,S,S). A call gives one crop per picture, linear, mean about 0.3."""

    def __init__(s, photos):
        s.photos = photos

    def __call__(s, r, size=256):
        B = r.B
        x = s.photos[r.i(s.photos.shape[0])].float() / 255
        a = r.u(-0.3, 0.3) + torch.randint(0, 4, (B,), device=r.d) * 1.5708
        k, fl = r.lu(0.25, 1.0), 1 - 2 * r.p(0.5)
        M = torch.stack([torch.stack([k * a.cos() * fl, -k * a.sin(), (1 - k) * r.u(-1, 1)], -1),
                         torch.stack([k * a.sin() * fl, k * a.cos(), (1 - k) * r.u(-1, 1)], -1)], 1)
        x = F.grid_sample(x, F.affine_grid(M, (B, 3, size, size), align_corners=False), align_corners=False, padding_mode="reflection")
        x = x**2.2
        return x * (0.3 / x.mean((1, 2, 3), keepdim=True).clamp(min=0.03)) * r.lu(0.3, 2.5).view(-1, 1, 1, 1)


def clutter(r, S, n):
    """Soft or sharp ellipses, boxes and bars. Returns rgb (B,S,S,3) and alpha (B,S,S)."""
    g = torch.linspace(-1, 1, S, device=r.d)
    rgb = torch.zeros(r.B, S, S, 3, device=r.d)
    al = torch.zeros(r.B, S, S, device=r.d)
    for _ in range(n):
        a, po = r.u(0, 6.28), torch.where(r.p(0.5) > 0, 2.0, 8.0)
        X, Y = g[None, None, :] - V(r.u(-1.1, 1.1)), g[None, :, None] - V(r.u(-1.1, 1.1))
        u = (X * V(a.cos()) + Y * V(a.sin())) / V(r.lu(0.03, 0.7))
        v = (-X * V(a.sin()) + Y * V(a.cos())) / V(r.lu(0.03, 0.5))
        q = u.abs() ** V(po) + v.abs() ** V(po)
        m = torch.sigmoid((1 - q) * V(r.lu(3, 60))) * V(r.p(0.6)) * (q < 50)
        c = hsv(r.u(0, 1), torch.where(r.p(0.55) > 0, r.u(0, 0.12), r.u(0.2, 0.98)), r.lu(0.01, 0.95))
        shade = 1 + V(r.u(-0.6, 0.6)) * u.clamp(-1, 1) + V(r.u(-0.6, 0.6)) * v.clamp(-1, 1) - V(r.u(0, 0.8) * r.p(0.5)) * (u**2).clamp(0, 1)
        rgb = rgb * (1 - m[..., None]) + m[..., None] * V3(c) * shade.clamp(0.03)[..., None]
        al = torch.maximum(al, m)
    return rgb, al


def backdrop(r, cam, jaw, light, bank, photos, lit):
    """Colour where no ray meets the jaw."""
    B, S = r.B, cam.S
    down = cam.rays[..., 2].clamp(max=-1e-3)
    P = cam.at((V(-jaw.D - r.u(0, 3)) - V(cam.o[:, 2])) / down)
    sc = V(r.lu(20, 300))
    grain = tex(bank, r.i(16), P[..., 0] / sc, P[..., 1] / sc) * V(r.u(0.02, 0.4))
    grain = grain + tex(bank, r.i(16), P[..., 0] / sc / 3, P[..., 1] / sc / 3) * V(r.u(0.02, 0.4))
    bg = hsv(r.u(0, 1), torch.where(r.p(0.5) > 0, r.u(0, 0.2), r.u(0.1, 0.95)), r.lu(0.015, 0.9))
    back = V3(bg) * (1 + grain).clamp(0.1)[..., None] * lit
    flat = hsv(r.u(0, 1), r.u(0, 0.6), r.lu(0.01, 0.8))
    back = torch.where(V(r.p(0.2))[..., None] > 0, V3(flat) * (1 + 0.4 * cam.grid[None, None, :, None]) + 0 * back, back)
    if photos is not None:
        level = lit.mean(-1, keepdim=True)
        # On the bench behind the jaw, in perspective; or far away, as the picture's own background.
        k = V(r.lu(40, 300))
        uv = torch.stack([P[..., 0] / k + V(r.u(-0.6, 0.6)), P[..., 1] / k + V(r.u(-0.6, 0.6))], -1)
        bench = F.grid_sample(photos(r), uv, align_corners=False, padding_mode="reflection").permute(0, 2, 3, 1)
        far = F.interpolate(photos(r), size=(S, S), mode="bilinear", align_corners=False).permute(0, 2, 3, 1)
        which = V(r.u(0, 1))[..., None]
        back = torch.where(which < 0.30, bench * level, torch.where(which < 0.65, far * level, back))
    rgb, al = clutter(r, S, 7)
    al = al * V(r.p(0.55))
    return back * (1 - al[..., None]) + rgb * lit * al[..., None], P, sc


def neighbour(r, cam, jaw, light, bank, photos, colour):
    """A second block without a face: bare metal or the skin of a photograph. Must not be taken for one."""
    c = torch.stack([r.u(-1, 1) * 90, r.u(-1, 1) * 90 + jaw.L / 2, -jaw.D * r.u(0.2, 1)], -1)
    h = torch.stack([r.u(6, 40), r.u(6, 40), r.u(4, 20)], -1)
    t0, t1, ax = cam.box(c - h, c + h)
    there = (t1 > t0) & (t0 > 0) & (V(r.p(0.45)) > 0)
    P = cam.at(t0)
    n = torch.eye(3, device=r.d)[ax] * jaw.sign
    n = norm(n + 0.03 * tex(bank, r.i(16), P[..., 0] / 20, (P[..., 1] + P[..., 2]) / 20)[..., None])
    t = norm(torch.linalg.cross(torch.tensor([0.3, 0.9, 0.1], device=r.d).expand_as(n), n))
    w = torch.full_like(t0, 0.2)
    view = -cam.rays
    col = light.radiance(P, view, n, t, torch.linalg.cross(n, t), w, w * 1.2) * V3(colour) * V(r.u(0.3, 1.1))[..., None]
    if photos is not None:
        d = (P - V3(c)) / V3(h)
        uv = torch.stack([d[..., 0] + d[..., 2] * 0.5, d[..., 1] + d[..., 2] * 0.5], -1)
        skin = F.grid_sample(photos(r), uv, align_corners=False, padding_mode="reflection").permute(0, 2, 3, 1)
        col = torch.where(V(r.p(0.45))[..., None] > 0, skin * light.irradiance(n), col)
    near = there & (t0 < torch.where(jaw.hit, jaw.t, torch.full_like(jaw.t, 1e9))) & ~jaw.onface
    return col, (there & ~jaw.hit) | near, there


def occluders(r, cam, img, lit, texture):
    """A rag over the face, a finger over its border. Returns the picture and how much of it they hide."""
    S = cam.S
    g = (torch.arange(S, device=r.d) + 0.5)
    c = cam.project(cam.target[:, None])[:, 0]
    q = torch.hypot(g[None, None, :] - V(c[:, 0]), g[None, :, None] - V(c[:, 1])) / S
    rag = torch.sigmoid((V(cam.half / 2 * r.u(0.7, 1.3)) - q) * 150) * V(r.p(0.06))
    paint = lambda: V3(hsv(r.u(0, 1), r.u(0, 0.95), r.lu(0.02, 0.7))) * lit
    img = img * (1 - rag[..., None]) + paint() * texture * rag[..., None]
    a = r.u(0, 6.28)
    off = cam.half / 2 * r.u(0.75, 1.1)
    X = g[None, None, :] / S - V(c[:, 0] / S + off * a.cos())
    Y = g[None, :, None] / S - V(c[:, 1] / S + off * a.sin())
    a2 = a + r.u(-0.5, 0.5)
    u, v = X * V(a2.cos()) + Y * V(a2.sin()), -X * V(a2.sin()) + Y * V(a2.cos())
    fw = V(r.u(0.02, 0.06))
    finger = torch.sigmoid((fw - torch.where(u > 0, v.abs(), torch.hypot(u, v))) * 250) * V(r.p(0.18))
    img = img * (1 - finger[..., None]) + paint() * (1 - 0.6 * (v / fw).clamp(-1, 1) ** 2)[..., None] * finger[..., None]
    return img, torch.maximum(rag, finger)
