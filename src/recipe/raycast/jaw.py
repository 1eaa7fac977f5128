"""The jaw's shape and where the rays meet it."""

import torch
from .base import V, V3, norm, smooth

STEPS = 28  # of a ray through the box around the jaw; two Newton steps settle the rest


class Jaw:
    """A bored (concave) or turned (convex) block with chamfer, groove, shoulder, flank lands, and now and then a slot or holes in the face."""

    def __init__(s, r, L, W):
        z0 = torch.zeros_like(L)
        s.L = L
        s.W = W = torch.minimum(torch.maximum(W, L * 0.42), L * 3.0)
        s.convex = r.p(0.38)
        s.sg = 1 - 2 * s.convex
        s.R = torch.maximum(r.lu(18, 180), W * 0.66)
        sag = s.R - torch.sqrt(s.R**2 - W**2 / 4)
        s.lands = torch.where(r.p(0.5) > 0, z0, r.u(0.5, 8))
        s.cham = r.u(0.25, 1.8) * r.p(0.85)
        s.slope = r.u(0.5, 1.2)
        s.groove = r.u(0.6, 2.6) * r.p(0.72)
        s.groove_depth = r.u(0.3, 1.3)
        s.step = r.u(1.2, 10)
        s.below = torch.where(r.p(0.87) > 0, r.u(3, 36), z0 + 0.3)
        s.D = r.lu(12, 70)
        s.zc = s.sg * sag  # height of the face at its flanks
        s.nose = r.u(0, 3)
        # A slot along the face (for a stop or a key), off the middle; and up to two holes.
        s.slot = r.u(0.03, 0.09) * W * r.p(0.07)
        s.slot_x = r.u(-0.3, 0.3) * W
        s.slot_depth = r.u(1.5, 6)
        on = r.p(0.10)
        s.holes = [(r.u(-0.36, 0.36) * W, r.u(0.2, 0.8) * L, r.u(1.2, 4.5) * on * q) for q in (1.0, r.p(0.5))]
        s.phim = torch.asin((W / 2 / s.R).clamp(max=1))

    def height(s, x, y):
        ax = x.abs().clamp(max=V(s.W) / 2)
        z0 = V(s.sg) * (V(s.R) - torch.sqrt((V(s.R) ** 2 - ax**2).clamp(1e-3)))
        z0 = z0 - V(s.slot_depth) * ((x - V(s.slot_x)).abs() < V(s.slot) / 2)
        tip = z0 - (y - V(s.L)).clamp(min=0) * V(s.slope)
        groove = z0 - V(s.groove_depth) * smooth(-y, 0, 0.25)
        shoulder = torch.where(V(s.convex) > 0, z0 * 0 + V(s.step), torch.minimum(z0 + V(s.step), V(s.zc) + V(s.nose)))
        return torch.where(y > 0, tip, torch.where(y > -V(s.groove), groove, shoulder))

    def surface(s, u, v):
        """Points (B,3) of the face at u across (0 left) and v along (0 at the tip)."""
        ph = (u * 2 - 1) * s.phim
        return torch.stack([s.R * ph.sin(), s.L * (1 - v) + 0 * ph, s.sg * s.R * (1 - ph.cos())], -1)

    def other_faces(s):
        """Corners (B,4,3) of the tip surface, a flank and the shoulder: metal, straight, and not the gripping face."""
        w, e, z0 = s.W / 2 + s.lands, s.L + s.cham, 0 * s.L
        q = lambda *p: torch.stack([torch.stack(c, -1) for c in p], 1)
        top = z0 + torch.where(s.convex > 0, s.step, s.zc + s.nose)
        return (
            q((-w, e, -s.D), (w, e, -s.D), (w, e, z0), (-w, e, z0)),
            q((w, e, s.zc), (w, e, -s.D), (w, z0 - s.below, -s.D), (w, z0 - s.below, s.zc)),
            q((-w, -s.groove, top), (w, -s.groove, top), (w, -s.below, top), (-w, -s.below, top)),
        )

    def depth(s, P):
        return P[..., 2] - s.height(P[..., 0], P[..., 1])

    def trace(s, cam):
        """Sets, per pixel: t, hit, front (height field) or side (box), point x y z, normal, and the face's coordinates."""
        wide = s.W + 2 * s.lands
        zmax = torch.maximum(s.zc.clamp(min=0), torch.where(s.convex > 0, s.step, s.zc + s.nose)) + 0.05
        lo = torch.stack([-wide / 2, -s.below, -s.D], -1)
        hi = torch.stack([wide / 2, s.L + s.cham, zmax], -1)
        t0, t1, ax = cam.box(lo, hi)
        inbox = (t1 > t0) & (t0 > 0)
        span = (t1 - t0).clamp(min=0)
        prev = s.depth(cam.at(t0 + 1e-4))
        side = (prev < 0) & inbox
        found = torch.zeros_like(side)
        hit_t = torch.full_like(t0, 1e9)
        for k in range(1, STEPS + 1):
            d = s.depth(cam.at(t0 + span * (k / STEPS) + 1e-4))
            c = (d < 0) & (prev >= 0) & ~found & ~side & inbox
            hit_t = torch.where(c, t0 + span * ((k - 1 + prev / (prev - d + 1e-9)) / STEPS), hit_t)
            found |= c
            prev = d
        for _ in range(2):
            d = s.depth(cam.at(hit_t))
            e = 0.02
            dd = (s.depth(cam.at(hit_t + e)) - d) / e
            step = (d / torch.where(dd.abs() < 0.05, torch.full_like(dd, -0.05), dd)).clamp(-0.5, 0.5)
            hit_t = torch.where(found, hit_t - step, hit_t)
        s.front, s.side, s.hit = found, side, found | side
        s.t = torch.where(found, hit_t, t0)
        s.P = cam.at(s.t)
        s.x, s.y, s.z = s.P.unbind(-1)
        e = 0.05
        hx = (s.height(s.x + e, s.y) - s.height(s.x - e, s.y)) / (2 * e)
        hy = (s.height(s.x, s.y + e) - s.height(s.x, s.y - e)) / (2 * e)
        up = norm(torch.stack([-hx.clamp(-4, 4), -hy.clamp(-3, 3), torch.ones_like(hx)], -1))
        s.sign = -torch.sign(cam.rays)
        s.plane = ax
        s.normal = torch.where(found[..., None], up, torch.eye(3, device=ax.device)[ax] * s.sign)
        inslot = (s.x - V(s.slot_x)).abs() < V(s.slot) / 2 + 0.05 * (V(s.slot) > 0)
        s.hole = torch.zeros_like(found)
        for hx0, hy0, rad in s.holes:
            s.hole |= torch.hypot(s.x - V(hx0), s.y - V(hy0)) < V(rad)
        s.patch = found & (s.y > 0) & (s.y < V(s.L)) & (s.x.abs() < V(s.W) / 2)
        s.hole &= s.patch
        s.onface = s.patch & ~inslot & ~s.hole
        phi = torch.asin((s.x / V(s.R)).clamp(-1, 1))
        s.fx = (phi / V(s.phim) + 1) / 2
        s.fs = 1 - s.y / V(s.L)
        s.ontip = side & (ax == 1) & (s.sign[..., 1] > 0)
