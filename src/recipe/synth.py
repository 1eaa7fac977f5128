"""A ray-caster of bored jaw-like blocks on the GPU, in torch: batches of pictures with exact truth, everything randomised.

Jaw frame (unit: face length about 1): +y to the tip, +z out of the gripping face, +x right with the tip up.
Front surface is a height field z = h(x, y); sides and the end faces are planes of a box.
"""

import math, torch, torch.nn.functional as F


class Rng:
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


V = lambda t: t.view(t.shape[0], *([1] * 2))  # per-image scalar -> broadcast over H, W
V3 = lambda t: t.view(t.shape[0], 1, 1, t.shape[-1])


def noise_bank(dev, n=24, S=256):
    """Tileable noise textures of several spectra, each N(0,1)."""
    fy = torch.fft.fftfreq(S, device=dev)[:, None]
    fx = torch.fft.fftfreq(S, device=dev)[None]
    out = []
    for i in range(n):
        beta = [0.6, 1.0, 1.4, 1.8][i % 4]
        an = [1.0, 1.0, 6.0, 0.18][(i // 4) % 4]
        f = torch.sqrt((fx * an) ** 2 + (fy / an) ** 2) + 1.0 / S
        a = f ** (-beta * 1.2)
        if i >= 16:
            a = torch.exp(-(((f - [0.02, 0.04, 0.08, 0.15, 0.25, 0.03, 0.06, 0.1][i - 16]) / 0.02) ** 2))
        z = torch.fft.ifft2(torch.fft.fft2(torch.randn(S, S, device=dev)) * a).real
        out.append((z - z.mean()) / (z.std() + 1e-9))
    return torch.stack(out)


def tex(bank, idx, u, v):
    """bank (N,S,S), idx (B,), u v (B,H,W) in periods -> bilinear lookup, wrapping."""
    S = bank.shape[-1]
    x = (u - torch.floor(u)) * S
    y = (v - torch.floor(v)) * S
    x0 = torch.floor(x)
    y0 = torch.floor(y)
    fx = x - x0
    fy = y - y0
    x0 = x0.long() % S
    y0 = y0.long() % S
    x1 = (x0 + 1) % S
    y1 = (y0 + 1) % S
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


class Env:
    """Light from all around as a smooth function of direction: gradient, lobes, slow waves."""

    def __init__(s, r):
        B = r.B
        s.n = 7
        s.l = norm(r.n((s.n, 3)))
        s.l[:, :, 2] = s.l[:, :, 2].abs() * 0.9 + 0.1
        s.l = norm(s.l)
        s.k = r.lu(4, 600, (s.n,))
        on = r.p(0.6, (s.n,))
        s.a = r.lu(0.3, 14, (s.n,)) * on * torch.where(s.k > 60, 1.0, 0.35)
        ct = r.u(-0.35, 0.35, (s.n,)) * r.p(0.7).view(-1, 1)
        s.c = torch.stack([torch.exp(ct), torch.ones_like(ct), torch.exp(-ct * 1.1)], -1)
        s.up = norm(r.n((3,)) + torch.tensor([0, 0, 0.8], device=r.d))
        s.amb = r.lu(0.08, 0.9)
        s.grad = r.u(0, 0.9)
        t0 = r.u(-0.3, 0.3)
        s.tint = torch.stack([torch.exp(t0), torch.ones_like(t0), torch.exp(-t0 * 1.1)], -1)
        s.w = r.n((6, 3), 3.0)
        s.ph = r.u(0, 6.28, (6,))
        s.wa = r.u(0, 0.5, (6,))
        s.wc = 1 + r.n((6, 3), 0.15)
        s.s = r.lu(0.25, 1.0)

    def radiance(s, d, ax, ay, T, Bt, N, Vv):
        """Specular light towards the viewer; anisotropic lobe widths ax along T, ay along Bt (Ward-like)."""
        out = torch.zeros_like(d)
        rd = norm(2 * (N * Vv).sum(-1, keepdim=True) * N - Vv)
        base = V(s.amb) * (1 + V(s.grad) * (rd * V3(s.up)).sum(-1))
        wav = torch.zeros_like(out)
        soft = torch.exp(-3.0 * (ax + ay))[..., None]
        for i in range(6):
            q = torch.sin((rd * V3(s.w[:, i])).sum(-1) + V(s.ph[:, i])) * V(s.wa[:, i])
            wav = wav + q[..., None] * V3(s.wc[:, i]) * soft
        out = base[..., None] * torch.clamp(1 + wav, 0.05) * V3(s.tint)
        for i in range(s.n):
            L = V3(s.l[:, i])
            h = norm(L + Vv)
            hn = torch.clamp((h * N).sum(-1), 0.05)
            w2 = 1.0 / V(s.k[:, i])  # a wide light widens the lobe
            a2 = ax**2 + 0.25 * w2
            b2 = ay**2 + 0.25 * w2
            e = ((h * T).sum(-1) ** 2 / a2 + (h * Bt).sum(-1) ** 2 / b2) / hn**2
            f = torch.exp(-e) * w2.sqrt() / torch.sqrt(a2 * b2).clamp(0.02) * 0.35
            nl = torch.clamp((L * N).sum(-1), 0) ** 0.5
            out = out + (f * nl * V(s.a[:, i]))[..., None] * V3(s.c[:, i]) * 0.25
        return out * V(s.s)[..., None]

    def irradiance(s, N):
        out = (V(s.amb) * (1 + 0.5 * V(s.grad) * (N * V3(s.up)).sum(-1)))[..., None] * V3(s.tint)
        for i in range(s.n):
            nl = torch.clamp((V3(s.l[:, i]) * N).sum(-1), 0)
            out = out + (nl * V(s.a[:, i]) * torch.clamp(6 / V(s.k[:, i]), 0.02, 0.6))[..., None] * V3(
                s.c[:, i]
            )
        return out * V(s.s)[..., None]


def shapes2d(r, H, W, n, dev):
    """Random clutter: soft or sharp ellipses, boxes, bars with colour, shading. Returns rgb (B,H,W,3), alpha (B,H,W)."""
    B = r.B
    yy, xx = torch.meshgrid(
        torch.linspace(-1, 1, H, device=dev), torch.linspace(-1, 1, W, device=dev), indexing="ij"
    )
    rgb = torch.zeros(B, H, W, 3, device=dev)
    al = torch.zeros(B, H, W, device=dev)
    for i in range(n):
        cx, cy = r.u(-1.1, 1.1), r.u(-1.1, 1.1)
        a = r.u(0, 6.28)
        w = r.lu(0.03, 0.7)
        h = r.lu(0.03, 0.5)
        po = torch.where(r.p(0.5) > 0, 2.0, 8.0)
        X = xx[None] - V(cx)
        Y = yy[None] - V(cy)
        u = (X * V(a.cos()) + Y * V(a.sin())) / V(w)
        v = (-X * V(a.sin()) + Y * V(a.cos())) / V(h)
        q = u.abs() ** V(po) + v.abs() ** V(po)
        m = torch.sigmoid((1 - q) * V(r.lu(3, 60))) * V(r.p(0.6)) * (q < 50)
        grey = r.p(0.55)
        c = hsv(r.u(0, 1), torch.where(grey > 0, r.u(0, 0.12), r.u(0.2, 0.98)), r.lu(0.01, 0.95))
        sh = (
            1
            + V(r.u(-0.6, 0.6)) * u.clamp(-1, 1)
            + V(r.u(-0.6, 0.6)) * v.clamp(-1, 1)
            - V(r.u(0, 0.8)) * (u**2).clamp(0, 1) * V(r.p(0.5))
        )
        rgb = rgb * (1 - m[..., None]) + m[..., None] * V3(c) * sh.clamp(0.03)[..., None]
        al = torch.maximum(al, m)
    return rgb, al


def render(B, S, films, bank, dev):
    """films: dict t (N,96,96) um, seep, L, W. Returns dict of tensors; picture linear HDR (B,S,S,3), exposure not yet applied."""
    r = Rng(B, dev)
    nb = lambda: torch.randint(0, bank.shape[0], (B,), device=dev)
    pick = torch.randint(0, films["t"].shape[0], (B,), device=dev)
    film = films["t"][pick]
    seep = films["seep"][pick]
    L = films["L"][pick]
    W = films["W"][pick]
    W = torch.minimum(torch.maximum(W, L * 0.42), L * 3.0)
    convex = r.p(0.38)
    sg = 1 - 2 * convex  # +1 concave, -1 convex
    R = torch.maximum(r.lu(18, 180), W * 0.66)
    sagg = R - torch.sqrt(R**2 - W**2 / 4)
    lands = torch.where(r.p(0.5) > 0, torch.zeros_like(L), r.u(0.5, 8))
    Wb = W + 2 * lands
    cham = r.u(0.25, 1.8) * r.p(0.85)
    chs = r.u(0.5, 1.2)
    Tt = L + cham
    grv = r.u(0.6, 2.6) * r.p(0.72)
    grd = r.u(0.3, 1.3)
    step = r.u(1.2, 10)
    below = torch.where(r.p(0.87) > 0, r.u(3, 36), torch.full_like(L, 0.3))
    D = r.lu(12, 70)
    zc = sg * sagg  # height of the face at its flanks

    def h(x, y):
        ax = x.abs().clamp(max=V(W) / 2)
        ring = lambda rad: V(sg) * (V(R) - torch.sqrt((rad**2 - ax**2).clamp(1e-3)))
        z0 = ring(V(R) + 0 * x)
        zt = z0 - (y - V(L)).clamp(min=0) * V(chs)  # chamfer falls away towards the tip
        zg = z0 - V(grd) * smooth(-y, 0, 0.25)
        ramp = V(step) + V(torch.maximum(sagg * 0, -zc * 0))
        zb = torch.where(V(convex) > 0, z0 * 0 + V(step) * 1.0, torch.minimum(z0 + V(step), V(zc) + V(nose)))
        return torch.where(y > 0, zt, torch.where(y > -V(grv), zg, zb))

    nose = r.u(0, 3)
    zmax = torch.maximum(torch.maximum(zc, zc * 0), torch.where(convex > 0, step, zc + nose)) + 0.05
    zmin = -D
    # camera
    th = r.u(0, 52) * math.pi / 180
    az = r.u(0, 6.283)
    dview = torch.stack([th.sin() * az.cos(), th.sin() * az.sin(), th.cos()], -1)
    f35 = r.lu(22, 80)
    tanh = 18.0 / f35  # half width of the square field
    frac = r.lu(0.045, 0.52)
    A = L * W * (th.cos() * 0.85 + 0.15)
    dist = torch.sqrt(A / frac) / (2 * tanh)
    dist = torch.maximum(dist, 1.0 * torch.maximum(L, W))
    tgt = torch.stack([torch.zeros_like(L), L / 2, zc * 0.4], -1)
    o = tgt + dview * dist.view(-1, 1)
    upv = norm(r.n((3,)))
    f = -dview
    rt = norm(torch.linalg.cross(f, upv))
    upc = torch.linalg.cross(rt, f)
    # place the face somewhere: shift of the principal point (a crop of a wider picture)
    half = (torch.sqrt(L**2 + W**2) / 2 / (dist * tanh)).clamp(max=0.85)
    room = (1 - half * 0.93).clamp(min=0.06)
    sx, sy = r.u(-1, 1) * room, r.u(-1, 1) * room
    g = (torch.arange(S, device=dev) + 0.5) / S * 2 - 1
    px = (g[None, None, :] - V(sx)) * V(tanh)
    py = (-g[None, :, None] + V(sy)) * V(tanh)
    Dr = norm(V3(f) + px[..., None] * V3(rt) + py[..., None] * V3(upc))

    def project(P):  # (B,N,3) -> (B,N,2) pixels
        d = P - o[:, None]
        z = (d * f[:, None]).sum(-1)
        x = (d * rt[:, None]).sum(-1) / z / tanh[:, None] + sx[:, None]
        y = -((d * upc[:, None]).sum(-1) / z / tanh[:, None]) + sy[:, None]
        return torch.stack([(x + 1) / 2 * S, (y + 1) / 2 * S], -1)

    def box(lo, hi):
        inv = 1 / torch.where(Dr.abs() < 1e-6, torch.full_like(Dr, 1e-6), Dr)
        a = (V3(lo) - V3(o)) * inv
        b = (V3(hi) - V3(o)) * inv
        t0 = torch.minimum(a, b)
        t1 = torch.maximum(a, b)
        tn, ax = t0.max(-1)
        return tn, t1.min(-1).values, ax

    lo = torch.stack([-Wb / 2, -below, zmin], -1)
    hi = torch.stack([Wb / 2, Tt, zmax], -1)
    t0, t1, ax = box(lo, hi)
    hitb = (t1 > t0) & (t0 > 0)
    # march the height field between entry and exit
    N = 28
    oo = V3(o)
    inside0 = None
    thit = torch.full_like(t0, 1e9)
    prev = None
    found = torch.zeros_like(hitb)
    span = (t1 - t0).clamp(min=0)
    for k in range(N + 1):
        t = t0 + span * (k / N) + 1e-4
        P = oo + t[..., None] * Dr
        d = P[..., 2] - h(P[..., 0], P[..., 1])
        if k == 0:
            side = (d < 0) & hitb
            prev = d
        else:
            c = (d < 0) & (prev >= 0) & ~found & ~side & hitb
            w = prev / (prev - d + 1e-9)
            thit = torch.where(c, t0 + span * ((k - 1 + w) / N), thit)
            found |= c
            prev = d
    for _ in range(2):  # Newton-like refinement
        P = oo + thit[..., None] * Dr
        d = P[..., 2] - h(P[..., 0], P[..., 1])
        e = 0.02
        P2 = oo + (thit + e)[..., None] * Dr
        dd = (P2[..., 2] - h(P2[..., 0], P2[..., 1]) - d) / e
        st = (d / torch.where(dd.abs() < 0.05, torch.full_like(dd, -0.05), dd)).clamp(-0.5, 0.5)
        thit = torch.where(found, thit - st, thit)
    front = found
    hit = front | side
    t = torch.where(front, thit, t0)
    P = oo + t[..., None] * Dr
    x, y, z = P.unbind(-1)
    e = 0.05
    hx = (h(x + e, y) - h(x - e, y)) / (2 * e)
    hy = (h(x, y + e) - h(x, y - e)) / (2 * e)
    Nf = norm(torch.stack([-hx, -hy.clamp(-3, 3), torch.ones_like(hx)], -1))
    sign = -torch.sign(Dr)
    eye = torch.eye(3, device=dev)[ax]
    Ns = eye * sign
    Nn = torch.where(front[..., None], Nf, Ns)
    onface = front & (y > 0) & (y < V(L)) & (x.abs() < V(W) / 2)
    phim = torch.asin((W / 2 / R).clamp(max=1))
    phi = torch.asin((x / V(R)).clamp(-1, 1))
    fx = (phi / V(phim) + 1) / 2
    fs = 1 - y / V(L)
    # surface detail: turned lines run along x, constant in y
    mm = 1.0
    feed = r.lu(0.06, 0.8)
    amp = r.lu(0.01, 0.35) * r.p(0.85)
    iso = r.u(0, 0.12)
    i1, i2, i3, i4, i5 = nb(), nb(), nb(), nb(), nb()
    k0 = torch.zeros_like(nb())
    milled = r.p(0.5)
    line = tex(
        bank, torch.randint(16, 24, (B,), device=dev), x / 60 + V(r.u(0, 1)), y / V(feed * 24) + V(r.u(0, 1))
    ) * V(amp)
    rough_n = tex(bank, i1, x / 23 + V(r.u(0, 1)), (y + 0.7 * z) / 23) * V(iso)
    lined = torch.where(onface | (front & (y > V(L))), torch.ones_like(x), torch.zeros_like(x))
    Nn = norm(
        Nn
        + torch.stack(
            [rough_n, line * lined + rough_n.roll(7, 1) * 1.0, rough_n.roll(5, 2) * (1 - lined)], -1
        )
    )
    T = norm(torch.linalg.cross(torch.tensor([0.0, 1, 0], device=dev).expand_as(Nn), Nn) + 1e-6)
    Bt = torch.linalg.cross(Nn, T)

    # film and seam
    def look(map_, u, v):
        G = torch.stack([u * 2 - 1, v * 2 - 1], -1)
        return F.grid_sample(map_[:, None], G, align_corners=False, padding_mode="border")[:, 0]

    wob = r.u(0, 0.35)
    du = tex(bank, i2, x / 9, y / 9) * V(wob) / V(W)
    dv = tex(bank, i3, x / 9, y / 9) * V(wob) / V(L)
    ed = torch.minimum(torch.minimum(fx, 1 - fx), torch.minimum(fs, 1 - fs)).clamp(0, 0.05) * 20
    flip = r.p(0.5)
    ff = torch.where(V(flip) > 0, 1 - fx, fx)
    tf = look(film, ff + du * ed, fs + dv * ed)
    painted = seep * (1 - r.p(0.10))  # some seep jaws were never painted
    clean_j = ((seep > 0) & (painted == 0)).float() + (1 - seep) * r.p(0.05)
    unp = clean_j > 0
    smear = r.p(0.05) * (1 - clean_j)
    sn = tex(bank, i4, x / 60 + 0.3, y / 25)
    sm_t = (9 + 6 * sn + 5 * tex(bank, i5, x / 90, y / 90)).clamp(0.5, 45)
    tf = torch.where(V(smear) > 0, torch.maximum(tf * 0.5, sm_t), tf)
    tf = torch.where(unp.view(-1, 1, 1), torch.zeros_like(tf), tf)
    comp_truth = onface & (tf > 2.0)
    # nuisances on the face, below 2 um: streaks, blots
    thin = torch.zeros_like(tf)
    a = r.u(0, 3.14)
    st = tex(
        bank,
        torch.randint(8, 12, (B,), device=dev),
        (x * V(a.cos()) + y * V(a.sin())) / 40,
        (-x * V(a.sin()) + y * V(a.cos())) / 40 + V(r.u(0, 1)),
    )
    msk = smooth(tex(bank, i2, x / 80 + V(r.u(0, 1)), y / 80), 0.2, 1.2)
    thin = (st.clamp(0, 2) * msk * 0.9).clamp(0, 1.9) * V(r.p(0.35))
    bl = smooth(tex(bank, i3, x / 30 + 0.5, y / 30), 1.3, 2.4) * 1.7 * V(r.p(0.35))
    thin = torch.maximum(thin, bl) * V(1 - clean_j)
    bw = r.u(1, 9) * r.p(0.95)
    seam = front & ((y >= V(L)) | (x.abs() >= V(W) / 2)) & (y > 0)
    bn = tex(bank, i5, x / 18 + V(r.u(0, 1)), (y + z) / 18)
    dfl = (V(zc) - z).clamp(min=0)  # down the flanks from the front edge
    dtip = torch.where(
        V(convex) > 0,
        (V(R) - torch.hypot(x, V(R) + z)).clamp(min=0),
        (torch.hypot(x, V(R) - z) - V(R)).clamp(min=0),
    )
    onflank = side & (ax == 0) & (y > V(r.u(-3, 2)))
    ontip = side & (ax == 1) & (sign[..., 1] > 0)
    bwl = V(bw) * (1 + 0.35 * bn)
    ts = torch.where(
        seam,
        (22 + 14 * bn)
        * torch.where(V(lands) > 0, smooth(bwl - (x.abs() - V(W) / 2), -0.5, 0), torch.ones_like(x)),
        torch.zeros_like(x),
    )
    ts = torch.where(onflank, (25 + 12 * bn) * smooth(bwl - dfl, -0.3, 0.3), ts)
    ts = torch.where(ontip, (25 + 12 * bn) * smooth(bwl - dtip, -0.3, 0.3), ts)
    ts = ts * (bn > -1.3 + 1.2 * V(r.p(0.3))) * V(painted)
    sp = (
        smooth(tex(bank, i4, x / 35 + V(r.u(0, 1)), (y - z) / 35), 2.0, 2.2)
        * 20
        * V(r.p(0.4))
        * V(1 - clean_j)
    )
    tt = torch.where(onface, torch.maximum(tf, thin), torch.maximum(ts, sp * (~onface))).clamp(0, 90)
    grain = (
        1 + V(r.u(0.05, 0.5)) * tex(bank, i1, x / 6, (y + z) / 6) + 0.15 * tex(bank, i2, x / 40, (y + z) / 40)
    ).clamp(0.1, 3)
    te = tt * grain
    k = r.lu(0.07, 0.42)
    w = (1 - torch.exp(-V(k) * te)) * V(r.u(0.9, 1.0))
    # colours
    hue = torch.where(r.p(0.55) > 0, r.u(0.55, 0.72), r.u(0, 1))
    sat = r.u(0.55, 0.99)
    val = r.lu(0.04, 0.65)
    comp = hsv(hue, sat, val) ** 1.5
    absorb = (1 - hsv(hue, r.u(0.4, 0.95), torch.ones_like(hue))).clamp(0.03) * r.u(0.7, 1.3)[:, None]
    thincol = hsv((hue + r.n((), 0.02)) % 1, r.u(0.4, 0.95), r.lu(0.05, 0.5)) * 0.5
    met = r.lu(0.22, 0.93)
    warm = r.n((), 0.03)
    mcol = torch.stack([met * (1 + warm), met, met * (1 - warm)], -1)
    stain = smooth(tex(bank, i4, x / 45 + 0.1, (y + z) / 45), 0.3, 2.2) * V(r.u(0, 0.8)) * V(r.p(0.6))
    grim = (V(r.u(0.02, 0.35)) * (1 + 0.5 * tex(bank, i5, x / 30, (y + z) / 30)) + 0.5 * stain).clamp(0, 0.95)
    gcol = torch.stack([r.u(0.1, 0.3), r.u(0.09, 0.28), r.u(0.05, 0.26)], -1) * r.u(0.4, 1.2)[:, None]
    rust = smooth(tex(bank, i3, x / 12, (y + z) / 12), 2.0, 2.6) * V(r.p(0.25))
    rcol = torch.tensor([0.22, 0.075, 0.025], device=dev)
    env = Env(r)
    Vv = -Dr
    axr, ayr = r.lu(0.05, 0.35), r.lu(0.1, 0.45)
    rv = (1 + 0.2 * tex(bank, i2, x / 28, (y + z) / 28)).clamp(0.5, 1.6)
    ra = torch.where(lined > 0, V(axr), V((axr + ayr) / 2)) * rv
    rb = torch.where(lined > 0, V(ayr), V((axr + ayr) / 2)) * rv
    spec = env.radiance(Dr, ra, rb, T, Bt, Nn, Vv)
    irr = env.irradiance(Nn)
    tint = V3(mcol) * torch.exp(-V3(absorb) * V(k)[..., None] * 1.3 * te[..., None])
    dirt = V3(gcol) * (1 - rust[..., None]) + rust[..., None] * rcol
    gw = (grim * (1 - rust) + 0.9 * rust)[..., None]
    metal = (
        spec * tint * (1 - gw) + irr * dirt * torch.exp(-V3(absorb) * V(k)[..., None] * te[..., None]) * gw
    )
    deep = torch.exp(-0.02 * te)[..., None]
    cc = (
        V3(comp)
        * (0.5 + 0.5 * deep)
        * (1 + 0.1 * tex(bank, i1, x / 16, (y + z) / 16))[..., None].clamp(0.4, 1.7)
        + V3(thincol) * torch.exp(-te / 7)[..., None] * 0.6
    )
    gl = env.radiance(Dr, 0.25 + 0 * ra, 0.3 + 0 * rb, T, Bt, Nn, Vv) * 0.045
    col = metal * (1 - w[..., None]) + (cc * irr + gl) * w[..., None]
    # bolt holes and a dark mark on the tip surface
    for zz in (r.u(-0.35, -0.2), r.u(-0.8, -0.6)):
        hole = ontip & (torch.hypot(x, z - V(zz * D)) < V(r.u(4, 9))) & (V(r.p(0.5)) > 0)
        col = torch.where(hole[..., None], irr * 0.03 + 0.02 * spec, col)
    # contact shadow / occlusion in the corner at the base, on concave floors
    ao = 1 - V(r.u(0.1, 0.7)) * torch.exp(-(y.abs()) / V(r.u(0.5, 3))) * (y < 2.0) * front
    col = col * ao[..., None]
    ev = V(r.u(-0.4, 0.4))
    sh = 1 + ev * (x / V(W)) + V(r.u(-0.4, 0.4)) * ((y - V(L) / 2) / V(L))
    col = col * sh.clamp(0.15)[..., None]
    cs = smooth(
        tex(
            bank, torch.randint(0, 4, (B,), device=dev), x / 260 + V(r.u(0, 1)), (y + z) / 260 + V(r.u(0, 1))
        ),
        -0.1,
        0.15 + 0 * x[:1],
    )
    shadow = 1 - V(r.u(0.2, 0.85) * r.p(0.3)) * cs
    col = col * shadow[..., None]
    # background plane or far blur, clutter, other blocks
    tz = (V(-D - r.u(0, 3)) - oo[..., 2]) / Dr[..., 2].clamp(max=-1e-3)
    Pb = oo + tz[..., None] * Dr
    sc = r.lu(20, 300)
    bt = tex(bank, i1, Pb[..., 0] / V(sc), Pb[..., 1] / V(sc)) * V(r.u(0.02, 0.4))
    bt2 = tex(bank, i4, Pb[..., 0] / V(sc * 3), Pb[..., 1] / V(sc * 3)) * V(r.u(0.02, 0.4))
    bg = hsv(r.u(0, 1), torch.where(r.p(0.5) > 0, r.u(0, 0.2), r.u(0.1, 0.95)), r.lu(0.015, 0.9))
    back = (
        V3(bg)
        * (1 + bt + bt2).clamp(0.1)[..., None]
        * env.irradiance(torch.tensor([0.0, 0, 1], device=dev).expand(B, 1, 1, 3))
    )
    fade = r.p(0.3)
    flat = hsv(r.u(0, 1), r.u(0, 0.6), r.lu(0.01, 0.8))
    back = torch.where(V(fade)[..., None] > 0, V3(flat) * (1 + 0.4 * g[None, None, :, None]) + 0 * back, back)
    rgb, al = shapes2d(r, S, S, 9, dev)
    lit = env.irradiance(torch.tensor([0.0, 0, 1], device=dev).expand(B, 1, 1, 3))
    cl = V(r.p(0.75))
    back = back * (1 - (al * cl)[..., None]) + rgb * lit * (al * cl)[..., None]
    # a second metal block (no face): must not be taken for one
    c2 = torch.stack([r.u(-1, 1) * 90, r.u(-1, 1) * 90 + L / 2, -D * r.u(0.2, 1)], -1)
    s2 = torch.stack([r.u(6, 40), r.u(6, 40), r.u(4, 20)], -1)
    u0, u1, uax = box(c2 - s2, c2 + s2)
    ok2 = (u1 > u0) & (u0 > 0) & (V(r.p(0.45)) > 0)
    N2 = torch.eye(3, device=dev)[uax] * sign
    P2 = oo + u0[..., None] * Dr
    N2 = norm(N2 + 0.03 * tex(bank, i5, P2[..., 0] / 20, (P2[..., 1] + P2[..., 2]) / 20)[..., None])
    T2 = norm(torch.linalg.cross(torch.tensor([0.3, 0.9, 0.1], device=dev).expand_as(N2), N2))
    blk = (
        env.radiance(Dr, 0.2 + 0 * ra, 0.25 + 0 * ra, T2, torch.linalg.cross(N2, T2), N2, Vv)
        * V3(mcol)
        * V(r.u(0.3, 1.1))[..., None]
    )
    near2 = ok2 & (u0 < torch.where(hit, t, torch.full_like(t, 1e9))) & ~onface
    img = torch.where(hit[..., None], col, back)
    img = torch.where((ok2 & ~hit)[..., None] | near2[..., None], blk, img)
    # no jaw at all in some
    nojaw = r.p(0.07)
    img = torch.where(V(nojaw)[..., None] > 0, torch.where(ok2[..., None], blk, back), img)
    # occluders: fingers over the border of the face, or something over most of it
    cov = r.p(0.06)
    rgb2, al2 = shapes2d(r, S, S, 1, dev)
    cxy = project(tgt[:, None])[:, 0]
    q = (
        torch.hypot(
            (torch.arange(S, device=dev) + 0.5)[None, None, :] - V(cxy[:, 0]),
            (torch.arange(S, device=dev) + 0.5)[None, :, None] - V(cxy[:, 1]),
        )
        / S
    )
    rad = half / 2 * r.u(0.7, 1.3)
    oc = torch.sigmoid((V(rad) - q) * 150) * V(cov)
    ocol = (
        V3(hsv(r.u(0, 1), r.u(0, 0.95), r.lu(0.02, 0.7)))
        * lit
        * (1 + 0.35 * tex(bank, i1, Pb[..., 0] / V(sc), Pb[..., 1] / V(sc)))[..., None].clamp(0.2)
    )
    img = img * (1 - oc[..., None]) + ocol * oc[..., None]
    a = r.u(0, 6.28)
    off = half / 2 * r.u(0.75, 1.1)
    fc = torch.stack([cxy[:, 0] / S + off * a.cos(), cxy[:, 1] / S + off * a.sin()], -1)
    X = (torch.arange(S, device=dev) + 0.5)[None, None, :] / S - V(fc[:, 0])
    Y = (torch.arange(S, device=dev) + 0.5)[None, :, None] / S - V(fc[:, 1])
    a2 = a + r.u(-0.5, 0.5)
    uu = X * V(a2.cos()) + Y * V(a2.sin())
    vv = -X * V(a2.sin()) + Y * V(a2.cos())
    fw = r.u(0.02, 0.06)
    fm = torch.sigmoid((V(fw) - torch.where(uu > 0, vv.abs(), torch.hypot(uu, vv))) * 250) * V(r.p(0.18))
    fcol = (
        V3(hsv(r.u(0, 1), r.u(0, 0.95), r.lu(0.02, 0.7)))
        * lit
        * (1 - 0.6 * (vv / V(fw)).clamp(-1, 1) ** 2)[..., None]
    )
    img = img * (1 - fm[..., None]) + fcol * fm[..., None]
    vis = onface & (oc < 0.5) & (fm < 0.5) & (V(nojaw) == 0)

    # truth points
    def fp(u, v):
        ph = (u * 2 - 1) * phim
        return torch.stack([R * ph.sin(), L * (1 - v) + 0 * ph, sg * R * (1 - ph.cos())], -1)

    K = project(
        torch.stack(
            [fp(0, 0), fp(1, 0), fp(1, 1), fp(0, 1), fp(0.5, 0), fp(1, 0.5), fp(0.5, 1), fp(0, 0.5)], 1
        )
    )
    gu = torch.linspace(0.04, 0.96, 10, device=dev)
    Gp = project(torch.stack([fp(float(a), float(b)) for a in gu for b in gu], 1))
    inframe = ((Gp > 0) & (Gp < S)).all(-1).float().mean(1)
    amodal = onface.float().sum((1, 2)).clamp(min=1)
    share = vis.float().sum((1, 2)) / amodal
    covered = (cov > 0) & (share < 0.55)
    bad = torch.zeros_like(L).long()
    return dict(
        img=torch.nan_to_num(img, 0, 40, 0).clamp(0, 40),
        face=vis,
        amodal=onface,
        comp=comp_truth & vis,
        pts=K,
        nojaw=nojaw > 0,
        clean=unp,
        smear=smear > 0,
        covered=covered,
        share=share,
        seep=seep > 0,
        painted=painted > 0,
        half=half,
        inframe=inframe,
    )


def photo(img, r, meter=None):
    """Linear HDR -> sRGB-like 0..1: exposure, white balance, vignette, tone, noise, blur, saturation. Returns picture and per-image log2 exposure."""
    B, S = img.shape[0], img.shape[1]
    dev = img.device
    lum = img.mean(-1)
    m = torch.quantile(lum.reshape(B, -1)[:, ::97], r.u(0.5, 0.9).mean().item(), dim=1).clamp(min=1e-4)
    if meter is not None:
        m = torch.where(r.p(0.6) > 0, meter.clamp(min=1e-4) * 1.0, m)
    ev = r.n((), 0.45).clamp(-1.4, 1.2)
    x = img * V(0.38 / m * 2**ev)[..., None]
    w = r.n((3,), 0.10) * r.p(0.8).view(-1, 1)
    x = x * V3(torch.exp(w - w.mean(-1, keepdim=True)))
    g = torch.linspace(-1, 1, S, device=dev)
    rr = g[None, None, :] ** 2 + g[None, :, None] ** 2
    x = x * (1 - V(r.u(0, 0.28)) * rr)[..., None]
    return x, ev


def tone(x, r):
    c = V(r.u(0, 1))[..., None]
    y = x / (1 + 0.25 * x * c)  # shoulder
    y = torch.where(y <= 0.0031308, y * 12.92, 1.055 * y.clamp(min=1e-6) ** (1 / 2.4) - 0.055).clamp(0, 1)
    k = V(r.u(-0.2, 0.6))[..., None]
    y = y + k * (y * y * (3 - 2 * y) - y)
    gm = y.mean(-1, keepdim=True)
    y = gm + (y - gm) * V(r.u(0.65, 1.5))[..., None]
    return y.clamp(0, 1)


def blur(x, sig):
    """Gaussian blur with one sigma per image (B,); x (B,C,H,W)."""
    B, C, H, W = x.shape
    n = int(min(3 * float(sig.max()) + 1, 40))
    t = torch.arange(-n, n + 1, device=x.device).float()
    k = torch.exp(-t[None] ** 2 / (2 * sig.view(-1, 1).clamp(min=0.05) ** 2))
    k = k / k.sum(1, keepdim=True)
    k = k.repeat_interleave(C, 0)
    x = F.pad(x.reshape(1, B * C, H, W), (n, n, n, n), mode="reflect")
    x = F.conv2d(x, k[:, None, None], groups=B * C)
    return F.conv2d(x, k[:, None, :, None], groups=B * C).reshape(B, C, H, W)


def motion(x, ln, ang):
    """Straight motion blur by averaging shifted copies; ln in pixels (B,)."""
    B, C, H, W = x.shape
    out = 0
    n = 13
    th = torch.zeros(B, 2, 3, device=x.device)
    th[:, 0, 0] = 1
    th[:, 1, 1] = 1
    for i in range(n):
        q = (i / (n - 1) - 0.5) * ln
        th[:, 0, 2] = q * ang.cos() * 2 / W
        th[:, 1, 2] = q * ang.sin() * 2 / H
        out = out + F.grid_sample(
            x, F.affine_grid(th, x.shape, align_corners=False), align_corners=False, padding_mode="reflection"
        )
    return out / n


def picture(d, films=None):
    """Renders' HDR to a phone-like picture (B,3,S,S) in 0..1."""
    img = d["img"]
    dev = img.device
    B, S = img.shape[:2]
    r = Rng(B, dev)
    fm = d["face"].float()
    meter = (img.mean(-1) * fm).sum((1, 2)) / fm.sum((1, 2)).clamp(min=1)
    meter = torch.where(fm.sum((1, 2)) < 50, img.mean((1, 2, 3)), meter)
    x, ev = photo(img, r, meter * r.lu(0.5, 1.6))
    x = x.permute(0, 3, 1, 2)
    x = blur(x.clamp(0, 8), r.u(0.25, 1.3)) if True else x
    bl = F.avg_pool2d((x - 1.1).clamp(0, 8), 8)
    bl = blur(bl, r.u(1, 6))
    x = x + F.interpolate(bl, size=(S, S), mode="bilinear", align_corners=False) * V(r.u(0.0, 0.08))[:, None]
    s = r.lu(0.002, 0.05)
    n = torch.randn_like(x)
    n2 = F.interpolate(
        torch.randn(B, 3, S // 2, S // 2, device=dev), size=(S, S), mode="bilinear", align_corners=False
    )
    x = (x + (n * 0.7 + n2 * 0.8) * V(s)[:, None] * torch.sqrt(x.clamp(0, 1.2) + 0.02)).clamp(min=0)
    y = tone(x.permute(0, 2, 3, 1), r).permute(0, 3, 1, 2)
    us = V(r.u(0, 0.9) * r.p(0.6))[:, None]
    y = (y + us * (y - blur(y, r.u(0.8, 1.6))).clamp(-0.12, 0.12)).clamp(0, 1)
    return y
