"""The metal under the film: its grain, colour and dirt, and the colours of compound and picture that follow."""

import torch
from .base import V, V3, hsv, norm, smooth, tex


def grained(r, jaw, bank):
    """Normals with turning lines (along x, constant in y) on the face and its chamfer, milling and grinding elsewhere, serrations at
    the back; returns normal, tangent along the lines, binormal across them, and the lines' own noise."""
    x, y, z = jaw.x, jaw.y, jaw.z
    feed, amp = r.lu(0.06, 0.8), r.lu(0.01, 0.35) * r.p(0.85)
    line = tex(bank, 16 + r.i(8), x / 60 + V(r.u(0, 1)), y / V(feed * 24) + V(r.u(0, 1)))
    lined = (jaw.patch | (jaw.front & (y > V(jaw.L)))).float()
    rough = tex(bank, r.i(16), x / 23 + V(r.u(0, 1)), (y + 0.7 * z) / 23) * V(r.u(0, 0.12))
    bump = torch.stack([rough, line * V(amp) * lined + rough.roll(7, 1), rough.roll(5, 2) * (1 - lined)], -1)
    pitch = V(r.u(1.4, 3.2))
    teeth = ((z / pitch) % 1 - 0.5) * (z < V(-jaw.D + r.u(2, 9))) * jaw.side * V(r.p(0.35))
    bump[..., 2] = bump[..., 2] + 1.4 * teeth
    n = norm(jaw.normal + bump)
    # Holes in the face: a bevelled rim, then black.
    n = torch.where(jaw.hole[..., None], norm(n + torch.tensor([0.5, 0.5, -0.4], device=r.d)), n)
    t = norm(torch.linalg.cross(torch.tensor([0.0, 1, 0], device=r.d).expand_as(n), n) + 1e-6)
    return n, t, torch.linalg.cross(n, t), line, lined


class Metal:
    def __init__(s, r, jaw, bank, tiles):
        x, yz = jaw.x, jaw.y + jaw.z
        met, warm = r.lu(0.22, 0.93), r.n((), 0.03)
        s.colour = torch.stack([met * (1 + warm), met, met * (1 - warm)], -1)
        # The body may be black-oxide or anodised while the bored face is bare; a few faces are dark, too.
        black, dyed = r.p(0.14), r.p(0.12)
        dark = r.lu(0.02, 0.12).view(-1, 1) * (1 + r.n((3,), 0.05))
        tone = hsv(r.u(0, 1), r.u(0.3, 0.9), r.lu(0.1, 0.8))
        body = torch.where(black.view(-1, 1) > 0, dark, torch.where(dyed.view(-1, 1) > 0, tone, s.colour))
        whole = r.p(0.12).view(-1, 1)
        s.bare_jaw = torch.where(whole > 0, body, s.colour)
        bored = (jaw.patch | (jaw.front & (jaw.y > V(jaw.L)))).float()[..., None]
        s.albedo = V3(s.bare_jaw) * bored + V3(body) * (1 - bored)
        real = 1.0
        if tiles is not None:  # photographs of worked metal: their grey values modulate the colour
            k = V(r.lu(20, 140))
            real = 1 + V(r.u(0.2, 1.3) * r.p(0.45)) * tex(tiles, r.i(tiles.shape[0]), x / k + V(r.u(0, 1)), yz / k + V(r.u(0, 1)))
            real = real.clamp(0.15, 2.5)
        s.albedo = s.albedo * (real[..., None] if tiles is not None else 1.0)
        stain = smooth(tex(bank, r.i(16), x / 45 + 0.1, yz / 45), 0.3, 2.2) * V(r.u(0, 0.8) * r.p(0.6))
        grime = (V(r.u(0.02, 0.35)) * (1 + 0.5 * tex(bank, r.i(16), x / 30, yz / 30)) + 0.5 * stain).clamp(0, 0.95)
        gcol = torch.stack([r.u(0.1, 0.3), r.u(0.09, 0.28), r.u(0.05, 0.26)], -1) * r.u(0.4, 1.2)[:, None]
        gcol = gcol * (s.bare_jaw.mean(-1, keepdim=True) / 0.5).clamp(0.15, 1.3)
        rust = smooth(tex(bank, r.i(16), x / 12, yz / 12), 2.0, 2.6) * V(r.p(0.25))
        s.dirt = V3(gcol) * (1 - rust[..., None]) + rust[..., None] * torch.tensor([0.22, 0.075, 0.025], device=r.d)
        s.cover = (grime * (1 - rust) + 0.9 * rust)[..., None]
        vary = (1 + 0.2 * tex(bank, r.i(16), x / 28, yz / 28)).clamp(0.5, 1.6)
        s.along, s.across = r.lu(0.03, 0.35), r.lu(0.08, 0.45)
        s.vary = vary if tiles is None else vary * real.clamp(0.6, 1.5)

    def widths(s, lined):
        both = V((s.along + s.across) / 2)
        a = torch.where(lined > 0, V(s.along), both) * s.vary
        return a, torch.where(lined > 0, V(s.across), both) * s.vary


class Compound:
    """Its colours thick, thin and as a filter over metal, and how fast it covers."""

    def __init__(s, r, bank, jaw, bare):
        u = r.u(0, 1)
        hue = torch.where(r.p(0.45) > 0, r.u(0.55, 0.72), r.u(0, 1))
        sat, val = r.u(0.5, 0.99), r.lu(0.04, 0.65)
        # Two in five are no saturated paint: black, white, yellow or grey, which are the hardest to tell from metal.
        black, white, yellow, grey = u < 0.11, (u > 0.11) & (u < 0.21), (u > 0.21) & (u < 0.28), (u > 0.28) & (u < 0.38)
        sat = torch.where(black | white | grey, r.u(0, 0.2), sat)
        val = torch.where(black, r.lu(0.01, 0.06), torch.where(white, r.u(0.65, 0.95), torch.where(grey, r.u(0.1, 0.5), val)))
        hue = torch.where(yellow, r.u(0.11, 0.17), hue)
        val = torch.where(yellow, r.u(0.4, 0.85), val)
        s.colour = hsv(hue, sat, val) ** 1.5
        # Now and then it is nearly the metal's own colour, darker or lighter.
        near = (bare * r.lu(0.25, 1.6)[:, None] * torch.exp(r.n((3,), 0.06))).clamp(0.005, 0.95)
        s.colour = torch.where(r.p(0.08)[:, None] > 0, near, s.colour)
        filt = torch.where(black | white | grey, r.u(0, 0.2), r.u(0.4, 0.95))
        s.absorb = (1 - hsv(hue, filt, torch.where(black, r.u(0.02, 0.2), torch.ones_like(hue)))).clamp(0.03) * r.u(0.7, 1.3)[:, None]
        s.absorb = torch.where(white[:, None], s.absorb * 0.3, s.absorb)
        s.thin = hsv((hue + r.n((), 0.02)) % 1, filt, r.lu(0.05, 0.5)) * 0.5
        s.thin = torch.where(black[:, None], s.thin * 0.1, s.thin)
        s.k = r.lu(0.07, 0.42)
        s.most = r.u(0.9, 1.0)
        s.sheen = r.lu(0.012, 0.3)
        x, y, z = jaw.x, jaw.y, jaw.z
        s.grain = 1 + V(r.u(0.05, 0.5)) * tex(bank, r.i(16), x / 6, (y + z) / 6) + 0.15 * tex(bank, r.i(16), x / 40, (y + z) / 40)
        s.mottle = (1 + 0.1 * tex(bank, r.i(16), x / 16, (y + z) / 16))[..., None].clamp(0.4, 1.7)

    def over(s, t, metal, spec, gloss, irr):
        """Light that leaves film of t micrometres on this metal, and that leaves the bare metal."""
        te = t * s.grain.clamp(0.1, 3)
        w = ((1 - torch.exp(-V(s.k) * te)) * V(s.most))[..., None]
        through = torch.exp(-V3(s.absorb) * V(s.k)[..., None] * te[..., None])
        bare = spec * metal.albedo * (1 - metal.cover) + irr * metal.dirt * metal.cover
        seen = spec * metal.albedo * through**1.3 * (1 - metal.cover) + irr * metal.dirt * metal.cover * through
        return seen * (1 - w) + s.thick(te, gloss, irr) * w, bare

    def thick(s, te, gloss, irr):
        deep = 0.5 + 0.5 * torch.exp(-0.02 * te)[..., None]
        c = V3(s.colour) * deep * s.mottle + V3(s.thin) * torch.exp(-te / 7)[..., None] * 0.6
        return c * irr + gloss * V(s.sheen)[..., None]
