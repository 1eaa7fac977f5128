"""What lies on the metal: the film that came through the gap, the painted seam, and what only looks like compound."""

import torch, torch.nn.functional as F
from .base import V, blur, tex, smooth

THICK = 2.0  # micrometres from which on film counts as compound, as in the path-traced sets


def broken(r, t, c, photos):
    """Films break up in more ways than anybody modelled: two in five are broken, or made thicker and thinner, by the grey values of a real
    photograph, drawn out or not. Where most around (1 mm or so) carries film still, it counts as compound, as in `films.look`."""
    g = torch.log(photos(r, t.shape[-1]).mean(1, keepdim=True) + 0.02)
    stretch = torch.zeros(r.B, 2, 3, device=r.d)
    a, k = r.u(0, 3.14), r.lu(1, 12) * r.p(0.5)
    stretch[:, 0, 0], stretch[:, 0, 1] = a.cos(), -a.sin()
    stretch[:, 1, 0], stretch[:, 1, 1] = a.sin() / (1 + k), a.cos() / (1 + k)
    g = F.grid_sample(g, F.affine_grid(stretch, g.shape, align_corners=False), align_corners=False, padding_mode="reflection")
    g = (g - blur(g, r.lu(2, 25)))[:, 0]
    g = g / (g.std((1, 2), keepdim=True) + 1e-3)
    n = torch.randn(r.B, 1, 6, 6, device=r.d)
    where = (F.interpolate(n, size=t.shape[-2:], mode="bicubic") * 1.5 + r.u(-0.5, 2).view(-1, 1, 1, 1)).clamp(0, 1)[:, 0]
    on = smooth(g - V(r.n((), 0.6)), -0.15, 0.15)
    kept = 1 - where * (1 - on) * V(1 - r.u(0, 0.2) * r.p(0.5))
    new = t * torch.where(V(r.p(0.7)) > 0, kept, torch.exp(0.5 * g.clamp(-2, 2)))
    most = blur((new > 1.0).float()[:, None], torch.full((r.B,), 2.9, device=r.d))[:, 0] > 0.3
    at_border = torch.ones_like(c)
    at_border[:, 4:-4, 4:-4] = 0
    c2 = c * ((new > THICK) | (most & (c > 0.5)) | (at_border > 0)).float()
    on = V(r.p(0.4)) > 0
    return torch.where(on, new, t), torch.where(on, c2, c)


class Film:
    """Per pixel: `t` film thickness in micrometres, `truth` where it counts as compound; per picture: what was painted."""

    def __init__(s, r, jaw, films, pick, bank, photos=None):
        x, y, z = jaw.x, jaw.y, jaw.z
        seep, seam = films["seep"][pick], films["seam"][pick]
        one = torch.ones_like(seep)
        forgotten = r.p(0.10) * (seep > 0).float() + (1 - seep) * r.p(0.05)
        s.clean = forgotten > 0  # the jaw was never painted
        s.seep = seep > 0
        s.painted = seam * (1 - forgotten) > 0
        s.smear = (r.p(0.05) * (1 - forgotten)) > 0
        t, truth = s._through_gap(r, jaw, films, pick, bank, photos)
        t, truth = s._smeared(r, jaw, bank, t, truth)
        keep = V((~s.clean).float())
        t, truth = t * keep, truth * keep
        thin = s._nuisances(r, jaw, bank) * V(one - forgotten)
        s.truth = jaw.onface & (truth > 0.5)
        beside = s._seam(r, jaw, bank) * V(s.painted.float())
        s.paint = (beside > 4.0) & ~jaw.patch  # where the seam's paint can be seen
        drops = smooth(tex(bank, r.i(4), x / 35 + V(r.u(0, 1)), (y - z) / 35), 2.0, 2.2) * 20 * V(r.p(0.4) * (1 - forgotten))
        s.t = torch.where(jaw.patch, torch.maximum(t, thin), torch.maximum(beside, drops * (~jaw.patch))).clamp(0, 90)
        # A brush leaves streaks, more on the seam than in the gap.
        a = r.u(0, 3.14)
        streak = tex(bank, 8 + r.i(4), (x * V(a.cos()) + y * V(a.sin())) / 25, (-x * V(a.sin()) + (y + z) * V(a.cos())) / 25)
        k = V(r.u(0, 0.6) * r.p(0.35))
        s.t = s.t * (1 + k * streak * (1 - 0.6 * jaw.onface.float())).clamp(0.15, 2.5)

    def _through_gap(s, r, jaw, films, pick, bank, photos):
        def look(m):
            G = torch.stack([u * 2 - 1, v * 2 - 1], -1)
            return F.grid_sample(m[:, None], G, align_corners=False, padding_mode="border")[:, 0]

        wob = V(r.u(0, 0.35))
        du = tex(bank, r.i(16), jaw.x / 9, jaw.y / 9) * wob / V(jaw.W)
        dv = tex(bank, r.i(16), jaw.x / 9 + 0.4, jaw.y / 9) * wob / V(jaw.L)
        inner = torch.minimum(torch.minimum(jaw.fx, 1 - jaw.fx), torch.minimum(jaw.fs, 1 - jaw.fs)).clamp(0, 0.05) * 20
        # Capillarity draws the border out along the turning lines: it is ragged across them and straight along.
        drawn = tex(bank, 8 + r.i(4), jaw.x / 90 + V(r.u(0, 1)), jaw.y / V(r.lu(6, 30))) * V(r.lu(0.15, 2.5) * r.p(0.4))
        du = du + drawn / V(jaw.W)
        u = torch.where(V(r.p(0.5)) > 0, 1 - jaw.fx, jaw.fx) + du * inner
        v = jaw.fs + dv * inner
        t, c = films["t"][pick].float() / 4, films["c"][pick].float()
        if photos is not None:
            t, c = broken(r, t, c, photos)
        return look(t), look(c)

    def _smeared(s, r, jaw, bank, t, truth):
        """Wiped while wet: compound in drawn-out clouds over all of the face."""
        a = r.u(0, 3.14)
        along, across = jaw.x * V(a.cos()) + jaw.y * V(a.sin()), -jaw.x * V(a.sin()) + jaw.y * V(a.cos())
        sn = tex(bank, r.i(16), jaw.x / 60 + 0.3, jaw.y / 25)
        wipe = tex(bank, 8 + r.i(4), along / 70, across / 70 + V(r.u(0, 1)))
        sm = (9 + 6 * sn + 5 * torch.where(V(r.p(0.5)) > 0, wipe, tex(bank, r.i(16), jaw.x / 90, jaw.y / 90))).clamp(0.5, 45)
        on = V(s.smear.float()) > 0
        t = torch.where(on, torch.maximum(t * 0.5, sm), t)
        return t, torch.where(on, (t > THICK).float(), truth)

    def _nuisances(s, r, jaw, bank):
        """Streaks, blots and stains too thin to count."""
        x, y = jaw.x, jaw.y
        a = r.u(0, 3.14)
        u, v = x * V(a.cos()) + y * V(a.sin()), -x * V(a.sin()) + y * V(a.cos())
        st = tex(bank, 8 + r.i(4), u / 40, v / 40 + V(r.u(0, 1)))
        msk = smooth(tex(bank, r.i(16), x / 80 + V(r.u(0, 1)), y / 80), 0.2, 1.2)
        thin = (st.clamp(0, 2) * msk * 0.9).clamp(0, 1.9) * V(r.p(0.35))
        blots = smooth(tex(bank, r.i(16), x / 30 + 0.5, y / 30), 1.3, 2.4) * 1.7 * V(r.p(0.35))
        # A tide mark: what is left where a thin puddle dried, a narrow line around a hardly coloured patch.
        p = tex(bank, r.i(4), x / 90 + V(r.u(0, 1)), y / 90 + V(r.u(0, 1)))
        tide = torch.exp(-((p / 0.05) ** 2)) * 1.6 + (p > 0) * 0.35
        return torch.maximum(torch.maximum(thin, blots), tide * V(r.p(0.12)))

    def _seam(s, r, jaw, bank):
        """Paint along the tip and both flanks, on the chamfer, the lands and the surfaces beside the face."""
        x, y, z = jaw.x, jaw.y, jaw.z
        width = r.u(1, 9) * r.p(0.95)
        bn = tex(bank, r.i(16), x / 18 + V(r.u(0, 1)), (y + z) / 18)
        wide = V(width) * (1 + 0.35 * bn)
        level = V(jaw.zc)
        flank = jaw.side & (jaw.plane == 0) & (y > V(r.u(-3, 2)))
        rim = torch.where(
            V(jaw.convex) > 0,
            (V(jaw.R) - torch.hypot(x, V(jaw.R) + z)).clamp(min=0),
            (torch.hypot(x, V(jaw.R) - z) - V(jaw.R)).clamp(min=0),
        )
        front = jaw.front & ((y >= V(jaw.L)) | (x.abs() >= V(jaw.W) / 2)) & (y > 0)
        on_land = torch.where(V(jaw.lands) > 0, smooth(wide - (x.abs() - V(jaw.W) / 2), -0.5, 0), torch.ones_like(x))
        t = torch.where(front, (22 + 14 * bn) * on_land, torch.zeros_like(x))
        t = torch.where(flank, (25 + 12 * bn) * smooth(wide - (level - z).clamp(min=0), -0.3, 0.3), t)
        t = torch.where(jaw.ontip, (25 + 12 * bn) * smooth(wide - rim, -0.3, 0.3), t)
        return t * (bn > -1.3 + 1.2 * V(r.p(0.3))) * V(r.lu(0.35, 1.2))
