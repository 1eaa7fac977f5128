"""A phone's camera that looks at the face: rays per pixel, and where a point of the jaw lies in the picture."""

import math, torch
from .base import V, V3, norm

# Radial distortion that a phone leaves in the picture after its own correction; a wide lens leaves more (assumption).
DISTORTION = 0.045


class Camera:
    def __init__(s, r, L, W, middle_z, S):
        dev = r.d
        s.S = S
        th = r.u(0, 52) * math.pi / 180
        az = r.u(0, 6.283)
        s.view = torch.stack([th.sin() * az.cos(), th.sin() * az.sin(), th.cos()], -1)
        s.tan = 18.0 / r.lu(22, 80)  # half width of the square field, from a 35 mm focal length
        share = r.lu(0.045, 0.52)  # of the picture that the face takes
        area = L * W * (th.cos() * 0.85 + 0.15)
        dist = torch.maximum(torch.sqrt(area / share) / (2 * s.tan), 1.0 * torch.maximum(L, W))
        s.target = torch.stack([torch.zeros_like(L), L / 2, middle_z * 0.4], -1)
        s.o = s.target + s.view * dist.view(-1, 1)
        s.f = -s.view
        s.right = norm(torch.linalg.cross(s.f, norm(r.n((3,)))))
        s.up = torch.linalg.cross(s.right, s.f)
        # Half of the face's diagonal in the picture, and its place: the picture is a crop of a wider one.
        s.half = (torch.sqrt(L**2 + W**2) / 2 / (dist * s.tan)).clamp(max=0.85)
        room = (1 - s.half * 0.93).clamp(min=0.06)
        s.sx, s.sy = r.u(-1, 1) * room, r.u(-1, 1) * room
        s.k = r.u(-DISTORTION, DISTORTION) * r.p(0.6)
        s.grid = (torch.arange(S, device=dev) + 0.5) / S * 2 - 1
        s.rays = s._rays()

    def _rays(s):
        x = s.grid[None, None, :] - V(s.sx)
        y = s.grid[None, :, None] - V(s.sy)
        x, y = torch.broadcast_tensors(x, y)
        u, v = x, y
        for _ in range(4):  # undoes the distortion by fixed-point iteration
            q = 1 + V(s.k) * (u * u + v * v)
            u, v = x / q, y / q
        px, py = u * V(s.tan), -v * V(s.tan)
        return norm(V3(s.f) + px[..., None] * V3(s.right) + py[..., None] * V3(s.up))

    def project(s, P):
        """(B,N,3) millimetres -> (B,N,2) pixels."""
        d = P - s.o[:, None]
        z = (d * s.f[:, None]).sum(-1)
        x = (d * s.right[:, None]).sum(-1) / z / s.tan[:, None]
        y = -((d * s.up[:, None]).sum(-1) / z / s.tan[:, None])
        q = 1 + s.k[:, None] * (x * x + y * y)
        return torch.stack([(x * q + s.sx[:, None] + 1) / 2 * s.S, (y * q + s.sy[:, None] + 1) / 2 * s.S], -1)

    def at(s, t):
        return V3(s.o) + t[..., None] * s.rays

    def box(s, lo, hi):
        """Where the rays enter and leave a box, and through which pair of planes."""
        inv = 1 / torch.where(s.rays.abs() < 1e-6, torch.full_like(s.rays, 1e-6), s.rays)
        a = (V3(lo) - V3(s.o)) * inv
        b = (V3(hi) - V3(s.o)) * inv
        near, axis = torch.minimum(a, b).max(-1)
        return near, torch.maximum(a, b).min(-1).values, axis
